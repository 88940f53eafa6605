"""Of which dish each clause is, by all that is told before and after it.

The signs of `dish_signs.py` are weighed by `models/dish_way.csv`, set on talks with answers: a conditional random field
of one state for each dish (Lafferty, McCallum and Pereira, Conditional random fields, 2001), in which turning to any
other dish costs the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import load_sign_weights
from pipeline.split.chances import chances
from pipeline.split.company import Company, load_company
from pipeline.split.dish_signs import DishSigns, Followed
from pipeline.split.signs import Signs

_BY_FAR = 2.0


class DishWay:
    """The weights of all signs."""

    def __init__(self, table: FoodTable, signs: Signs) -> None:
        self._signs = DishSigns(Company(table, load_company()), signs)
        self._weights = load_sign_weights("dish_way.csv")

    def likeliest(self, hearing: Hearing, followed: Followed) -> list[int]:
        """The dish of every clause: the one it was told of at first, or another where that is likelier by far."""
        told = self._signs.of(hearing, followed)
        points = [[self._points(signs) for signs in clause.dishes] for clause in told]
        likely = chances(points, [self._points(clause.turning) for clause in told])
        at_first = [followed.told[start].dish for start in followed.starts]
        return [likelier(chance, dish) for chance, dish in zip(likely, at_first, strict=True)]

    def _points(self, signs: Mapping[str, float]) -> float:
        return sum([self._weights.get(sign, 0.0) * value for sign, value in signs.items()])


def likelier(chances: Sequence[float], dish: int) -> int:
    """The likeliest dish where it is likelier by far than `dish`, else that."""
    best = max(range(len(chances)), key=lambda at: chances[at])
    return best if chances[best] > _BY_FAR * chances[dish] else dish
