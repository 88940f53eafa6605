"""Reads the household measures of a release ("cup, chopped or diced") as a unit of the record and what was done."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from pipeline.foods.faults import Faults, rows
from pipeline.foods.plurals import Plurals, default_plurals
from pipeline.resources import data_path

_KINDS = frozenset({"unit", "each", "what", "skip"})
_BRACKETS = re.compile(r"\([^()]*\)")
_WORD = re.compile(r"[a-z]+")
_UNEATEN = re.compile(r"\b(with pits|in shell|with shell|with hulls|crust not eaten|with refuse|from 1 lb)\b")
_YIELDS = re.compile(r"\byields?\b")
_FULL_CUP = re.compile(r"\bcup 8 fluidounce\b")


@dataclass(frozen=True, slots=True)
class Household:
    """A measure: `unit` of the record, `what` the words for size and preparation in canonical form, as said."""

    unit: str
    what: tuple[str, ...]


class MeasureWords:
    """The words of data/foods/measure_words.csv: units, things counted, sizes and preparations, words to skip at."""

    def __init__(self, table: Mapping[tuple[str, str], str], plurals: Plurals) -> None:
        self._units = {word: meaning for (word, kind), meaning in table.items() if kind == "unit"}
        self._what = {word: meaning for (word, kind), meaning in table.items() if kind == "what"}
        self._each = frozenset(word for word, kind in table if kind == "each")
        self._skip = frozenset(word for word, kind in table if kind == "skip")
        self._plurals = plurals

    @classmethod
    def load(cls, path: Path | None = None) -> MeasureWords:
        """Raises RulesError that lists all faults."""
        path = path or data_path("foods", "measure_words.csv")
        faults = Faults()
        table: dict[tuple[str, str], str] = {}
        for line, (word, kind, meaning) in rows(path, ("word", "kind", "meaning"), faults):
            if kind not in _KINDS:
                faults.add(path.name, line, "kind", f"{kind!r}, expected one of {', '.join(sorted(_KINDS))}")
            table[word, kind] = meaning
        faults.raise_any()
        return cls(table, default_plurals())

    def read(self, description: str, food: str) -> Household | None:
        """The measure of a description for a food described as `food`; None where it is no kitchen measure.

        A thing that is counted must be a word of the table or of the food's own description.
        """
        text = description.lower().replace("fl oz", "fluidounce").replace("fluid ounce", "fluidounce")
        if _UNEATEN.search(text):
            return None
        text = _FULL_CUP.sub("cup", _BRACKETS.sub(" ", text))
        words: list[str] = _WORD.findall(text)
        if not words or self._skip.intersection(words) or "fluidounce" in words[1:]:
            return None
        unit = next((self._units[word] for word in words if word in self._units), None)
        what = tuple(dict.fromkeys(self._what[word] for word in words if word in self._what))
        if unit is None:
            own = {self._plurals.singular(word) for word in _WORD.findall(food.lower())}
            counted = any(word in self._each or self._plurals.singular(word) in own for word in words)
            unit = "each" if counted else None
        if unit is None or (_YIELDS.search(text) and unit == "cup"):
            return None
        return Household(unit, what)
