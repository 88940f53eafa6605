"""Whose a time, a temperature or the servings are, where the talk goes to and fro between dishes."""

import csv
from pathlib import Path

import pytest

from pipeline.record import Recipe
from tests.hear.families import fraction, recipes

FILE = Path(__file__).with_name("settings.csv")
with FILE.open(encoding="utf-8", newline="") as file:
    READER = csv.DictReader(file)
    CASES = [pytest.param(row, id=f"{FILE.name}:{READER.line_num}") for row in READER]


def told(recipe: Recipe) -> set[str]:
    figures = [f"{fraction(time.low)} {time.unit}" for time in recipe.times]
    figures += [f"{fraction(heat.value)} {heat.unit}" for heat in recipe.temperatures]
    figures += [f"{fraction(recipe.servings.best)} served"] if recipe.servings else []
    return {f"{recipe.title.split()[-1]} {figure}" for figure in figures}


@pytest.mark.parametrize("row", CASES)
def test_settings_and_servings_are_of_the_dish_named_last(row):
    found = set().union(*map(told, recipes(row["text"])))
    assert found == set(row["time_of"].split("; "))
