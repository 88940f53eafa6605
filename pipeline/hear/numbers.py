"""Spoken and written figures: `two and a half`, `1 1/2`, `¾`, `a couple`, `half a`, `between two and three`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import NamedTuple

from pipeline.errors import RulesError
from pipeline.hear.lexicon import phrase_class, word_class
from pipeline.phrases import Places, places_of
from pipeline.resources import models_path, read_rows

_COLUMNS = ("word", "value", "kind")
_ROUND = frozenset({10, 12, 15, 20})
_LEAST_ROUNDED = 8
_ROUNDED = 5
_MOST_FINGERS = 9
_NONE, _ONE = Fraction(0), Fraction(1)
_SPOONS = word_class("spoon-or-cup")
_NOUGHTS = word_class("nought-letter")
_OVER_NINE = frozenset({"teen", "ten"})
_LINKS = word_class("range-link")
_HEDGES = word_class("range-hedge")
_OF_ONE = phrase_class("part-of-one")
_HALF_OF = phrase_class("half-of-something")
_ARTICLE = word_class("article")


class Figure(NamedTuple):
    """Words `start` to `end` (exclusive) say a number or a range. `form` is how it was said: article (`a`), part
    (`half`), group (`a couple`), cardinal, digits or range."""

    start: int
    end: int
    low: Fraction
    high: Fraction
    form: str

    @property
    def rule(self) -> str:
        """Name of the rule that read the figure."""
        return f"number.{self.form}"


@dataclass(frozen=True, slots=True)
class NumberWords:
    """The words of `models/numbers.csv`: word -> (value, kind)."""

    table: Mapping[str, tuple[Fraction, str]]

    @classmethod
    def load(cls, path: Path | None = None) -> NumberWords:
        """Raises RulesError naming file and line where a value is not a number or a fraction."""
        path = path or models_path("numbers.csv")
        table: dict[str, tuple[Fraction, str]] = {}
        for line, row in read_rows(path, _COLUMNS):
            try:
                table[row["word"]] = (Fraction(row["value"]), row["kind"])
            except ValueError as fault:
                raise RulesError(
                    f"value {row['value']!r} is not a number or a fraction such as 1/2", file=path.name, line=line
                ) from fault
        return cls(table)

    def kind(self, word: str) -> str:
        """Kind of a number word; empty for any other word."""
        entry = self.table.get(word)
        return entry[1] if entry is not None else ""

    def value(self, word: str) -> Fraction:
        """Value of a number word."""
        return self.table[word][0]


@cache
def number_reader() -> NumberReader:
    """The reader with the words of `models/numbers.csv`, made once a process."""
    return NumberReader(NumberWords.load())


def _digits(word: str) -> Fraction | None:
    if not word[:1].isdecimal():
        return None
    whole = word.replace(",", "") if _is_thousands(word) else word.replace(",", ".")
    return Fraction(whole) if whole.count(".") <= 1 else None


def _is_thousands(word: str) -> bool:
    head, _, tail = word.partition(",")
    return len(tail) == 3 and 1 <= len(head) <= 3


class NumberReader:
    """Reads the figure that begins at a word, if one does. Times, heat and amounts are asked for in turn at the same
    words, so the figures of the speech it was asked for last are kept."""

    def __init__(self, number_words: NumberWords) -> None:
        self._table = number_words
        self._last: tuple[Sequence[str], dict[int, Figure | None]] = ((), {})

    def at(self, words: Sequence[str], start: int) -> Figure | None:
        """The longest figure or range that begins at `start`."""
        if not self._may_begin(words[start]):
            return None
        if not isinstance(words, tuple):
            return self._read(words, start)
        speech, figures = self._last
        if speech is not words:
            figures = {}
            self._last = (words, figures)
        if start not in figures:
            figures[start] = self._read(words, start)
        return figures[start]

    def _read(self, words: Sequence[str], start: int) -> Figure | None:
        """What `at` gives, where a figure may begin."""
        if words[start] == "between" and start + 1 < len(words):
            return self._between(words, start)
        first = self._one(words, start)
        if first is None or first.form == "article":
            return first
        place = self._linked(words, first)
        if place == first.end:
            return first
        second = self._one(words, place)
        if second is not None and second.form != "article" and second.low > first.high:
            return Figure(start, second.end, first.low, second.high, "range")
        return first

    def and_the_next(self, words: Sequence[str], figure: Figure) -> Figure:
        """`four five`, `ten twelve`: a small figure and the next one after it are a range; else the figure as it is."""
        if figure.form != "cardinal" or figure.end >= len(words):
            return figure
        second = self.at(words, figure.end)
        if second is None or second.form != "cardinal":
            return figure
        near = second.low in _ROUND and _LEAST_ROUNDED <= figure.low < second.low <= figure.low + _ROUNDED
        if not near and (figure.low > _MOST_FINGERS or second.low != figure.low + 1):
            return figure
        return Figure(figure.start, second.end, figure.low, second.high, "range")

    def _linked(self, words: Sequence[str], first: Figure) -> int:
        """Where a second figure may begin: after `to`, `or maybe`; `first.end` where no such word follows."""
        if first.end + 1 >= len(words) or words[first.end] not in _LINKS:
            return first.end
        hedged = first.end + 2 < len(words) and words[first.end + 1] in _HEDGES
        return first.end + 1 + hedged

    def everywhere(self, words: Sequence[str], places: Places | None = None) -> tuple[Figure, ...]:
        """Figures from left to right, none overlapping another."""
        found: list[Figure] = []
        done = 0
        known = places_of(words, set(words)) if places is None else places
        for place in sorted([place for word in self.openers(known) for place in known[word]]):
            figure = self.at(words, place) if place >= done else None
            if figure is not None:
                found.append(figure)
                done = figure.end
        return tuple(found)

    def openers(self, words: Iterable[str]) -> set[str]:
        """Those of some different words with which a figure may begin."""
        return {word for word in words if self._may_begin(word)}

    def _may_begin(self, word: str) -> bool:
        return word in self._table.table or word[:1].isdecimal() or word == "between"

    def _between(self, words: Sequence[str], start: int) -> Figure | None:
        low = self._one(words, start + 1)
        if low is None or low.end + 1 >= len(words) or words[low.end] != "and":
            return None
        high = self._one(words, low.end + 1)
        if high is None or high.low <= low.low:
            return None
        return Figure(start, high.end, low.low, high.high, "range")

    def _one(self, words: Sequence[str], start: int) -> Figure | None:
        if start >= len(words):
            return None
        word = words[start]
        kind = self._table.kind(word)
        if word[0].isdecimal() or kind == "sign":
            return self._written(words, start)
        if kind == "article":
            return self._after_article(words, start)
        if kind == "part":
            return self._part(words, start)
        if kind == "hundred" and (more := self._hundreds(words, start, _ONE, start + 1)).end > start + 1:
            return more
        if kind in {"group", "hundred"}:
            return Figure(start, start + 1, self._table.value(word), self._table.value(word), "group")
        if kind in {"digit", "teen", "ten"}:
            return self._cardinal(words, start)
        return None

    def _written(self, words: Sequence[str], start: int) -> Figure | None:
        value, end = self._written_part(words, start)
        if value is None:
            return None
        if end < len(words) and value.denominator == 1:
            more, more_end = self._written_part(words, end)
            if more is not None and 0 < more < 1:
                return Figure(start, more_end, value + more, value + more, "digits")
        value, end = self._and_a_part(words, value, end)
        return Figure(start, end, value, value, "digits")

    def _written_part(self, words: Sequence[str], start: int) -> tuple[Fraction | None, int]:
        if self._table.kind(words[start]) == "sign":
            return self._table.value(words[start]), start + 1
        value = _digits(words[start])
        if value is not None and start + 2 < len(words) and words[start + 1] == "/":
            below = _digits(words[start + 2])
            if below:
                return value / below, start + 3
        return value, start + 1

    def _after_article(self, words: Sequence[str], start: int) -> Figure:
        if start + 1 < len(words):
            following = words[start + 1]
            kind = self._table.kind(following)
            if kind == "part" and following != "second":
                part = self._part(words, start + 1)
                return Figure(start, part.end, part.low, part.high, "part")
            if kind == "group":
                end = start + 3 if words[start + 2 : start + 3] == ("of",) else start + 2
                value = self._table.value(following)
                if self._is_next(words, start + 2, value):
                    return Figure(start, start + 3, value, value + 1, "range")
                return Figure(start, min(end, start + 2), value, value, "group")
            if kind == "hundred":
                return self._hundreds(words, start, _ONE, start + 2)
        return Figure(start, start + 1, _ONE, _ONE, "article")

    def _is_next(self, words: Sequence[str], place: int, value: Fraction) -> bool:
        """`a couple three`: whether the next higher figure follows at once."""
        digit = place < len(words) and self._table.kind(words[place]) == "digit"
        return digit and self._table.value(words[place]) == value + 1

    def _part(self, words: Sequence[str], start: int) -> Figure:
        value = self._table.value(words[start])
        end = start + 1
        if words[start] == "half" and list(words[end : end + 2]) == ["a", "dozen"]:
            return Figure(start, end + 2, Fraction(6), Fraction(6), "group")
        if tuple(words[end : end + 2]) in _OF_ONE:
            return Figure(start, end + 2, value, value, "part")
        if not _ARTICLE.isdisjoint(words[end : end + 1]):
            return Figure(start, end + 1, value, value, "part")
        return Figure(start, end, value, value, "part")

    def _cardinal(self, words: Sequence[str], start: int) -> Figure:
        value = self._table.value(words[start])
        end = start + 1
        following = self._table.kind(words[end]) if end < len(words) else ""
        again = end + 1 < len(words) and self._table.kind(words[end + 1]) == "hundred"
        digit = following == "digit" and self._table.value(words[end]) > 0 and not again
        if self._table.kind(words[start]) == "ten" and digit:
            value += self._table.value(words[end])
            end += 1
            following = self._table.kind(words[end]) if end < len(words) else ""
        if following == "hundred":
            return self._hundreds(words, start, value, end + 1)
        if following == "group":
            value *= self._table.value(words[end])
            return Figure(start, end + 1, value, value, "group")
        if following == "part" and words[end] not in {"half", "second"} and value < 10:
            part = self._part(words, end)
            return Figure(start, part.end, value * part.low, value * part.low, "part")
        if following == "part" and words[end] == "half" and value == 1:
            return Figure(start, end + 1, Fraction(1, 2), Fraction(1, 2), "part")
        if words[end : end + 1] == ("by",) and end + 2 < len(words) and words[end + 2] in _SPOONS:
            below = self._table.value(words[end + 1]) if self._table.kind(words[end + 1]) == "digit" else value
            if value < below:
                return Figure(start, end + 2, value / below, value / below, "part")
        decimals, end = self._after_point(words, end)
        if decimals:
            return Figure(start, end, value + decimals, value + decimals, "cardinal")
        value, end = self._and_a_part(words, value, end)
        return Figure(start, end, value, value, "cardinal")

    def _after_point(self, words: Sequence[str], end: int) -> tuple[Fraction, int]:
        """`point five`, `point two five` after a whole number: the decimals and where they end, or (0, end)."""
        place, digits = end + 1, ""
        while words[end : end + 1] and words[end] == "point" and place < len(words):
            if self._table.kind(words[place]) != "digit":
                break
            digits += str(self._table.value(words[place]))
            place += 1
        return (Fraction(int(digits), 10 ** len(digits)), place) if digits else (_NONE, end)

    def _hundreds(self, words: Sequence[str], start: int, times: Fraction, end: int) -> Figure:
        value = times * 100
        rest = end + 1 if words[end : end + 1] and words[end] == "and" else end
        begins = rest < len(words) and self._table.kind(words[rest]) in {"digit", "teen", "ten"}
        if begins and (rest > end or self.joined(words, rest) is None):
            below = self._cardinal(words, rest)
            if below.form == "cardinal" and below.low < 100:
                return Figure(start, below.end, value + below.low, value + below.low, "cardinal")
        return Figure(start, end, value, value, "cardinal")

    def _and_a_part(self, words: Sequence[str], value: Fraction, end: int) -> tuple[Fraction, int]:
        """`and a half`, `and three quarters`, `and 1/2` after a whole number."""
        if end + 1 >= len(words) or words[end] != "and" or self._half_of_something(words, end + 1):
            return value, end
        if self._table.kind(words[end + 1]) not in {"article", "part", "digit", "sign"}:
            return value, end
        part = self._one(words, end + 1)
        if part is None or part.form not in {"part", "digits"} or part.low >= 1:
            return value, end
        ends_in_article = words[part.end - 1] in _ARTICLE and part.end - end > 2
        return value + part.low, part.end - 1 if ends_in_article else part.end

    @staticmethod
    def _half_of_something(words: Sequence[str], place: int) -> bool:
        """`and half a lemon`, `and half of that`: another amount begins."""
        return words[place] == "half" and words[place + 1 : place + 2] in _HALF_OF

    def and_a_part(self, words: Sequence[str], place: int) -> tuple[Fraction, int]:
        """`and a half` after a unit, as in `a cup and a half`: the part and where it ends, or (0, place)."""
        return self._and_a_part(words, _NONE, place)

    def joined(self, words: Sequence[str], start: int) -> Figure | None:
        """Two figures said as one: `three fifty` is 350, `one forty five` 145, `two oh one` 201. None where not so."""
        following = words[start + 1] if start + 1 < len(words) else ""
        nought = following in _NOUGHTS
        if self._table.kind(words[start]) != "digit" or not (nought or self._table.kind(following) in _OVER_NINE):
            return None
        hundreds = self._table.value(words[start])
        second = self._one(words, start + 1 + nought)
        if second is None or second.form != "cardinal" or not 1 <= hundreds <= 9:
            return None
        if (second.low > 9 or second.end != start + 3) if nought else not 10 <= second.low <= 99:
            return None
        value = hundreds * 100 + second.low
        return Figure(start, second.end, value, value, "joined")
