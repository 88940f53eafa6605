"""Figures that may be a temperature, and those that count something else."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.lexicon import Classes, load_rows, time_words
from pipeline.hear.numbers import Figure, NumberReader
from pipeline.hear.speech import Speech

# A kind of thing that has no temperature though it has figures: scales, a clock.
NOTHING = "none"
_JOINED_WORDS = 3
_HOTTEST_SAID = 500
_HIGHEST = 650
_LEAST_IN_DOUBT = 30
_FORMS = frozenset({"cardinal", "digits", "joined", "range"})


@dataclass(frozen=True, slots=True)
class BareFigure:
    """A figure without a unit: the temperature that a rule takes it for, None where none does, the kinds of thing named
    near it, the nearest first, and the temperature that a rule read last before it."""

    figure: Figure
    span: HeatSpan | None
    near: Sequence[str]
    last: HeatSpan | None


class HeatFigures:
    """Figures as temperatures are spoken, `three fifty`."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        measures = load_rows("units.csv", ("word", "unit", "kind"))
        self._other_units = time_words().union(row["word"] for row in measures) - {"c", "f"}
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

    def bare(
        self,
        speech: Speech,
        blocked: frozenset[int],
        read: Sequence[HeatSpan],
        near: Callable[[int, int], Sequence[str]],
    ) -> Iterator[BareFigure]:
        """The figures that may be temperatures and no unit is said of, where some were `read` by rule and others are
        `blocked`, as they tell something else; `near` gives what is named near some words."""
        words, by_start = speech.words, {span.start: span for span in read}
        openers = self._numbers.openers(speech.places).union(words[start] for start in by_start)
        last, done = None, 0
        for place in speech.where(openers):
            if place < done:
                continue
            span = by_start.get(place)
            figure = self.joined(words, place) or self._numbers.at(words, place)
            if figure is not None and self._is_bare(words, figure, span, blocked):
                kinds = near(figure.start, figure.end)
                if kinds[:1] != [NOTHING]:
                    yield BareFigure(figure, span, kinds, last)
            last = span or last
            done = span.end if span is not None else figure.end if figure is not None else place

    def _is_bare(self, words: Sequence[str], figure: Figure, span: HeatSpan | None, blocked: frozenset[int]) -> bool:
        """Whether only the words round a figure tell what it is; small ones are read as heat only by sure rules."""
        if span is not None:
            bare = figure.form in _FORMS and figure.high == span.value
            return bare and not span.unit_said and span.value >= _LEAST_IN_DOUBT
        if figure.start in blocked or figure.form not in _FORMS or self.counts_other(words, figure):
            return False
        counts = figure.end in blocked and self._numbers.at(words, figure.end) is None
        return figure.high.denominator == 1 and figure.high <= _HIGHEST and not counts
