"""Spoken temperatures: oven settings, gas marks, readings inside food, oil, water and the fridge."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.hear.numbers import Figure, NumberReader
from pipeline.hear.speech import Speech
from pipeline.phrases import Match
from pipeline.resources import data_path, read_rows

_WINDOW_BEFORE = 12
_WINDOW_AFTER = 8
_LEAST_BARE = 30
_LONGEST_CUE = 8


@dataclass(frozen=True, slots=True)
class HeatSpan:
    """Words `start` to `end` (exclusive) say a temperature. `unit` is F, C or gas; `unit_said` tells whether it was
    spoken or decided by sense; `of` is what has that temperature."""

    start: int
    end: int
    value: Fraction
    unit: str
    unit_said: bool
    celsius: float
    of: str
    rule: str


@dataclass(frozen=True, slots=True)
class HeatTables:
    """Plausible degrees Celsius by kind, and degrees Celsius by gas mark."""

    ranges: Mapping[str, tuple[float, float]]
    gas: Mapping[Fraction, float]

    @classmethod
    def load(cls) -> HeatTables:
        """Read data/heat_ranges.csv and data/gas_marks.csv."""
        ranges = read_rows(data_path("heat_ranges.csv"), ("of", "low_c", "high_c", "source"))
        marks = read_rows(data_path("gas_marks.csv"), ("mark", "celsius", "source"))
        return cls(
            ranges={row["of"]: (float(row["low_c"]), float(row["high_c"])) for _, row in ranges},
            gas={Fraction(row["mark"]): float(row["celsius"]) for _, row in marks},
        )

    def celsius(self, value: Fraction, unit: str) -> float | None:
        """Degrees Celsius of a reading; None for a gas mark that no oven has."""
        if unit == "gas":
            return self.gas.get(value)
        return float((value - 32) * 5 / 9) if unit == "F" else float(value)

    def plausible(self, value: Fraction, unit: str, of: str) -> bool:
        """Whether a thing of that kind can have that temperature."""
        low, high = self.ranges[of]
        celsius = self.celsius(value, unit)
        return celsius is not None and low <= celsius <= high


class HeatReader:
    """Compiled words for heat."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        self._tables = HeatTables.load()
        self._units = load_phrases("heat_units.csv", ("pattern", "unit"), classes)
        self._cues = load_phrases("heat_cues.csv", ("id", "of", "pattern"), classes)
        measures = load_rows("units.csv", ("word", "unit", "kind"))
        times = load_rows("time_units.csv", ("word", "unit", "seconds"))
        self._other_units = frozenset(row["word"] for row in (*measures, *times)) - {"c", "f"}
        self._gas = load_phrases("gas_words.csv", ("pattern",), classes)

    def find(self, speech: Speech, blocked: frozenset[int], *, home_unit: str) -> tuple[HeatSpan, ...]:
        """Temperatures from left to right. `home_unit` (F or C) decides where a figure makes sense in both."""
        words = speech.words
        cues = self._cues.everywhere(words)
        found: list[HeatSpan] = []
        place = 0
        while place < len(words):
            span = None if place in blocked else self._at(words, place, cues, home_unit)
            if span is not None:
                found.append(span)
            place = span.end if span else place + 1
        return tuple(found)

    def _at(
        self, words: Sequence[str], place: int, cues: Sequence[Match[Mapping[str, str]]], home: str
    ) -> HeatSpan | None:
        gas = self._gas.longest(words, place)
        if gas is not None and gas.end < len(words):
            mark = self._numbers.at(words, gas.end)
            if mark is not None and mark.form in {"cardinal", "digits", "part"}:
                return self._gas_span(place, mark)
        figure = self._numbers.joined(words, place) or self._numbers.at(words, place)
        if figure is None or figure.form not in {"cardinal", "digits", "joined", "range"}:
            return None
        unit = self._units.longest(words, figure.end) if figure.end < len(words) else None
        said = unit.payload["unit"] if unit else ""
        end = unit.end if unit else figure.end
        if not said and end < len(words) and (words[end] in self._other_units or words[end] == "of"):
            return None
        return self._span(place, end, figure.high, said, self._nearest(cues, place, end), home)

    def _gas_span(self, place: int, mark: Figure) -> HeatSpan | None:
        celsius = self._tables.celsius(mark.low, "gas")
        if celsius is None:
            return None
        return HeatSpan(place, mark.end, mark.low, "gas", True, celsius, "oven", "heat.gas-mark")

    def _nearest(self, cues: Sequence[Match[Mapping[str, str]]], start: int, end: int) -> list[str]:
        """Kinds of thing named near the figure, the nearest first; a named thing before the bare word heat."""
        near: list[tuple[bool, int, str]] = []
        first = bisect_left(cues, start - _WINDOW_BEFORE - _LONGEST_CUE, key=lambda cue: cue.start)
        for cue in cues[first : bisect_left(cues, end + _WINDOW_AFTER + 1, key=lambda cue: cue.start)]:
            gap = start - cue.end if cue.end <= start else cue.start - end
            limit = _WINDOW_BEFORE if cue.end <= start else _WINDOW_AFTER
            if 0 <= gap <= limit:
                near.append((cue.payload["of"] == "other", gap, cue.payload["of"]))
        return [of for _, _, of in sorted(near)]

    def _span(self, start: int, end: int, value: Fraction, said: str, near: list[str], home: str) -> HeatSpan | None:
        if not said and (not near or (value < _LEAST_BARE and (value or near[0] != "freezer"))):
            return None
        units = [said] if said in {"F", "C"} else [home, "C" if home == "F" else "F"]
        for of in [*near, *(["oven", "other"] if said else [])]:
            for unit in units:
                if self._tables.plausible(value, unit, of):
                    celsius = self._tables.celsius(value, unit)
                    rule = f"heat.{of}.{'said' if said in {'F', 'C'} else 'by-sense'}"
                    return HeatSpan(start, end, value, unit, said in {"F", "C"}, celsius or 0.0, of, rule)
        if said:
            unit = units[0]
            return HeatSpan(
                start,
                end,
                value,
                unit,
                said != "degrees",
                self._tables.celsius(value, unit) or 0.0,
                "other",
                "heat.said",
            )
        return None
