"""How many a dish feeds, where the speaker says so."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.hear.numbers import Figure, NumberReader
from pipeline.hear.speech import Speech

_STRENGTH = MappingProxyType({"pieces": 0, "vessels": 1, "plates": 1, "portions": 2, "feeds": 3})


@dataclass(frozen=True, slots=True)
class ServingsSpan:
    """Words `start` to `end` (exclusive) say `low` to `high` servings. `strength` orders what is said for one dish:
    feeding four people is worth more than making four bowls."""

    start: int
    end: int
    low: Fraction
    high: Fraction
    strength: int
    rule: str


class ServingsReader:
    """Compiled words for servings."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        self._before = load_phrases("servings_before.csv", ("id", "basis", "pattern"), classes)
        self._after = load_phrases("servings_after.csv", ("id", "basis", "pattern"), classes)
        self._measures = frozenset(classes["not-people"])
        self._makes = frozenset(classes["makes"])
        self._portion = load_phrases("portion_words.csv", ("id", "pattern"), classes)

    def find(self, speech: Speech, blocked: frozenset[int]) -> tuple[ServingsSpan, ...]:
        """Statements of servings in order."""
        words = speech.words
        found: list[ServingsSpan] = []
        for match in self._before.everywhere(words):
            figure = self._numbers.at(words, match.end) if match.end < len(words) else None
            if figure is not None and self._counts_people(speech, figure, blocked):
                found.append(self._span(match.start, figure, "feeds", match.payload["id"]))
        for figure in self._numbers.everywhere(words):
            after = self._after.longest(words, figure.end) if figure.end < len(words) else None
            if after is None or not self._counts(figure) or figure.start in blocked:
                continue
            if self._meant(speech, figure, after.end, after.payload["basis"]):
                found.append(self._span(figure.start, figure, after.payload["basis"], after.payload["id"]))
        return tuple(sorted(found, key=lambda span: span.start))

    def _counts_people(self, speech: Speech, figure: Figure, blocked: frozenset[int]) -> bool:
        following = speech.words[figure.end] if figure.end < len(speech) else ""
        if figure.end in blocked:
            return False
        return figure.start not in blocked and following not in self._measures and self._counts(figure)

    @staticmethod
    def _counts(figure: Figure) -> bool:
        whole = figure.low.denominator == 1 and figure.low >= 1
        return whole and figure.form in {"cardinal", "digits", "range", "group"}

    def _meant(self, speech: Speech, figure: Figure, end: int, basis: str) -> bool:
        """Plates and cups count only where the dish makes them, pieces only where one is a portion."""
        if basis == "portions":
            return figure.low > 1
        if basis == "vessels" and speech.words[end : end + 1] == ("of",):
            return False
        makes = any(word in self._makes for word in speech.words[max(0, figure.start - 6) : figure.start])
        if basis in {"plates", "vessels"}:
            return makes
        window = range(max(0, figure.start - 10), min(len(speech), end + 16))
        return any(self._portion.longest(speech.words, at) for at in window)

    @staticmethod
    def _span(start: int, figure: Figure, basis: str, rule: str) -> ServingsSpan:
        return ServingsSpan(start, figure.end, figure.low, figure.high, _STRENGTH[basis], rule)
