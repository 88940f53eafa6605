"""Spoken lengths of time: how long a step takes, is said to have taken, or how long a dish keeps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pipeline.hear.clauses import Clauses
from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.hear.numbers import NumberReader
from pipeline.hear.speech import Speech

_OVERNIGHT_HOURS = (Fraction(8), Fraction(12))
_BACK = 12
_SHORTEST_SECONDS = 3


@dataclass(frozen=True, slots=True)
class TimeSpan:
    """Words `start` to `end` (exclusive) say a duration of `low` to `high` `unit`s; `kind` is planned or elapsed."""

    start: int
    end: int
    low: Fraction
    high: Fraction
    unit: str
    seconds: tuple[Fraction, Fraction]
    kind: str
    rule: str


@dataclass(frozen=True, slots=True)
class _Length:
    end: int
    low: Fraction
    high: Fraction
    unit: str
    scale: Fraction
    rule: str


class DurationReader:
    """Compiled words for time."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        self._units: Mapping[str, tuple[str, Fraction]] = {
            row["word"]: (row["unit"], Fraction(row["seconds"]))
            for row in load_rows("time_units.csv", ("word", "unit", "seconds"))
        }
        self._scales = {unit: scale for word, (unit, scale) in sorted(self._units.items()) if word == unit}
        self._cues = load_phrases("time_cues.csv", ("id", "kind", "pattern"), classes)
        self._fillers = frozenset(classes["time-filler"])
        self._not_step = frozenset(classes["not-step-after"])

    def find(self, speech: Speech, clauses: Clauses, blocked: frozenset[int]) -> tuple[TimeSpan, ...]:
        """Durations from left to right. What is no length of a step (`hang on a second`) and what only repeats an
        earlier figure (`i said six minutes`) is left out."""
        words = speech.words
        found: list[TimeSpan] = []
        place = 0
        while place < len(words):
            length = None if place in blocked else self._at(words, place) or self._bare(words, place, found)
            if length is None:
                place += 1
                continue
            span = self._judged(speech, clauses, place, length)
            if span is not None:
                found.append(span)
            place = length.end
        return tuple(found)

    def _at(self, words: Sequence[str], place: int) -> _Length | None:
        if words[place] == "overnight" or tuple(words[place : place + 2]) == ("all", "night"):
            low, high = _OVERNIGHT_HOURS
            end = place + (1 if words[place] == "overnight" else 2)
            return _Length(end, low, high, "hour", Fraction(3600), "time.overnight")
        figure = self._numbers.at(words, place)
        if figure is None:
            return self._unit_or_two(words, place)
        unit_at = figure.end
        if tuple(words[unit_at : unit_at + 1]) == ("of",):
            unit_at += 1
        if words[unit_at : unit_at + 1] == ("an",) and figure.form == "part":
            unit_at += 1
        while unit_at < len(words) and words[unit_at] in self._fillers and unit_at - figure.end < 3:
            unit_at += 1
        if unit_at >= len(words) or words[unit_at] not in self._units:
            return None
        unit, scale = self._unit(words[unit_at])
        return self._extended(words, _Length(unit_at + 1, figure.low, figure.high, unit, scale, f"time.{figure.form}"))

    def _bare(self, words: Sequence[str], place: int, found: Sequence[TimeSpan]) -> _Length | None:
        """`it's been nine`, after minutes were spoken of: the unit is that of the duration before."""
        figure = self._numbers.at(words, place)
        if figure is None or figure.form not in {"cardinal", "digits"} or not found:
            return None
        if not any(
            match.end == place and match.payload["kind"] == "bare"
            for start in range(max(0, place - 4), place)
            for match in self._cues.at(words, start)
        ):
            return None
        unit = "minute" if any(span.unit == "minute" for span in found) else found[-1].unit
        return _Length(figure.end, figure.low, figure.high, unit, self._scales[unit], "time.unit-before")

    def _unit(self, word: str) -> tuple[str, Fraction]:
        return self._units[word]

    def _unit_or_two(self, words: Sequence[str], place: int) -> _Length | None:
        """`minute or two` with no article before it."""
        if words[place] not in self._units or tuple(words[place + 1 : place + 3]) not in {("or", "two"), ("or", "so")}:
            return None
        unit, scale = self._unit(words[place])
        high = Fraction(2) if words[place + 2] == "two" else Fraction(1)
        return _Length(place + 3, Fraction(1), high, unit, scale, "time.or-two")

    def _extended(self, words: Sequence[str], length: _Length) -> _Length:
        """Adds what may follow the unit: `and a half`, `and twenty minutes`, `or two`, `to an hour`."""
        end, low, high = length.end, length.low, length.high
        more, more_end = self._numbers.and_a_part(words, end)
        if more:
            return self._scaled(length, more_end, low + more, high + more)
        link = tuple(words[end : end + 1])
        for joined in (self._second(words, end + 1, link), self._second(words, end, ("",))):
            if joined is not None:
                return self._combined(length, joined, link)
        if tuple(words[end : end + 2]) in {("or", "two"), ("or", "three"), ("or", "four"), ("or", "so")}:
            second = self._numbers.at(words, end + 1)
            high = second.high if second is not None and second.high > high else high
            return self._scaled(length, end + 2, low, high)
        return self._scaled(length, end, low, high)

    def _second(self, words: Sequence[str], place: int, link: tuple[str, ...]) -> _Length | None:
        if link not in {("and",), ("to",), ("or",), ("",)} or place >= len(words):
            return None
        figure = self._numbers.at(words, place)
        if figure is None or (link == ("",) and figure.form not in {"cardinal", "digits"}):
            return None
        unit_at = figure.end
        while unit_at < len(words) and words[unit_at] in self._fillers:
            unit_at += 1
        if unit_at >= len(words) or words[unit_at] not in self._units:
            return None
        unit, scale = self._unit(words[unit_at])
        return _Length(unit_at + 1, figure.low, figure.high, unit, scale, "")

    def _combined(self, first: _Length, second: _Length, link: tuple[str, ...]) -> _Length:
        if link in {("to",), ("or",)}:
            high = second.high * second.scale / first.scale
            if high > first.low:
                return self._scaled(first, second.end, first.low, high)
        elif second.scale < first.scale:
            more = second.low * second.scale
            low, high = first.low * first.scale + more, first.high * first.scale + more
            return _Length(second.end, low / second.scale, high / second.scale, second.unit, second.scale, first.rule)
        return self._scaled(first, first.end, first.low, first.high)

    @staticmethod
    def _scaled(length: _Length, end: int, low: Fraction, high: Fraction) -> _Length:
        return _Length(end, low, high, length.unit, length.scale, length.rule)

    def _judged(self, speech: Speech, clauses: Clauses, start: int, length: _Length) -> TimeSpan | None:
        words = speech.words
        if words[length.end : length.end + 1] and words[length.end] in self._not_step:
            return None
        if length.unit == "second" and length.high < _SHORTEST_SECONDS:
            return None
        kinds = self._kinds_before(words, max(0, clauses.sentence(start)[0], start - _BACK), start)
        if kinds.get("aside") == start and length.low == 1:
            return None
        if "restated" in kinds and kinds["restated"] >= start - 2:
            return None
        elapsed = kinds.get("elapsed", -1) > kinds.get("planned", -1)
        per_unit = Fraction(86400) if length.unit == "day" else length.scale
        factor = length.scale / per_unit
        return TimeSpan(
            start=start,
            end=length.end,
            low=length.low * factor,
            high=length.high * factor,
            unit=length.unit,
            seconds=(length.low * length.scale, length.high * length.scale),
            kind="elapsed" if elapsed else "planned",
            rule=length.rule,
        )

    def _kinds_before(self, words: Sequence[str], first: int, start: int) -> dict[str, int]:
        """Kind of cue -> the latest end of one that stands between `first` and the figure at `start`."""
        kinds: dict[str, int] = {}
        for place in range(first, start):
            for match in self._cues.at(words, place):
                ends_at_figure = match.end == start + 1 and words[start] in {"a", "one", "this"}
                if match.end <= start or ends_at_figure:
                    kinds[match.payload["kind"]] = max(kinds.get(match.payload["kind"], -1), min(match.end, start))
        return kinds
