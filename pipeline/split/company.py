"""Which foods go together in one dish: vanilla with sugar, not with gravy."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from functools import lru_cache
from itertools import combinations
from math import fsum
from typing import NamedTuple

from pipeline.errors import RulesError
from pipeline.foods.table import FoodTable
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import load_sign_weights
from pipeline.split.dishes import stem

_AND = " + "
_FILE = "food_company.csv"
_FEWEST, _MOST = 3, 1.5
_REMEMBERED = 1 << 16


class Traits(NamedTuple):
    """What a food is known by here: the noun of its name in the singular, and its group in angle brackets."""

    noun: str
    group: str


class Company:
    """The pairs of `models/food_company.csv`: of two nouns, two groups, or one of each, the logarithm of how much
    oftener both stand in one dish than in two of one talk. Sums are exact, whatever the order of a set."""

    def __init__(self, table: FoodTable, worth: Mapping[tuple[str, str], float]) -> None:
        self._groups = {food.id: f"<{food.group}>" for food in table}
        self._worth = worth
        self._together = lru_cache(_REMEMBERED)(self._most_telling)

    def traits(self, food: FoodSpan) -> Traits:
        """What a spoken food is known by."""
        return Traits(stem(food.name.split()[-1]), self._groups.get(food.food, ""))

    def kept(self, foods: Set[Traits], dishes: Sequence[Set[Traits]]) -> Mapping[Traits, Sequence[float]]:
        """For each food how well it goes with the other foods of each dish, more or less than with all on average."""
        return {food: _levelled([self._with(food, dish) for dish in dishes]) for food in foods}

    def together(self, dishes: Sequence[Set[Traits]]) -> float:
        """How well the foods of each dish go together, by food."""
        pairs = (sorted(two) for dish in dishes for two in combinations(dish, 2))
        return fsum(self._together(*two) for two in pairs) / max(1, sum(map(len, dishes)))

    def _with(self, food: Traits, dish: Set[Traits]) -> float:
        told = [self._together(*sorted((food, other))) for other in dish if other != food]
        return max(-_MOST, min(_MOST, fsum(told) / max(_FEWEST, len(told))))

    def _most_telling(self, food: Traits, other: Traits) -> float:
        """Of all that is known of two foods what tells most."""
        pairs = ((one, two) if one < two else (two, one) for one in food for two in other)
        return max((self._worth.get(pair, 0.0) for pair in pairs), key=abs)


def load_company() -> Mapping[tuple[str, str], float]:
    """Two nouns or groups, in order of the alphabet -> how much oftener than not they stand in one dish. Raises
    RulesError where a row does not name two."""
    found: dict[tuple[str, str], float] = {}
    for pair, worth in load_sign_weights(_FILE).items():
        one, _, two = pair.partition(_AND)
        if not two:
            raise RulesError(f"pair {pair!r} names one food, expected two with `{_AND}` between them", file=_FILE)
        found[one, two] = worth
    return found


def _levelled(values: Sequence[float]) -> list[float]:
    mean = sum(values) / len(values)
    return [value - mean for value in values]
