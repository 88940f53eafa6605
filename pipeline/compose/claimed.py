"""Whose a claim is: of the dish that it names, of the one whose line has a mention of its food close by, of the one
that the food came up in just before, else of the dish that is spoken of."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.compose.line_draft import LineDraft
from pipeline.compose.named import DishNames
from pipeline.hear.claims import DISH, ClaimSpan
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.placed import InOrder
from pipeline.split.dishes import stem
from pipeline.split.outline import Outline

_JUST_BEFORE = 25


def claims_of(
    hearing: Hearing, outline: Outline, names: DishNames, lines: Sequence[LineDraft], dish: int
) -> list[ClaimSpan]:
    """The claims of one dish, in order; what is said of `the cake` by name is not said of the dish as well."""
    owner = _Owner(hearing, outline, names, lines)
    mine = [claim for claim in hearing.claims if owner.dish(claim) == dish]
    told = {(claim.nutrient, claim.sense) for claim in mine if owner.names_dish(claim)}
    return [claim for claim in mine if claim.food != DISH or (claim.nutrient, claim.sense) not in told]


class _Owner:
    """The dishes of the mentions that stand in a line."""

    def __init__(self, hearing: Hearing, outline: Outline, names: DishNames, lines: Sequence[LineDraft]) -> None:
        self._outline = outline
        self._names = names
        self._foods = InOrder(hearing.foods)
        self._mentioned = {hearing.foods[at].start: line.dish for line in lines for at in line.mentions}

    def dish(self, claim: ClaimSpan) -> int:
        """Index of the dish."""
        named = self._names.strict.get(stem(claim.food))
        if named is not None:
            return named.dish
        return self._outline.local[claim.start] if claim.subject is None else self._using(claim.subject)

    def names_dish(self, claim: ClaimSpan) -> bool:
        """Whether a claim calls the whole dish by its noun."""
        named = self._names.strict.get(stem(claim.food))
        return named is not None and not named.part

    def _using(self, food: FoodSpan) -> int:
        """`a cup of milk and milk is high ...` of the dish with the cup, `a turon has banana and banana is high ...` of
        the turon."""
        near = [said for said in self._foods.within(food.start - _JUST_BEFORE, food.end) if said.name == food.name]
        used = [self._mentioned[said.start] for said in near if said.start in self._mentioned]
        return used[-1] if used else self._outline.local[near[0].start]
