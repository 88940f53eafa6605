"""Amounts said in two units: `a cup and two tablespoons of flour`, `one pound four ounces`."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from pipeline.hear.between import Between
from pipeline.hear.foods import FoodSpan
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech
from pipeline.hear.unit_sizes import times_as_much

_PLUS = frozenset({"plus"})
_JOINS = frozenset({("and",), ("plus",)})
_HEAVIER = frozenset({"pound", "kilogram"})
_OWN_REACH = 2
_LARGEST_RATIO = 16
_METRIC = 1000
_REPEATED = 2
_MUCH_MORE = 8


def summed(
    speech: Speech, foods: Sequence[FoodSpan], quantities: Sequence[Quantity], between: Between
) -> tuple[Quantity, ...]:
    """The quantities, those said in two units taken together in the larger one."""
    found: list[Quantity] = []
    for quantity in quantities:
        first = found[-1] if found else None
        ratio = _ratio(speech, first, quantity)
        if first is None or ratio is None or not _of_one_food(speech, foods, found, quantity, between):
            found.append(quantity)
            continue
        found[-1] = _both(speech, first, quantity, ratio)
    return tuple(found)


def _ratio(speech: Speech, first: Quantity | None, second: Quantity) -> Fraction | None:
    """How many of the second unit the first holds, where the two stand side by side and the second is less than one of
    the first; None otherwise."""
    if first is None or first.of or first.each or {first.kind, second.kind} != {"measure"}:
        return None
    if first.unit is None or second.unit is None or first.low is None or second.high is None:
        return None
    side_by_side = speech.words[first.end : second.start] in _JOINS or (
        first.end == second.start and first.unit in _HEAVIER
    )
    apart = any(speech.stop_after[first.end - 1 : second.start]) or any(speech.turn_before[first.end : second.end])
    ratio = times_as_much(first.unit, second.unit)
    usual = ratio is not None and (1 < ratio <= _LARGEST_RATIO or ratio == _METRIC)
    return ratio if side_by_side and not apart and ratio is not None and usual and second.high < ratio else None


def _of_one_food(
    speech: Speech, foods: Sequence[FoodSpan], found: Sequence[Quantity], second: Quantity, between: Between
) -> bool:
    """Not `milk one cup and two tablespoons of flour`, where each has its food, nor `make it four tablespoons and half
    a teaspoon of mace`, nor `a cup of milk and a half, so one and a half cups and two tablespoons of flour`, where the
    first repeats what was said."""
    first = found[-1]
    after = bisect_left(foods, second.end + 1, key=lambda food: food.end)
    lately = found[-1 - _REPEATED : -1]
    if speech.words[first.start - 1 : first.start] == ("so",) and any(item.unit == first.unit for item in lately):
        return False
    follows = second.of or (after < len(foods) and foods[after].start <= second.end)
    if follows and _is_dash(first, second):
        return False
    before = bisect_left(foods, first.start + 1, key=lambda food: food.end) - 1
    if not follows or before < 0 or speech.words[first.end] in _PLUS:
        return True
    owner = foods[before]
    reach = 0 if len(found) > 1 and found[-2].article else _OWN_REACH
    measured = len(found) > 1 and 0 <= owner.start - found[-2].end <= reach
    return measured or not between.links(speech.words, owner.end, first.start, thing=False)


def _is_dash(first: Quantity, second: Quantity) -> bool:
    """Half a teaspoon beside four tablespoons: nobody measures the one so roughly and the other so finely."""
    assert first.unit is not None and second.unit is not None and first.low is not None and second.high is not None
    held = first.low * (times_as_much(first.unit, second.unit) or 1)
    return second.high < 1 and held >= _MUCH_MORE * second.high


def _both(speech: Speech, first: Quantity, second: Quantity, ratio: Fraction) -> Quantity:
    assert first.low is not None and first.high is not None and second.low is not None and second.high is not None
    low, high = first.low + second.low / ratio, first.high + second.high / ratio
    words = " ".join((first.words, *speech.words[first.end : second.start], second.words))
    return replace(second, start=first.start, low=low, high=high, unit=first.unit, words=words)
