"""One thing told without a figure: `the whole onion`, `that last cup of`, `this bunch of`, `another when it's dry`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from pipeline.hear.lexicon import Classes, phrase_class
from pipeline.hear.measures import UnitReader
from pipeline.hear.numbers import Figure, NumberReader
from pipeline.hear.quantity import ANOTHER_THING, Quantity

_WHEN = phrase_class("one-when")
_ANOTHER_REACH = 14
_SPOON_REACH = 40
_SPOONS = phrase_class("spoon-word")
SPOON_UNITS = frozenset({"teaspoon", "tablespoon"})
ONE_IS = "one's"
_ENOUGH = phrase_class("enough-word")
_WHOLES = frozenset({"bunch", "head"})


class OneThingReader:
    """Compiled words that point at one thing."""

    def __init__(self, numbers: NumberReader, units: UnitReader, classes: Classes) -> None:
        self._numbers, self._units = numbers, units
        self._sizes = frozenset(classes["size"])
        self._last = frozenset(classes["last-one"])
        self._another = frozenset(classes["another-one"])
        self._definite = frozenset(classes["definite"])
        self._whole_kinds = frozenset(classes["whole-kind"])
        self.openers = {ONE_IS} | self._last | self._another | self._definite

    def at(self, words: Sequence[str], place: int) -> Quantity | None:
        """The one thing that is pointed at from `place` on."""
        return (
            self._enough(words, place)
            or self._last_one(words, place)
            or self._this_one(words, place)
            or self._whole(words, place)
        )

    @staticmethod
    def _enough(words: Sequence[str], place: int) -> Quantity | None:
        """`two onions here but this one's plenty`: one of them."""
        if words[place] != ONE_IS or words[place + 1 : place + 2] not in _ENOUGH:
            return None
        return Quantity(place, place + 2, Fraction(1), Fraction(1), None, "count", "amount.enough", "one")

    def another_like(self, words: Sequence[str], place: int, found: Sequence[Quantity]) -> Quantity | None:
        """`a tablespoon of oil, and another when the pan is dry`: once more what was measured last."""
        last = found[-1] if found else None
        end = place + 1 + (words[place + 1 : place + 2] == ("one",))
        if words[place] not in self._another or last is None:
            return None
        if words[end : end + 1] in _SPOONS and last.unit in SPOON_UNITS and place - last.end <= _SPOON_REACH:
            return self._spoon_like(words, place, end + 1, last)
        if words[end : end + 1] not in _WHEN:
            return None
        if last.low != 1 or last.unit is None or place - last.end > _ANOTHER_REACH:
            return None
        return replace(last, start=place, end=end, rule="amount.another", words="another one", of=False)

    @staticmethod
    def _spoon_like(words: Sequence[str], place: int, end: int, last: Quantity) -> Quantity:
        """`a tablespoon of vinegar // another spoon of vinegar`: the spoon that was named last."""
        of = words[end : end + 1] == ("of",)
        said = " ".join(words[place:end])
        one = Fraction(1)
        return replace(last, start=place, end=end + of, low=one, high=one, rule="amount.another", words=said, of=of)

    def _whole(self, words: Sequence[str], place: int) -> Quantity | None:
        """`the whole onion`: one, whatever was said of half of it."""
        if words[place] not in self._definite or words[place + 1 : place + 2] != ("whole",):
            return None
        if place + 2 >= len(words) or words[place + 2] in self._whole_kinds or self._numbers.at(words, place + 2):
            return None
        return Quantity(
            place, place + 2, Fraction(1), Fraction(1), None, "count", "amount.whole", f"{words[place]} whole"
        )

    def _last_one(self, words: Sequence[str], place: int) -> Quantity | None:
        """`the other cup`, `that last tablespoon of`, `another clove`: one of that unit."""
        another = words[place] in self._another
        if not (another or words[place] in self._last) or place + 1 >= len(words):
            return None
        unit = self._units.at(words, place + 1)
        if unit is None and another and words[place] == "another":
            one = Fraction(1)
            return Quantity(place, place + 1, one, one, None, "count", ANOTHER_THING, "another")
        if unit is None or not (another or unit.kind in {"measure", "container"}) or words[unit.end - 1].endswith("s"):
            return None
        return self._units.finish(words, Figure(place, place + 1, Fraction(1), Fraction(1), "last"), unit)

    def _this_one(self, words: Sequence[str], place: int) -> Quantity | None:
        """`this big bunch of parsley`, `my head of garlic`, `the whole tin`: one of them, whatever is made of it."""
        if words[place] not in self._definite:
            return None
        whole = words[place + 1 : place + 2] == ("whole",)
        at = place + 1 + whole
        while at < len(words) and words[at] in self._sizes:
            at += 1
        unit = self._units.at(words, at)
        if unit is None or words[unit.end - 1].endswith("s"):
            return None
        named = words[unit.end : unit.end + 1] == ("of",) and unit.unit in _WHOLES
        if not named and not (whole and unit.kind == "container"):
            return None
        return self._units.finish(words, Figure(place, at, Fraction(1), Fraction(1), "this"), unit)
