"""Weighs for every food of a talk whether it goes into a dish at all, by everything that is said of it together.

Each mention was judged by the words round it. A food that is judged to be used and is more likely only spoken of is
kept out and asked about; one that no mention has put in, and that more likely goes in, is put in where it has its
amount, or else where it is named first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import exp

from pipeline.compose.food_signs import FoodSigns, Talk, by_food
from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_sign_weights
from pipeline.hear.usage import ALTERNATIVE, SHOWN, USED, Usage
from pipeline.split.dishes import Dish

_DOUBTFUL = 0.4
_LIKELY = 0.5
_FEW = 15
_MOSTLY = 0.6


class GoesIn:
    """What speaks for and against a food, weighed by `models/food_signs.csv`."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self._weights = load_sign_weights("food_signs.csv")
        self._signs = FoodSigns(table, classes)

    def judged(self, hearing: Hearing, dishes: Sequence[Dish]) -> tuple[Hearing, frozenset[str]]:
        """The hearing with likely foods put in, and the foods that are more likely talk. Where few foods have an
        amount, so that to have none tells nothing, all stays as it is."""
        talk = self._signs.talk(hearing, dishes)
        foods = by_food(hearing)
        used = [mentions for mentions in foods.values() if _live(hearing, mentions)]
        measured = sum(any(_has_amount(talk, at) for at in mentions) for mentions in used)
        if measured < max(_FEW, _MOSTLY * len(used)):
            return hearing, frozenset()
        likely = {food: self.likelihood(talk, mentions) for food, mentions in foods.items()}
        usages = list(hearing.usages)
        for food, mentions in foods.items():
            if likely[food] > _LIKELY and not _live(hearing, mentions):
                for at in _put_in(talk, mentions):
                    usages[at] = Usage(USED, "", "usage.likely")
        doubted = frozenset(food for food in foods if likely[food] < _DOUBTFUL)
        return replace(hearing, usages=tuple(usages)), doubted

    def likelihood(self, talk: Talk, mentions: Sequence[int]) -> float:
        """How likely, from 0 to 1, the food that is named at these mentions goes into a dish."""
        signs = self._signs.of(talk, mentions)
        return 1 / (1 + exp(-sum(weight * self._weights.get(sign, 0.0) for sign, weight in signs.items())))


def _put_in(talk: Talk, mentions: Sequence[int]) -> Sequence[int]:
    """Where a food goes in: at its first amount, or else at its first mention that offers it for no other."""
    measured = [at for at in mentions if _has_amount(talk, at)]
    named = [at for at in mentions if talk.hearing.usages[at].status != ALTERNATIVE]
    return (measured or named)[:1]


def _live(hearing: Hearing, mentions: Sequence[int]) -> list[int]:
    return [at for at in mentions if hearing.usages[at].status in {USED, SHOWN}]


def _has_amount(talk: Talk, at: int) -> bool:
    return any(not quantity.article for quantity in talk.said.get(at, ()))
