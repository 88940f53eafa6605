"""The load of a recipe: bounds, likely values and band, whole, by component, by serving and by 100 g."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from pipeline.foods.table import FoodTable
from pipeline.load.lines import BEST, DECIMALS, HIGH, LOW, TOTALS, Array, Lines, lines_of
from pipeline.load.ratio import ratio_bounds
from pipeline.load.renal import renal_of
from pipeline.load.simulate import band_of, serving_draws, total_draws
from pipeline.record import Ingredient, Load, Range, Servings, Step


def load_of(
    recipe_ingredients: Sequence[Ingredient],
    table: FoodTable,
    *,
    servings: Servings | None,
    method: Sequence[Step] = (),
) -> Load:
    """The load of the ingredients, in the units their names say.

    Grams x figure x what cooking leaves x (1 - discarded). A line without weight, food or figures is named in
    `left_out` and makes every total "at least"; a figure not known does so for its nutrient; a nutrient no figure is
    known of is not there. What cooking leaves is told by the preparation of a line or by a step of `method` that names
    it. Per serving only where the servings were said or inferred.
    """
    return load_as_said(lines_of(recipe_ingredients, table, method=method), servings)


def load_as_said(lines: Lines, servings: Servings | None) -> Load:
    """As `load_of`, of lines made before."""
    counted = servings is not None and servings.basis != "assumed"
    return load_of_lines(lines, servings=servings if counted else None)


def load_of_lines(lines: Lines, *, servings: Servings | None) -> Load:
    """As `load_of`, of lines made before; per serving wherever `servings` are given, even if assumed."""
    amounts = lines.amounts()
    whole = sums(amounts)
    draws = total_draws(lines)
    count = Range(low=servings.low, best=servings.best, high=servings.high) if servings else None
    weight = lines.grams.sum(axis=1).round(DECIMALS).tolist()
    return Load(
        servings=count,
        per_recipe=whole,
        per_serving={name: divided(value, count) for name, value in whole.items()} if count else None,
        at_least=at_least(lines),
        left_out=tuple(ingredient.name for ingredient in lines.left_out),
        grams=Range(low=weight[LOW], best=weight[BEST], high=weight[HIGH]),
        per_100g=per_100g(lines),
        per_component=_per_component(lines, amounts),
        band=band_of(draws, whole),
        serving_band=band_of(draws / serving_draws(count)[:, None], whole) if count else None,
        renal=renal_of(lines),
    )


def sums(amounts: Array) -> dict[str, Range]:
    """Totals over the lines of (3, n, m) amounts, by nutrient; one that no line has a figure of is not there."""
    known = ~np.isnan(amounts[BEST]).all(axis=0) if amounts.shape[1] else np.zeros(len(TOTALS), dtype=bool)
    low, best, high = np.nansum(amounts, axis=1).round(DECIMALS).tolist()
    return {
        name: Range(low=low[place], best=best[place], high=high[place])
        for place, name in enumerate(TOTALS)
        if known[place]
    }


def at_least(lines: Lines) -> tuple[str, ...]:
    """Nutrients that a line left out, or a figure not known, may raise."""
    if lines.left_out:
        return TOTALS
    unknown = np.isnan(lines.per_gram[BEST]).any(axis=0)
    return tuple(name for name, missing in zip(TOTALS, unknown, strict=True) if missing)


def divided(value: Range, count: Range) -> Range:
    """The share of one serving: the low value over the most servings, the high one over the fewest."""
    return Range(
        low=round(value.low / count.high, DECIMALS),
        best=round(value.best / count.best, DECIMALS),
        high=round(value.high / count.low, DECIMALS),
    )


def per_100g(lines: Lines) -> dict[str, Range] | None:
    """The sums in 100 g of what goes in, before cooking; null where the weight may be nought."""
    known = ~np.isnan(lines.per_gram[BEST]).all(axis=0) if lines.foods else np.zeros(len(TOTALS), dtype=bool)
    ones = np.ones_like(lines.per_gram)
    bounds = ratio_bounds(lines.grams, np.nan_to_num(lines.per_gram) * 100, ones)
    if bounds is None:
        return None
    low, best, high = bounds.round(DECIMALS).tolist()
    return {
        name: Range(low=low[place], best=best[place], high=high[place])
        for place, name in enumerate(TOTALS)
        if known[place]
    }


def _per_component(lines: Lines, amounts: Array) -> dict[str, dict[str, Range]]:
    names = list(dict.fromkeys(ingredient.component or "" for ingredient in lines.ingredients))
    if names in ([], [""]):
        return {}
    of_line = np.array([names.index(ingredient.component or "") for ingredient in lines.ingredients])
    return {name: sums(amounts[:, of_line == place]) for place, name in enumerate(names)}
