"""Amounts told once more in parts: `four cloves of garlic, two in the paste and two in the pot`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech

_REACH = 8
_BETWEEN = 8
_REST_REACH = 14
_REST_TAIL = 9
_NAMED_AT = 3
_HALF = Fraction(1, 2)
_ALL = Fraction(1)
_RESTS = (("the", "rest"), ("other", "half"), ("next", "half"), ("second", "half"))


class SplitReader:
    """Compiled words that say where a part goes."""

    def __init__(self, classes: Classes) -> None:
        self._goes = frozenset(classes["part-goes"])
        self._in_the_dish = frozenset(classes["rest-goes"])
        self._kept_back = frozenset(classes["rest-kept"]) | frozenset(classes["part-food"])

    def without_parts(self, speech: Speech, quantities: Sequence[Quantity]) -> tuple[Quantity, ...]:
        """The quantities without two bare figures in a row that say where the parts of the one before them go."""
        kept: list[Quantity] = []
        at = 0
        while at < len(quantities):
            kept.append(quantities[at])
            parts = quantities[at + 1 : at + 3]
            at += 3 if len(parts) > 1 and self._makes_up(speech, quantities[at], parts[0], parts[1]) else 1
        return tuple(kept)

    def _makes_up(self, speech: Speech, whole: Quantity, one: Quantity, two: Quantity) -> bool:
        if whole.low is None or whole.article or one.low is None or two.low is None or one.low + two.low != whole.low:
            return False
        near = one.start - whole.end <= _REACH and two.start - one.end <= _BETWEEN
        return near and self._goes_somewhere(speech, one) and self._goes_somewhere(speech, two)

    def _goes_somewhere(self, speech: Speech, part: Quantity) -> bool:
        bare = part.unit is None and not (part.of or part.share or part.article or part.each)
        return bare and speech.words[part.end : part.end + 1] != () and speech.words[part.end] in self._goes

    def all_of_it(self, speech: Speech, foods: Sequence[FoodSpan], after: int, part: Quantity) -> Quantity:
        """`half of it in here, the rest later`: all of it, where the other half goes into the dish as well; not where
        it is kept for tomorrow or goes into something else."""
        if not part.share or part.unit is not None or part.low != _HALF:
            return part
        words, last = speech.words, min(len(speech), part.end + _REST_REACH)
        told = next((at + 2 for at in range(part.end, last) if words[at : at + 2] in _RESTS), -1)
        tail = words[told : told + _REST_TAIL]
        named = any(part.end + _NAMED_AT < food.start < told + _REST_TAIL for food in foods[after : after + 2])
        if told < 0 or named or self._in_the_dish.isdisjoint(tail[:3]) or not self._kept_back.isdisjoint(tail):
            return part
        return replace(part, low=_ALL, high=_ALL)
