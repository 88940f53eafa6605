"""What the tests of the load share: the food table, and a kitchen that weighs out lines of it."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from pipeline.foods.table import FoodTable
from pipeline.record import Amount, FoodRef, Grams, Ingredient, Recipe, Servings

HERE = Path(__file__).parent
TABLE = FoodTable.load()


@pytest.fixture(scope="session")
def table() -> FoodTable:
    return TABLE


def read(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def by_ndb(ndb: str) -> str:
    """The id of the first food with the figures of a row of the release."""
    return next(food.id for food in TABLE if food.ndb == ndb)


def line(
    food: str | None, low: float, best: float | None = None, high: float | None = None, **more: object
) -> Ingredient:
    """A line of `food` in grams; one figure where the weight is known, else low, best and high."""
    best = low if best is None else best
    facts: dict[str, object] = {
        "id": food or "unknown",
        "name": food or "mystery paste",
        "amount": Amount(basis="said"),
        "grams": Grams(low=low, best=best, high=best if high is None else high, basis="weight"),
        "food": FoodRef(id=food, name=food, score=1) if food else None,
    }
    return Ingredient.model_validate(facts | more)


def unweighed(food: str) -> Ingredient:
    return line(food, 1).model_copy(update={"grams": None})


def serves(low: float, best: float | None = None, high: float | None = None, *, basis: str = "said") -> Servings:
    best = low if best is None else best
    return Servings.model_validate({"low": low, "best": best, "high": high or best, "basis": basis})


def dish(*lines: Ingredient, servings: Servings | None = None, **more: object) -> Recipe:
    facts: dict[str, object] = {"id": "supper", "title": "Supper", "start": 0.0, "end": 60.0}
    return Recipe.model_validate(facts | {"ingredients": lines, "servings": servings} | more)
