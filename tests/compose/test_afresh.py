"""Amounts of a food that has one: of another part of the dish, or the same again."""

import pytest

from pipeline.hear.lexicon import load_rows
from tests.hear.families import amounts
from tests.hear.spoken import TALK


@pytest.mark.parametrize(
    ("first", "second", "food", "lines"),
    [
        ("rub two tablespoons of oil into the lamb", "now three teaspoons of oil in the pan", "oil", 2),
        ("beat a quarter cup of sugar into the butter", "then half a cup of sugar over the plums", "sugar", 2),
        ("put a teaspoon of cumin in the mince", "and half a teaspoon of cumin for the yogurt", "cumin", 2),
        ("crack three eggs in a bowl", "so three eggs in there", "egg", 1),
        ("weigh out 200 grams of flour", "the 200 grams of flour goes in", "flour", 1),
    ],
)
def test_an_amount_long_after_is_of_another_part_unless_it_is_the_same_again(first, second, food, lines):
    assert amounts(f"{first}{TALK} // {second}").count(food) == lines


def test_an_amount_soon_after_is_not_another():
    assert amounts("add two teaspoons of oil // that's two teaspoons of oil in there").count("oil") == 1


def test_every_weight_is_of_a_sign_that_is_read():
    kinds = {"measure", "count", "small", "container", "kind"}
    for row in load_rows("afresh_signs.csv", ("id", "weight")):
        name, *rest = row["id"].split(".")
        if name == "kind":
            assert set(rest) <= kinds
        assert -10 < float(row["weight"]) < 10
