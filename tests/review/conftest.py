"""What the tests of the review share: the food table and names, and recipes made of a few words."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.foods.names import FoodNames
from pipeline.foods.table import FoodTable
from pipeline.record import (
    Amount,
    Claim,
    Episode,
    Evidence,
    FoodRef,
    Grams,
    Ingredient,
    Recipe,
    Servings,
    Source,
)
from pipeline.review.findings import spoken_names

HERE = Path(__file__).parent
FOUR = Servings(low=4, best=4, high=4, basis="said")
TABLE = FoodTable.load()
NO_FOODS = ("unknown", "wobbleroot")


@pytest.fixture(scope="session")
def table() -> FoodTable:
    return TABLE


@pytest.fixture(scope="session")
def names() -> FoodNames:
    return spoken_names()


def heard(start: float, words: str = "") -> tuple[Evidence, ...]:
    return (Evidence(start=start, end=start + 2, words=words, rule="test"),)


def line(
    food: str,
    grams: tuple[float, float, float] | float | None = 100.0,
    *,
    name: str = "",
    basis: str = "said",
    words: str = "",
    at: float = 60.0,
    component: str | None = None,
    alternatives: tuple[str, ...] = (),
    runner_up: str | None = None,
) -> Ingredient:
    """A line of `food`, an id of the food table (or of none), weighing low, best and high grams, or one figure."""
    row = TABLE.get(food)
    assert row is not None or food in NO_FOODS, f"{food} is not in the food table"
    low, best, high = grams if isinstance(grams, tuple) else (grams,) * 3
    weight = None
    if low is not None and best is not None and high is not None and row is not None:
        weight = Grams(low=low, best=best, high=high, basis="weight")
    score = 1.0 if runner_up is None else 0.9
    return Ingredient.model_validate(
        {
            "id": food,
            "name": name or (row.name if row else food),
            "component": component,
            "amount": Amount.model_validate({"basis": basis, "words": words}),
            "grams": weight,
            "food": FoodRef(id=row.id, name=row.name, score=score, runner_up=runner_up) if row else None,
            "alternatives": alternatives,
            "evidence": heard(at),
        }
    )


def dish(*lines: Ingredient, **fields: object) -> Recipe:
    """A dish for four of these lines."""
    given = {"id": "dish", "title": "barley bake", "start": 5, "end": 900, "servings": FOUR, **fields}
    return Recipe.model_validate({**given, "ingredients": lines})


def claim(food: str, nutrient: str, sense: str, words: str = "") -> Claim:
    return Claim.model_validate({"food": food, "nutrient": nutrient, "sense": sense, "evidence": heard(90.0, words)})


def episode(*recipes: Recipe) -> Episode:
    source = Source(file="monday.srt", sha256="00", format="srt", duration=1000)
    return Episode(source=source, rules="test", caution="Ask your own renal team.", recipes=recipes)
