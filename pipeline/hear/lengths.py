"""How long: a figure and its unit, and what is added to them: `an hour and a half`, `ten to an hour`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pipeline.hear.lexicon import Classes, load_rows, phrase_class
from pipeline.hear.numbers import Figure, NumberReader

_OVERNIGHT_HOURS = (Fraction(8), Fraction(12))
_AT_MOST = 3
_PLACED = 4
_ECHOED = 10
_HOUR = 3600
_PAST_HOUR = 5
_OR_TWO = phrase_class("or-two")
_LINKS = phrase_class("length-link") | {("",)}
_OR_SO = phrase_class("or-so")


@dataclass(frozen=True, slots=True)
class Length:
    """`low` to `high` units of `scale` seconds each; `end` is the word after it."""

    end: int
    low: Fraction
    high: Fraction
    unit: str
    scale: Fraction
    rule: str


class LengthReader:
    """Compiled words for units of time."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        self.units: Mapping[str, tuple[str, Fraction]] = {
            row["word"]: (row["unit"], Fraction(row["seconds"]))
            for row in load_rows("time_units.csv", ("word", "unit", "seconds"))
        }
        self._plural_days = frozenset(classes["plural-days"])
        self._fillers = frozenset(classes["time-filler"])
        self._follow = frozenset(classes["time-follow"])
        self._most = frozenset(classes["at-most"])

    def at(self, words: Sequence[str], place: int, figure: Figure | None) -> Length | None:
        """The length that begins at `place`, where `figure` may stand."""
        if words[place] == "overnight" or tuple(words[place : place + 2]) == ("all", "night"):
            low, high = _OVERNIGHT_HOURS
            end = place + (1 if words[place] == "overnight" else 2)
            return Length(end, low, high, "hour", Fraction(3600), "time.overnight")
        figure = self._or_more(words, figure)
        if figure is None:
            return self._unit_alone(words, place)
        unit_at = figure.end
        if tuple(words[unit_at : unit_at + 1]) == ("of",):
            unit_at += 1
        if words[unit_at : unit_at + 1] == ("an",) and figure.form == "part":
            unit_at += 1
        while unit_at < len(words) and words[unit_at] in self._fillers and unit_at - figure.end < 3:
            unit_at += 1
        if unit_at >= len(words) or words[unit_at] not in self.units:
            return None
        unit, scale = self.units[words[unit_at]]
        if figure.high < 1 and words[unit_at] in self._plural_days:
            return None
        return self._extended(words, Length(unit_at + 1, figure.low, figure.high, unit, scale, f"time.{figure.form}"))

    def _or_more(self, words: Sequence[str], figure: Figure | None) -> Figure | None:
        """A figure, or two of which the second is a little more: `ten fifteen minutes`."""
        if figure is None or figure.form not in {"cardinal", "group"} or figure.end >= len(words):
            return figure
        second = self._numbers.at(words, figure.end)
        if second is None or second.form != "cardinal" or not 2 <= figure.low < second.low <= 2 * figure.low:
            return figure
        if words[second.end : second.end + 1] and words[second.end] in self.units:
            return Figure(figure.start, second.end, figure.low, second.low, "range")
        return figure

    def _unit_alone(self, words: Sequence[str], place: int) -> Length | None:
        """`minute or two`, `hour and a half` with no article before it."""
        if words[place] not in self.units:
            return None
        unit, scale = self.units[words[place]]
        more, end = self._numbers.and_a_part(words, place + 1)
        if more:
            return Length(end, 1 + more, 1 + more, unit, scale, "time.one")
        if tuple(words[place + 1 : place + 3]) not in _OR_TWO:
            return None
        high = Fraction(2) if words[place + 2] == "two" else Fraction(1)
        return Length(place + 3, Fraction(1), high, unit, scale, "time.or-two")

    def _extended(self, words: Sequence[str], length: Length) -> Length:
        """Adds what may follow the unit: `and a half`, `and twenty minutes`, `or two`, `three minutes`."""
        end, low, high = length.end, length.low, length.high
        more, more_end = self._numbers.and_a_part(words, end)
        if more:
            return self._scaled(length, more_end, low + more, high + more)
        link = tuple(words[end : end + 1])
        past = self._past_hour(words, end + (link == ("and",))) if length.scale == _HOUR else None
        if past is not None and low == high:
            sixtieth = Fraction(60)
            minutes = low * sixtieth + past.low
            return Length(past.end, minutes, minutes, "minute", sixtieth, length.rule)
        for joined in (self._second(words, end + 1, link), self._second(words, end, ("",))):
            if joined is not None:
                return self._combined(words, length, joined, link)
        if tuple(words[end : end + 2]) in _OR_SO:
            second = self._numbers.at(words, end + 1)
            high = second.high if second is not None and second.high > high else high
            return self._scaled(length, end + 2, low, high)
        return self._at_most(words, length)

    def _at_most(self, words: Sequence[str], length: Length) -> Length:
        """`ten minutes, twelve tops`, `ten minutes in the oven, twelve at the outside`."""
        for place in range(length.end, min(length.end + _PLACED, len(words))):
            most = self._numbers.at(words, place)
            if most is None or most.form == "article":
                continue
            more = most.low > length.high and self._most.intersection(words[most.end : most.end + _AT_MOST])
            return self._scaled(length, most.end, length.low, most.high) if more else length
        return length

    def _past_hour(self, words: Sequence[str], place: int) -> Figure | None:
        """`an hour fifteen`: minutes without their name, by fives, after which nothing counted follows."""
        figure = self._numbers.at(words, place) if place < len(words) else None
        if figure is None or figure.form not in {"cardinal", "digits"} or figure.low % _PAST_HOUR or figure.low >= 60:
            return None
        return figure if figure.end >= len(words) or words[figure.end] in self._follow else None

    def _second(self, words: Sequence[str], place: int, link: tuple[str, ...]) -> Length | None:
        if link not in _LINKS or place >= len(words):
            return None
        if link != ("",) and place + 1 < len(words) and words[place] in self._fillers:
            place += 1
        figure = self._numbers.at(words, place)
        if figure is None or (link == ("",) and figure.form not in {"cardinal", "digits"}):
            return None
        unit_at = figure.end
        while unit_at < len(words) and words[unit_at] in self._fillers:
            unit_at += 1
        if unit_at >= len(words) or words[unit_at] not in self.units:
            return None
        unit, scale = self.units[words[unit_at]]
        more, end = self._numbers.and_a_part(words, unit_at + 1)
        return Length(end if more else unit_at + 1, figure.low + more, figure.high + more, unit, scale, "")

    def _combined(self, words: Sequence[str], first: Length, second: Length, link: tuple[str, ...]) -> Length:
        if link in {("to",), ("or",)}:
            high = second.high * second.scale / first.scale
            if high > first.low:
                return self._scaled(first, second.end, first.low, high)
        elif link != ("and",) and self._steps_up(first, second) and not self.is_echoed(words, second):
            return self._scaled(first, second.end, first.low, second.high)
        elif second.scale < first.scale:
            more = second.low * second.scale
            low, high = first.low * first.scale + more, first.high * first.scale + more
            return Length(second.end, low / second.scale, high / second.scale, second.unit, second.scale, first.rule)
        return self._scaled(first, first.end, first.low, first.high)

    @staticmethod
    def _steps_up(first: Length, second: Length) -> bool:
        """`two minutes, three minutes`: a little more of the same unit."""
        step = second.low - first.high
        return (
            second.scale == first.scale and second.low == second.high and 0 < step <= max(Fraction(1), first.high / 2)
        )

    def is_echoed(self, words: Sequence[str], length: Length) -> bool:
        """Whether its figure is said again soon after: `two hours` / `two, so the cake drinks it up`."""
        near = (self._numbers.at(words, place) for place in range(length.end, min(length.end + _ECHOED, len(words))))
        return any(figure is not None and (figure.low, figure.high) == (length.low, length.high) for figure in near)

    @staticmethod
    def _scaled(length: Length, end: int, low: Fraction, high: Fraction) -> Length:
        return Length(end, low, high, length.unit, length.scale, length.rule)
