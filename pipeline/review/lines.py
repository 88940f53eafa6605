"""What each ingredient line brings of a nutrient: grams x figure x the share that reaches the plate."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pipeline.foods.table import Food, FoodTable
from pipeline.record import Ingredient, Range, Recipe

FLUID = "fluid_ml"
_WATER = "water_g"
_PER = 100


@dataclass(frozen=True, slots=True)
class Portions:
    """Number of servings to reckon with; `assumed` where the recording gives none."""

    count: Range
    assumed: bool


def portions_of(recipe: Recipe, *, assumed: float) -> Portions:
    """The servings of the recipe, else those its load was reckoned for, else `assumed`."""
    if recipe.servings is not None:
        said = recipe.servings
        count = Range(low=said.low, best=said.best, high=said.high)
        return Portions(count, said.basis == "assumed")
    if recipe.load is not None and recipe.load.servings is not None:
        return Portions(recipe.load.servings, True)
    return Portions(Range(low=assumed, best=assumed, high=assumed), True)


def food_of(line: Ingredient, table: FoodTable) -> Food | None:
    """The food of the line, None where none was matched or the table no longer has it."""
    return table.get(line.food.id) if line.food else None


def figure_of(food: Food, nutrient: str) -> float | None:
    """The figure per 100 g edible part; `fluid_ml` is the water of foods that are liquid, nought for others."""
    if nutrient == FLUID:
        return food.figures[_WATER] if food.fluid else 0.0
    return food.figures.get(nutrient)


def brought(line: Ingredient, table: FoodTable, nutrient: str) -> Range | None:
    """What the line brings to the whole recipe; None where its food, weight or figure is not known."""
    food = food_of(line, table)
    figure = figure_of(food, nutrient) if food else None
    if figure is None or line.grams is None:
        return None
    share = figure / _PER * (1 - line.discarded)
    return Range(low=line.grams.low * share, best=line.grams.best * share, high=line.grams.high * share)


def together(parts: Iterable[Range | None]) -> Range:
    """The sum of the ranges that are known."""
    known = [part for part in parts if part is not None]
    return Range(
        low=sum(part.low for part in known),
        best=sum(part.best for part in known),
        high=sum(part.high for part in known),
    )


def shared(whole: Range, count: Range) -> Range:
    """A range for the recipe as one for a serving: least of the whole among most people, and the other way round."""
    return Range(low=whole.low / count.high, best=whole.best / count.best, high=whole.high / count.low)
