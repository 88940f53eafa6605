"""Tells what is said of a food apart from what was said before of one like it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING

from pipeline.compose.amounts import Said
from pipeline.compose.apart import far_apart
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import load_rows
from pipeline.split.dishes import stem

if TYPE_CHECKING:
    from pipeline.compose.line_draft import LineDraft

_CORRECTED_REACH = 30
_PUT_RIGHT_REACH = 16


def coloured(one: Sequence[str], two: Sequence[str]) -> bool:
    """Names with the same noun but other modifiers on both sides: red onion, white onion."""
    return bool(set(one) - set(two)) and bool(set(two) - set(one))


def another_kind(line: LineDraft, food: FoodSpan, said: Sequence[Said]) -> bool:
    """`a cup of sugar`, then `a little icing sugar`: a food more exactly named, with an amount of its own."""
    if (
        not said
        or not line.said
        or not line.food
        or food.food in {"", line.food}
        or food.kind not in {"name", "variant"}
    ):
        return False
    figures = (item.quantity for item in reversed(line.said) if item.quantity.low is not None)
    last, new = next(figures, None), said[0]
    if last is None:
        return False
    exact = len(food.name.split()) > len(line.name.split())
    counts = last.kind == "count" and new.quantity.kind == "count"
    other = not counts and (last.low, last.unit) != (new.quantity.low, new.quantity.unit) and not new.quantity.article
    near = new.quantity.start - last.end <= _CORRECTED_REACH
    corrected = near and new.measured.corrected_at >= last.end - 1
    taken = new.quantity.share or new.measured.more or new.measured.part or corrected
    return exact and other and not last.article and not taken


def another_amount(hearing: Hearing, line: LineDraft, said: Sequence[Said]) -> bool:
    """Whether no amount said before can be this one in other words: 250 grams of flour, then two spoons for the sauce.

    No unit holds the sum of both, so that each stands on a line of its own.
    """
    whole = [item.quantity for item in line.said if item.quantity.unit is not None]
    apart = (far_apart(old, new.quantity, hearing.kitchen) for old in whole for new in said)
    return bool(whole and said) and all(apart)


def put_right(line: LineDraft, food: FoodSpan, said: Sequence[Said]) -> bool:
    """`half a kilo of lamb mince, no, this is turkey mince, 500 grams`: right after its amount another food of the same
    noun takes the place of the one that was measured last."""
    one, two = line.name.split(), food.name.split()
    if not said or not line.said or stem(one[-1]) != stem(two[-1]) or not coloured(one, two):
        return False
    last, new = line.said[-1].quantity, said[0]
    near = new.quantity.start - last.end <= _PUT_RIGHT_REACH
    return near and last.kind == new.quantity.kind and new.measured.corrected_at >= last.end - 1


def of_its_own(line: LineDraft, food: FoodSpan, said: Sequence[Said]) -> bool:
    """`three green onions`, then `one onion`: a plant or a product that goes by no shorter name, where the shorter one
    has an amount, or where it is named after an amount of the other."""
    known, told = _own_kinds(line.name), _own_kinds(food.name)
    if known == told or (food.food and food.food == line.food):
        return False
    return bool(said) or bool(line.said and told and not known)


def _own_kinds(name: str) -> frozenset[str]:
    """The words of a name that make it something else than its last word says."""
    *kinds, noun = name.split()
    return _kinds_of().get(stem(noun), frozenset()).intersection(kinds)


@cache
def _kinds_of() -> Mapping[str, frozenset[str]]:
    rows = load_rows("own_kinds.csv", ("word", "kinds"))
    return {row["word"]: frozenset(row["kinds"].split()) for row in rows}


def firm(said: Sequence[Said]) -> bool:
    """Whether an amount is a figure: `a little custard` in the name of a dish is none of its ingredients."""
    quantities = (item.measured.quantity for item in said)
    return any(quantity.low is not None and not quantity.article for quantity in quantities)


def poured_out(said: Sequence[Said]) -> bool:
    """Whether an amount is by weight or volume: `two cups of vegetables`, not `three vegetables`."""
    return firm(said) and any(item.quantity.kind == "measure" and not item.quantity.share for item in said)
