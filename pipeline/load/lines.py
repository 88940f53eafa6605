"""Ingredient lines as arrays: grams on the plate, and nutrients for each gram after cooking."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from pipeline.foods.table import NUTRIENTS, Food, FoodTable
from pipeline.load.constants import formulas
from pipeline.load.retention import retention, spoken_words
from pipeline.measure.weigh import default_tables
from pipeline.record import Ingredient

Array = NDArray[np.float64]
TOTALS = (*NUTRIENTS, "fluid_ml", "salt_g")
LOW, BEST, HIGH = range(3)
DECIMALS = 6
_SODIUM = NUTRIENTS.index("sodium_mg")
_PLACES = {name: place for place, name in enumerate(NUTRIENTS)}


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """The lines that can be counted, n of them, and the names of those that cannot.

    `grams` (3, n) low, best and high grams that reach the plate; an optional line is low at nought.
    `per_gram` (3, n, m) the amount of each of TOTALS in a gram, in its own unit, after what cooking leaves; NaN where
    not known.
    """

    foods: tuple[Food, ...]
    ingredients: tuple[Ingredient, ...]
    grams: Array
    per_gram: Array
    left_out: tuple[str, ...]

    def amounts(self) -> Array:
        """Nutrients of every line, (3, n, m), NaN where not known."""
        return self.grams[:, :, None] * self.per_gram


def lines_of(ingredients: Sequence[Ingredient], table: FoodTable) -> Lines:
    """The lines of a recipe. A line without a weight, a food, or any known figure of its food is left out by name."""
    kept: list[tuple[Ingredient, Food]] = []
    left_out: list[str] = []
    for ingredient in ingredients:
        food = table.get(ingredient.food.id) if ingredient.food else None
        if ingredient.grams is None or food is None or not food.known:
            left_out.append(ingredient.name)
        else:
            kept.append((ingredient, food))
    return Lines(
        foods=tuple(food for _, food in kept),
        ingredients=tuple(ingredient for ingredient, _ in kept),
        grams=_grams([ingredient for ingredient, _ in kept]),
        per_gram=_per_gram(kept),
        left_out=tuple(left_out),
    )


def _grams(ingredients: Sequence[Ingredient]) -> Array:
    grams = np.zeros((3, len(ingredients)))
    for place, ingredient in enumerate(ingredients):
        weight = ingredient.grams
        if weight is not None:
            grams[:, place] = (0.0 if ingredient.optional else weight.low, weight.best, weight.high)
            grams[:, place] *= 1 - ingredient.discarded
    return grams


def _per_gram(kept: Sequence[tuple[Ingredient, Food]]) -> Array:
    table = np.array([figures_of(food) for _, food in kept], dtype=np.float64).reshape(len(kept), len(TOTALS))
    per_gram = np.repeat(table[None, :, :], 3, axis=0)
    for place, (ingredient, food) in enumerate(kept):
        keep(per_gram, place, spoken_words(ingredient.preparation) | set(food.id.split("-")), food)
    per_gram[:, :, TOTALS.index("salt_g")] = per_gram[:, :, _SODIUM] * formulas().salt_per_sodium / 1000
    return per_gram


def keep(per_gram: Array, place: int, words: frozenset[str], food: Food) -> None:
    """Multiply the figures of line `place` by what the technique told by `words` leaves; nothing where none is."""
    shares = retention()
    technique = shares.told(words, food)
    if technique is None:
        return
    for nutrient, share in shares.of(technique.name, food).items():
        per_gram[:, place, _PLACES[nutrient]] *= (share.low, share.best, share.high)


def figures_of(food: Food) -> list[float]:
    """The amount of each of TOTALS in a gram of the food, NaN where not known."""
    figures = [np.nan if value is None else value / 100 for value in map(food.figures.get, NUTRIENTS)]
    fluid = 1 / _density(food.id) if food.fluid else 0.0
    return [*figures, fluid, figures[_SODIUM] * formulas().salt_per_sodium / 1000]


@cache
def _density(food_id: str) -> float:
    """Grams a millilitre of a liquid: from its household measure by volume, else that of its class."""
    tables = default_tables()
    for measure in tables.measures.get(food_id, ()):
        millilitres = tables.millilitres("us", measure.unit)
        if millilitres is not None and not measure.what:
            return measure.grams.best / millilitres
    return tables.densities[formulas().fluid_class].best
