"""Vague amounts: `a good splash`, `a few sprigs`, `some`."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.foods.plurals import default_plurals
from pipeline.measure.tables import Span, Tables

_ONE = Span(1, 1, 1)


@dataclass(frozen=True, slots=True)
class VagueReading:
    """What vague words say: `unit` counted `factor` times; or `phrase` of data/vague.csv, `factor` times as much.

    `phrase` is empty where only a number such as few was said; `fallback` is then the phrase for it.
    """

    phrase: str
    factor: Span
    unit: str | None = None
    fallback: str = ""


def read_vague(text: str, tables: Tables) -> VagueReading:
    """Read the words of a vague amount. Words the tables do not know count as `some`."""
    plurals = default_plurals()
    words = [plurals.singular(word) for word in text.lower().replace("-", " ").split()]
    start, length = _phrase(words, tables)
    phrase = " ".join(words[start : start + length])
    rest = [word for place, word in enumerate(words) if not start <= place < start + length]
    factor = _ONE
    for word in rest:
        factor = factor.times(tables.factors.get(word, _ONE))
    unit = next((tables.unit_words[word] for word in rest if word in tables.unit_words), None)
    if phrase in tables.factors:
        factor = factor.times(tables.factors[phrase])
        return VagueReading("", factor, unit, fallback=phrase)
    if unit is not None and not phrase:
        return VagueReading("", factor, unit)
    return VagueReading(phrase or "some", factor)


def _phrase(words: list[str], tables: Tables) -> tuple[int, int]:
    """Place and length of the longest phrase of data/vague.csv, the last one where several are as long."""
    found = (0, 0)
    for start in range(len(words)):
        for length in range(found[1] or 1, len(words) - start + 1):
            if " ".join(words[start : start + length]) in tables.vague_phrases:
                found = (start, length)
    return found
