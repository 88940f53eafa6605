"""What is said a second time: an amount put right, a food that is still told of others."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import word_class
from pipeline.hear.measured import Measured
from pipeline.hear.speech import Speech

_PUT_RIGHT_REACH = 26
_SAID_AGAIN = 6
_OURS = word_class("said-anew")


def told_again(speech: Speech, foods: Sequence[FoodSpan], at: int) -> bool:
    """`most people put ketchup, a big squeeze of ketchup`: whether a food is said again at once, and not by us."""
    between = speech.words[foods[at - 1].end : foods[at].start]
    return foods[at - 1].food == foods[at].food and len(between) <= _SAID_AGAIN and _OURS.isdisjoint(between)


def put_right(foods: Sequence[FoodSpan], measured: Sequence[Measured]) -> frozenset[int]:
    """`a hundred grams of sugar, no, that was when i was young, seventy grams of sugar`: a correction of our own."""
    last: dict[str, int] = {}
    found: set[int] = set()
    for item in measured:
        name, quantity = foods[item.food].name.split()[-1], item.quantity
        if quantity.low is None or quantity.unit is None:
            continue
        near = name in last and quantity.start - last[name] <= _PUT_RIGHT_REACH
        if near and item.corrected_at >= last[name] - 1:
            found.add(item.food)
        last[name] = quantity.end
    return frozenset(found)
