"""One serving of a dish, or of several dishes eaten as one meal, and what makes its range wide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.foods.table import FoodTable
from pipeline.load.constants import formulas
from pipeline.load.lines import BEST, HIGH, LOW, TOTALS, Lines, lines_of
from pipeline.load.simulate import band_of, serving_draws, total_draws
from pipeline.load.total import at_least, divided, sums
from pipeline.record import Ingredient, Range, Recipe, Servings


@dataclass(frozen=True, slots=True, eq=False)
class Portion:
    """One serving of a dish; `assumed` where nobody said how many it serves."""

    recipe: Recipe
    lines: Lines
    servings: Servings

    @property
    def assumed(self) -> bool:
        """Whether nobody said, and nothing told, how many it serves."""
        return self.servings.basis == "assumed"

    @property
    def count(self) -> Range:
        """The number of servings."""
        return Range(low=self.servings.low, best=self.servings.best, high=self.servings.high)


@dataclass(frozen=True, slots=True, eq=False)
class Plate:
    """Sums over the portions by nutrient: bounds and likely value, the 80 % band, and where they are "at least"."""

    portions: tuple[Portion, ...]
    sums: dict[str, Range]
    band: dict[str, Range]
    at_least: tuple[str, ...]
    left_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Vagueness:
    """What leaves a range open: `about` is an ingredient's id or `servings`, `width` what it spans, in the nutrient's
    unit a serving; endless where nothing is known."""

    dish: str
    about: str
    words: str
    width: float


def portion_of(recipe: Recipe, table: FoodTable, *, servings: float | None = None) -> Portion:
    """One serving of `recipe`: of the number given, else said or inferred, else assumed (data/formulas.toml)."""
    lines = lines_of(recipe.ingredients, table, method=recipe.method)
    if servings is not None:
        given = Servings(low=servings, best=servings, high=servings, basis="said")
        return Portion(recipe, lines, given)
    if recipe.servings is not None:
        return Portion(recipe, lines, recipe.servings)
    usual = formulas().assumed_servings
    return Portion(recipe, lines, Servings(low=usual.low, best=usual.best, high=usual.high, basis="assumed"))


def plate_of(portions: Sequence[Portion]) -> Plate:
    """The portions eaten together. Equal foods and draws are shared between dishes, servings are drawn apart."""
    total: dict[str, Range] = {}
    draws = np.zeros((formulas().draws, len(TOTALS)))
    for place, portion in enumerate(portions):
        for name, value in sums(portion.lines.amounts()).items():
            total[name] = _added(total.get(name), divided(value, portion.count))
        dish = "" if place == 0 else f"{place}:{portion.recipe.id}"
        draws += total_draws(portion.lines) / serving_draws(portion.count, dish=dish)[:, None]
    ordered = {name: total[name] for name in TOTALS if name in total}
    open_ended = {name for portion in portions for name in at_least(portion.lines)}
    return Plate(
        portions=tuple(portions),
        sums=ordered,
        band=band_of(draws, ordered),
        at_least=tuple(name for name in TOTALS if name in open_ended),
        left_out=tuple(left.name for portion in portions for left in portion.lines.left_out),
    )


def vagueness_of(plate: Plate, nutrient: str) -> tuple[Vagueness, ...]:
    """What leaves the range of `nutrient` open, the widest first; foods not known come before all."""
    place = TOTALS.index(nutrient)
    found = [one for portion in plate.portions for one in _of_portion(portion, place)]
    return tuple(sorted(found, key=lambda one: (-one.width, one.dish, one.about)))


def _of_portion(portion: Portion, place: int) -> list[Vagueness]:
    lines, count, dish = portion.lines, portion.count, portion.recipe.title
    amounts = lines.amounts()[:, :, place]
    endless = float("inf")
    found = [Vagueness(dish, left.id, _missing(left), endless) for left in lines.left_out]
    for line, ingredient in enumerate(lines.ingredients):
        if np.isnan(amounts[BEST, line]):
            found.append(Vagueness(dish, ingredient.id, f"what is in {ingredient.name}", endless))
        width = float(amounts[HIGH, line] - amounts[LOW, line]) / count.best
        if width > 0:
            found.append(Vagueness(dish, ingredient.id, f"how much {ingredient.name} goes in", width))
    best = float(np.nansum(amounts[BEST]))
    width = best / count.low - best / count.high
    if width > 0:
        found.append(Vagueness(dish, "servings", "how many it serves", width))
    return found


def _missing(left: Ingredient) -> str:
    return f"what is in {left.name}" if left.grams or left.food is None else f"how much {left.name} goes in"


def _added(before: Range | None, value: Range) -> Range:
    if before is None:
        return value
    return Range(low=before.low + value.low, best=before.best + value.best, high=before.high + value.high)
