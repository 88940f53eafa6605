"""Whose a time, a temperature, a claim or the servings are, where the talk goes to and fro between dishes."""

import csv
from pathlib import Path

import pytest

from pipeline.compose.named import DishFoods, DishNames, Named
from pipeline.record import Recipe
from pipeline.split.dishes import Dish
from tests.hear.families import fraction, recipes
from tests.hear.spoken import plain


def cases(name: str) -> list[object]:
    with Path(__file__).with_name(name).open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        return [pytest.param(row, id=f"{name}:{reader.line_num}") for row in reader]


def told(recipe: Recipe) -> set[str]:
    figures = [f"{fraction(time.low)} {time.unit}" for time in recipe.times]
    figures += [f"{fraction(heat.value)} {heat.unit}" for heat in recipe.temperatures]
    figures += [f"{fraction(recipe.servings.best)} served"] if recipe.servings else []
    return {f"{recipe.title.split()[-1]} {figure}" for figure in figures}


@pytest.mark.parametrize("row", cases("settings.csv"))
def test_settings_and_servings_are_of_the_dish_named_last(row):
    found = set().union(*map(told, recipes(row["text"])))
    assert found == set(filter(None, row["time_of"].split("; ")))


@pytest.mark.parametrize("row", cases("claims.csv"))
def test_a_claim_is_of_the_dish_it_names_or_of_the_line_it_is_about(row):
    found = [
        f"{recipe.title.split()[-1]}: {claim.food} {claim.nutrient} {claim.sense}"
        for recipe in recipes(row["text"])
        for claim in recipe.claims
    ]
    assert plain("; ".join(found)) == plain(row["claim_of"])


def test_a_food_that_one_dish_holds_may_only_be_meant_as_what_keeps_or_has_had_so_long():
    none = frozenset[str]()
    dishes = [Dish(title, title, 0, (), frozenset({title}), "title.opening") for title in ("stew", "tart")]
    foods = [DishFoods(frozenset({"onion", "beef"}), none, none), DishFoods(frozenset({"onion", "plum"}), none, none)]
    names = DishNames(dishes, foods)
    assert names.subjects["plum"] == Named(1, False)
    assert "plum" not in names.loose
    assert "onion" not in names.subjects
