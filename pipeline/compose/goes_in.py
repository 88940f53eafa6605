"""Weighs for every food of a talk whether it goes into a dish or may stand in for one that does, by everything that is
said of it together.

Each mention was judged by the words round it. A food that is judged to be used and is more likely only spoken of is
kept out and asked about; one that no mention has put in, and that more likely goes in, is put in where it has its
amount, or else where it is named first. One that does not go in and likely is offered in the place of another is an
alternative; one that likely is not is none.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from pipeline.compose.food_signs import FoodSigns, Talk, by_food
from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_sign_weights
from pipeline.hear.usage import ALTERNATIVE, SHOWN, SPOKEN, USED, Usage
from pipeline.hear.weighing import added, chance, strongest
from pipeline.split.dishes import Dish

_DOUBTFUL = 0.4
# To leave out what goes in with a figure harms more: the load is told without it.
_DOUBTFUL_MEASURED = 0.33
_LIKELY = 0.5
_OFFERED, _NOT_OFFERED = 0.4, 0.3
_FEW = 15
_MOSTLY = 0.6


@dataclass(frozen=True, slots=True)
class Weighed:
    """How likely, from 0 to 1, a food goes in and is offered in the place of another, and what each sign adds to
    either, the strongest first."""

    goes_in: float
    offered: float
    for_going_in: tuple[tuple[str, float], ...]
    for_being_offered: tuple[tuple[str, float], ...]


class GoesIn:
    """What speaks for and against a food, weighed by `models/food_signs.csv` and `alternative_signs.csv`."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self._goes_in = load_sign_weights("food_signs.csv")
        self._stands_in = load_sign_weights("alternative_signs.csv")
        self._signs = FoodSigns(table, classes)

    def judged(self, hearing: Hearing, dishes: Sequence[Dish]) -> tuple[Hearing, frozenset[str]]:
        """The hearing with likely foods put in, and the foods that are more likely talk. Where few foods have an
        amount, so that to have none tells nothing, all stays as it is."""
        talk = self._signs.talk(hearing, dishes)
        foods = by_food(hearing)
        if not _is_measured_throughout(talk, foods):
            return hearing, frozenset()
        usages = list(hearing.usages)
        doubted: set[str] = set()
        for food, mentions in foods.items():
            signs = self._signs.of(talk, mentions)
            likely = chance(added(self._goes_in, signs))
            bound = _DOUBTFUL_MEASURED if any(_is_measured(talk, at) for at in mentions) else _DOUBTFUL
            if likely < bound:
                doubted.add(food)
            live = _live(hearing, mentions)
            if likely > _LIKELY and not live:
                for at in _put_in(talk, mentions):
                    usages[at] = Usage(USED, "", "usage.likely")
            elif food in doubted or not live:
                self._offer(talk, mentions, chance(added(self._stands_in, signs)), usages)
        return replace(hearing, usages=tuple(usages)), frozenset(doubted)

    def weighed(self, hearing: Hearing, dishes: Sequence[Dish], food: str) -> Weighed | None:
        """What tells of one food of a talk, as it was heard; None where foods are not weighed."""
        talk = self._signs.talk(hearing, dishes)
        foods = by_food(hearing)
        if food not in foods or not _is_measured_throughout(talk, foods):
            return None
        signs = self._signs.of(talk, foods[food])
        goes_in, offered = added(self._goes_in, signs), added(self._stands_in, signs)
        return Weighed(chance(goes_in), chance(offered), strongest(goes_in), strongest(offered))

    def _offer(self, talk: Talk, mentions: Sequence[int], likely: float, usages: list[Usage]) -> None:
        """Makes a food that likely is offered in the place of another an alternative, at the mention that most likely
        offers it; where it likely is not, those that rules took for an offer are only spoken of."""
        offered = [at for at in mentions if usages[at].status == ALTERNATIVE]
        if not offered and likely > _OFFERED:
            best = max(mentions, key=lambda at: chance(added(self._stands_in, self._signs.of(talk, [at]))))
            usages[best] = Usage(ALTERNATIVE, "alternative", "alternative.likely")
        elif likely < _NOT_OFFERED:
            for at in offered:
                usages[at] = Usage(SPOKEN, "", "alternative.unlikely")


def _is_measured_throughout(talk: Talk, foods: Mapping[str, Sequence[int]]) -> bool:
    """Whether so many foods have an amount that to have none tells something."""
    used = [mentions for mentions in foods.values() if _live(talk.hearing, mentions)]
    measured = sum(any(_has_amount(talk, at) for at in mentions) for mentions in used)
    return measured >= max(_FEW, _MOSTLY * len(used))


def _put_in(talk: Talk, mentions: Sequence[int]) -> Sequence[int]:
    """Where a food goes in: at its first amount, or else at its first mention that offers it for no other."""
    measured = [at for at in mentions if _has_amount(talk, at)]
    named = [at for at in mentions if talk.hearing.usages[at].status != ALTERNATIVE]
    return (measured or named)[:1]


def _live(hearing: Hearing, mentions: Sequence[int]) -> list[int]:
    return [at for at in mentions if hearing.usages[at].status in {USED, SHOWN}]


def _is_measured(talk: Talk, at: int) -> bool:
    """Whether a mention that puts the food in says a figure of it."""
    figure = any(quantity.low is not None and not quantity.article for quantity in talk.said.get(at, ()))
    return figure and talk.hearing.usages[at].status in {USED, SHOWN}


def _has_amount(talk: Talk, at: int) -> bool:
    return any(not quantity.article for quantity in talk.said.get(at, ()))
