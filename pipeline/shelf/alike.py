"""Recipes like another: of the same foods, rare ones counting more, and of a similar load a serving."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from pipeline.shelf.finding import Hit, hits_of
from pipeline.shelf.question import Question
from pipeline.shelf.store import Store
from pipeline.shelf.words import PER_SERVING

_COMPARED = ("sodium_mg", "potassium_mg", "phosphorus_mg", "protein_g", "energy_kcal")
_CANDIDATES = 200
_COMMON = 0.1
_FOOD_SHARE = 0.7


@dataclass(frozen=True, slots=True)
class Alike:
    """A recipe like another: `likeness` 0..1, and the names of the foods they share, the rarest first."""

    hit: Hit
    likeness: float
    shared: tuple[str, ...]


def alike(store: Store, recipe: int, *, limit: int) -> tuple[Alike, ...]:
    """The recipes most like that of the number `recipe`, best first.

    Foods count by how few recipes have them; those in more than a tenth of all do not lead to others. Where either
    load is not known, foods alone count.
    """
    weights = _weights(store, [recipe])
    candidates = _candidates(store, recipe, weights)
    every = _weights(store, [*candidates, recipe])
    loads = _loads(store, [*candidates, recipe])
    scored = []
    for other in candidates:
        likeness = _likeness(every[recipe], every[other], loads.get(recipe, {}), loads.get(other, {}))
        scored.append((-likeness, other))
    best = sorted(scored)[:limit]
    hits = hits_of(store, [other for _, other in best], Question())
    return tuple(
        Alike(hit, round(-minus, 3), _names(store, every[recipe], every[hit.id]))
        for (minus, _), hit in zip(best, hits, strict=True)
    )


def _candidates(store: Store, recipe: int, weights: Mapping[int, Mapping[int, float]]) -> list[int]:
    """Recipes that share foods with it which are not in many."""
    total = store.one("SELECT count(*) FROM recipe")
    floor = math.log(1 / _COMMON) if total > _CANDIDATES else 0.0
    leading = [food for food, weight in weights.get(recipe, {}).items() if weight >= floor]
    marks = ", ".join("?" * len(leading))
    rows = store.all(
        f"SELECT recipe FROM recipe_food WHERE food IN ({marks}) AND recipe <> ?"
        " GROUP BY recipe ORDER BY count(*) DESC, recipe LIMIT ?",
        (*leading, recipe, _CANDIDATES),
    )
    return [number for (number,) in rows]


def _weights(store: Store, recipes: list[int]) -> dict[int, dict[int, float]]:
    """For each recipe its foods, with the logarithm of how many times rarer than all recipes they are."""
    marks = ", ".join("?" * len(recipes))
    rows = store.all(f"SELECT recipe, food FROM recipe_food WHERE recipe IN ({marks})", tuple(recipes))
    total = store.one("SELECT count(*) FROM recipe")
    counts = {
        food: store.one("SELECT count(*) FROM recipe_food WHERE food = ?", (food,))
        for food in sorted({food for _, food in rows})
    }
    found: dict[int, dict[int, float]] = {recipe: {} for recipe in recipes}
    for recipe, food in rows:
        found[recipe][food] = math.log(1 + total / counts[food])
    return found


def _loads(store: Store, recipes: list[int]) -> dict[int, dict[str, float]]:
    marks = ", ".join("?" * len(recipes))
    names = ", ".join("?" * len(_COMPARED))
    rows = store.all(
        "SELECT l.recipe, n.name, l.best FROM recipe_load l JOIN nutrient n ON n.id = l.nutrient"
        f" WHERE l.per = ? AND n.name IN ({names}) AND l.recipe IN ({marks})",
        (PER_SERVING, *_COMPARED, *recipes),
    )
    found: dict[int, dict[str, float]] = {}
    for recipe, name, best in rows:
        found.setdefault(recipe, {})[name] = best
    return found


def _likeness(
    one: Mapping[int, float], other: Mapping[int, float], load: Mapping[str, float], load_other: Mapping[str, float]
) -> float:
    """Shared weight of the foods over that of all, with the mean ratio of the loads, the lesser to the greater."""
    shared = sum(weight for food, weight in one.items() if food in other)
    every = sum(one.values()) + sum(other.values()) - shared
    foods = shared / every if every else 0.0
    both = sorted(set(load) & set(load_other))
    if not both:
        return foods
    ratios = [_ratio(load[name], load_other[name]) for name in both]
    return _FOOD_SHARE * foods + (1 - _FOOD_SHARE) * sum(ratios) / len(ratios)


def _ratio(one: float, other: float) -> float:
    return 1.0 if one == other else max(0.0, min(one, other)) / max(one, other)


def _names(store: Store, one: Mapping[int, float], other: Mapping[int, float]) -> tuple[str, ...]:
    shared = sorted((food for food in one if food in other), key=lambda food: (-one[food], food))
    return tuple(str(store.one("SELECT name FROM food WHERE id = ?", (food,))) for food in shared)
