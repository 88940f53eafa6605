"""Amounts of a food that has one: of another part of the dish, or the same again."""

import pytest

from pipeline.foods.table import FoodTable
from pipeline.hear.lexicon import load_rows
from tests.hear.families import amounts
from tests.hear.spoken import TALK


@pytest.mark.parametrize(
    ("first", "second", "food", "lines"),
    [
        (
            "blend two green chillies with a bunch of mint",
            "now slit three green chillies and drop them in",
            "chilli",
            2,
        ),
        ("crush three cloves of garlic for the lamb", "and then slice two cloves of garlic over", "garlic", 2),
        (
            "then rapeseed oil three tablespoons",
            "now pour one teaspoon of rapeseed oil over the top",
            "rapeseed oil",
            2,
        ),
        ("whisk cornflour two teaspoons into the mince", "then cornflour one tablespoon to thicken", "cornflour", 2),
        ("grate ginger one inch into the prawns", "and two inches of ginger in the pot", "ginger", 2),
        ("brown ten chicken thighs", "and serve three chicken thighs each", "chicken thigh", 1),
        ("crack half a dozen eggs", "so four eggs go on the plates", "egg", 1),
        ("chop two onions", "that's two onions in there", "onion", 1),
        ("chop two onions", "so add one more onion", "onion", 1),
        ("chop a bunch of radishes", "i see six radishes", "radish", 1),
        ("stir a cup of water into the paste", "and two cups of water go in", "water", 2),
        ("rub two tablespoons of oil into the lamb", "now three teaspoons of oil in the pan", "oil", 2),
        ("beat a quarter cup of sugar into the butter", "then half a cup of sugar over the plums", "sugar", 2),
        ("put a teaspoon of cumin in the mince", "and half a teaspoon of cumin for the yogurt", "cumin", 2),
        ("crack three eggs in a bowl", "so three eggs in there", "egg", 1),
        ("weigh out 200 grams of flour", "the 200 grams of flour goes in", "flour", 1),
    ],
)
def test_an_amount_long_after_is_of_another_part_unless_it_is_the_same_again(first, second, food, lines):
    assert amounts(f"{first}{TALK} // {second}").count(food) == lines


def test_another_measure_long_after_is_of_another_part_of_the_dish():
    first, second = "rub 75 grams of butter into 200 grams of flour", "dot 10 grams of butter over the apples"
    assert amounts(f"{first}{TALK} // {second}").count("butter") == 2
    assert amounts(f"{first} // {second}").count("butter") == 1


def test_an_amount_soon_after_is_not_another():
    assert amounts("add two teaspoons of oil // that's two teaspoons of oil in there").count("oil") == 1


def test_every_weight_is_of_a_sign_that_is_read():
    kinds = {row["kind"] for row in load_rows("units.csv", ("word", "unit", "kind"))}
    signs = {
        "any",
        "another",
        "article",
        "article-before",
        "fuller-name",
        "measures-far-apart",
        "more",
        "of-it",
        "part",
        "same-unit",
        "shown-before",
        "sums-up",
        "the",
        "total",
        *(f"far.{words}" for words in (15, 40, 80, 150, 300, 600)),
        *(f"named.{least}" for least in (2, 4)),
        *(f"kind.{one}.{two}" for one in kinds for two in kinds),
        *(f"group.{food.group}" for food in FoodTable.load()),
    }
    for row in load_rows("afresh_signs.csv", ("id", "weight")):
        assert row["id"] in signs or row["id"].startswith("amount."), row["id"]
