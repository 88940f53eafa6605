"""Figures that may be a temperature, and those that count something else."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from pipeline.hear.lexicon import Classes, load_rows
from pipeline.hear.numbers import Figure, NumberReader

_JOINED_WORDS = 3
_HOTTEST_SAID = 500


class HeatFigures:
    """Figures as temperatures are spoken, `three fifty`."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        measures = load_rows("units.csv", ("word", "unit", "kind"))
        times = load_rows("time_units.csv", ("word", "unit", "seconds"))
        self._other_units = frozenset(row["word"] for row in (*measures, *times)) - {"c", "f"}
        self._not_heat = frozenset(classes["not-heat-after"])

    def joined(self, words: Sequence[str], place: int) -> Figure | None:
        """Two figures said as one, or written as a time of the day: `4:25` for 425."""
        joined = self._numbers.joined(words, place)
        pair = words[place : place + 2]
        if joined is None and all(word.isdecimal() for word in pair) and [len(word) for word in pair] == [1, 2]:
            value = Fraction("".join(pair))
            return Figure(place, place + 2, value, value, "joined")
        return self._without_count(words, joined) if joined is not None else None

    def _without_count(self, words: Sequence[str], joined: Figure) -> Figure:
        """`one seventy, two tablespoons`, `one ninety, one seventy fan`: the last word is of the next figure; not of
        `three seventy five, twelve tortillas`, as nobody says 512 of an oven."""
        following = words[joined.end : joined.end + 1]
        second = self._numbers.joined(words, joined.end - 1) if following else None
        again = (
            second is not None
            and second.low <= _HOTTEST_SAID
            and self._other_units.isdisjoint(words[second.end : second.end + 1])
        )
        if joined.end - joined.start < _JOINED_WORDS or not (again or not self._other_units.isdisjoint(following)):
            return joined
        value = joined.low - joined.low % 10
        return Figure(joined.start, joined.end - 1, value, value, "joined")

    def counts_other(self, words: Sequence[str], figure: Figure) -> bool:
        """Whether the figure is of something else: `sixty grams`, `two hundred, two hundred and ten grams`."""
        said = words[figure.start : figure.end]
        echo = words[figure.end : figure.end + len(said)] == said
        again = self._numbers.at(words, figure.end) if echo else None
        end = again.end if again is not None else figure.end
        return bool(self._other_units.union(self._not_heat).intersection(words[end : end + 1]))
