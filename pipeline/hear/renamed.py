"""Names put right at once by the name everybody knows: `half a teaspoon of SOMETHING that is ground cumin`."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace
from itertools import pairwise

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import phrase_class, word_class
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech

_RULE = "food.renamed"
_THAT_IS = phrase_class("that-is")
_THATS = word_class("that-means")
_NOT_A_NAME = phrase_class("not-a-new-name")
_OTHER_NAMES = frozenset({"variant", "misheard"})
_LONGEST_NAME = 3


def rename_called(speech: Speech, foods: Sequence[FoodSpan]) -> tuple[FoodSpan, ...]:
    """`geera that is ground cumin one teaspoon`: another name and the form told are one thing every time."""
    known: dict[str, FoodSpan] = {}
    for one, two in pairwise(foods):
        told = two.start == _told_from(speech, one.end) and one.food != two.food and one.kind in _OTHER_NAMES
        if told and one.food.split("-")[0] == two.food.split("-")[0]:
            known.setdefault(one.food, two)
    renamed = (food.kind in _OTHER_NAMES and food.food in known for food in foods)
    return tuple(_renamed(food, known[food.food]) if it else food for food, it in zip(foods, renamed, strict=True))


def fill_renamed(
    speech: Speech, foods: Sequence[FoodSpan], quantities: Sequence[Quantity], not_foods: Set[str]
) -> tuple[FoodSpan, ...]:
    """Adds what is measured by a word that is no food of the list, and is at once called by the name of one."""
    starts = {food.start: food for food in foods}
    named = {place for food in foods for place in range(food.start, food.end)}
    found = list(foods)
    for quantity in quantities:
        for end in range(quantity.end + 1, quantity.end + 1 + _LONGEST_NAME):
            words = speech.words[quantity.end : end]
            place = _told_from(speech, end)
            if not quantity.of or not not_foods.isdisjoint(words) or end - 1 in named:
                break
            food = starts.get(place) if place is not None else None
            if food is not None and food.name not in not_foods and _is_name(speech, food):
                found.append(_renamed(replace(food, start=quantity.end, end=end, head=quantity.end), food))
    return tuple(sorted(found, key=lambda food: food.start))


def _told_from(speech: Speech, place: int) -> int | None:
    """Where the name begins that `that is` at a word leads in."""
    if speech.words[place : place + 1] and speech.words[place] in _THATS:
        return place + 1
    return place + 2 if speech.words[place : place + 2] in _THAT_IS else None


def _is_name(speech: Speech, food: FoodSpan) -> bool:
    """Not `that is salt free`."""
    after = speech.words[food.end : food.end + 2]
    return after not in _NOT_A_NAME and after[:1] not in _NOT_A_NAME


def _renamed(food: FoodSpan, name: FoodSpan) -> FoodSpan:
    return replace(food, name=name.name, food=name.food, kind=name.kind, rule=_RULE)
