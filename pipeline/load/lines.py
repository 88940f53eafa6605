"""Ingredient lines as arrays: grams on the plate, and nutrients for each gram after cooking."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from pipeline.foods.table import NUTRIENTS, Food, FoodTable
from pipeline.load.constants import formulas
from pipeline.load.retention import Technique, retention
from pipeline.load.told import step_words, words_told
from pipeline.measure.weigh import default_tables
from pipeline.record import Ingredient, Step

Array = NDArray[np.float64]
TOTALS = (*NUTRIENTS, "fluid_ml", "salt_g")
LOW, BEST, HIGH = range(3)
DECIMALS = 6
_SODIUM = NUTRIENTS.index("sodium_mg")
_PLACES = {name: place for place, name in enumerate(NUTRIENTS)}


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """The lines that can be counted, n of them, and those that cannot.

    `grams` (3, n) low, best and high grams that reach the plate; an optional line is low at nought.
    `per_gram` (3, n, m) the amount of each of TOTALS in a gram, in its own unit, after what cooking leaves; NaN where
    not known. `cooked` is the way of cooking that changed a line's figures, where one did.
    """

    foods: tuple[Food, ...]
    ingredients: tuple[Ingredient, ...]
    grams: Array
    per_gram: Array
    cooked: tuple[Technique | None, ...]
    left_out: tuple[Ingredient, ...]

    def amounts(self) -> Array:
        """Nutrients of every line, (3, n, m), NaN where not known."""
        return self.grams[:, :, None] * self.per_gram


def lines_of(ingredients: Sequence[Ingredient], table: FoodTable, *, method: Sequence[Step] = ()) -> Lines:
    """The lines of a recipe. A line without a weight, a food, or any known figure of its food is left out.

    Cooking changes the figures of a line where its preparation, or a step of `method` that names it, says how.
    """
    kept: list[tuple[Ingredient, Food]] = []
    left_out: list[Ingredient] = []
    for ingredient in ingredients:
        food = table.get(ingredient.food.id) if ingredient.food else None
        if ingredient.grams is None or food is None or not food.known:
            left_out.append(ingredient)
        else:
            kept.append((ingredient, food))
    steps = step_words([ingredient for ingredient, _ in kept], method) if method else {}
    cooked = tuple(retention().told(words_told(ingredient, food, steps), food) for ingredient, food in kept)
    return Lines(
        foods=tuple(food for _, food in kept),
        ingredients=tuple(ingredient for ingredient, _ in kept),
        grams=_grams([ingredient for ingredient, _ in kept]),
        per_gram=_per_gram([food for _, food in kept], cooked),
        cooked=cooked,
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


def _per_gram(foods: Sequence[Food], cooked: Sequence[Technique | None]) -> Array:
    table = np.array([figures_of(food) for food in foods], dtype=np.float64).reshape(len(foods), len(TOTALS))
    per_gram = np.repeat(table[None, :, :], 3, axis=0)
    for place, (food, technique) in enumerate(zip(foods, cooked, strict=True)):
        for nutrient, share in retention().of(technique.name, food).items() if technique else ():
            per_gram[:, place, _PLACES[nutrient]] *= (share.low, share.best, share.high)
    per_gram[:, :, TOTALS.index("salt_g")] = per_gram[:, :, _SODIUM] * formulas().salt_per_sodium / 1000
    return per_gram


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
