"""An amount with its food."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.hear.foods import FoodSpan
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech


@dataclass(frozen=True, slots=True)
class Measured:
    """A food with an amount.

    `food` indexes the foods of the speech; `corrected_at` is the word at which the last correction before the amount
    was heard, -1 for none; `sums_up` that it puts in other words what was said; `more` that it comes on top; `total`
    that it sums up all; `free` that the food was not named with it; `part` that it is taken of what was said before;
    `rest` that it is the other part.
    """

    food: int
    quantity: Quantity
    rule: str
    corrected_at: int = -1
    sums_up: bool = False
    more: bool = False
    total: bool = False
    free: bool = False
    part: bool = False
    rest: bool = False


@dataclass(frozen=True, slots=True)
class Flags:
    """What the words round an amount say of it; the fields are those of Measured."""

    corrected_at: int
    sums_up: bool
    more: bool
    total: bool
    part: bool
    rest: bool


def measured(food: int, quantity: Quantity, rule: str, flags: Flags, *, free: bool = False) -> Measured:
    """An amount with its food and what the words round it say."""
    told = (flags.corrected_at, flags.sums_up, flags.more, flags.total)
    return Measured(food, quantity, rule, *told, free, flags.part, flags.rest)


def is_ahead(foods: Sequence[FoodSpan], item: Measured) -> bool:
    """`two turnips`, not `turnip was a bottle baby`."""
    return item.quantity.start < foods[item.food].head


def of_one(speech: Speech, measured: Sequence[Measured]) -> frozenset[int]:
    """Foods of which `one` was said, and no more."""
    return frozenset(
        item.food for item in measured if speech.words[item.quantity.start : item.quantity.end] == ("one",)
    )
