"""Components of a dish in a talk of some length, told by all that is said of them."""

import pytest

from pipeline.draft import drafted
from pipeline.hear.lexicon import load_rows
from tests.hear.spoken import TALK, transcript

PIE = (
    "today we're making a leek pie // the pastry is two cups of flour and half a cup of butter and three tablespoons of"
    " water // let the pastry rest // now the filling so three leeks sliced and two tablespoons of oil and a cup of oat"
    " milk and half a teaspoon of nutmeg // let the filling cool // roll the pastry out and put the filling in"
)
STEW = (
    "today we're making a beef stew // a pound of beef and two onions and three carrots and a spoon of oil // brown"
    " the beef and pour on a pint of water // the gravy gets thicker as it goes // put in a sprig of thyme and half a"
    " teaspoon of pepper // taste the gravy and have a bit of bread with the gravy"
)
PANCAKES = (
    "today we're making pancakes // so the batter is two cups of flour and two eggs and a cup of oat milk and"
    " a spoon of sugar // let the batter stand // the batter wants to be like cream // a spoon of batter for each one"
    " in a teaspoon of oil // flip them when the batter bubbles"
)


def components(said):
    (dish,) = drafted(transcript(said + TALK + TALK)).outline.dishes
    return {part.split()[-1] for part in dish.parts}


@pytest.mark.parametrize(
    ("said", "parts"),
    [(PIE, {"pastry", "filling"}), (STEW, set()), (PANCAKES, set())],
    ids=["turned to and measured", "the juice of a stew", "only a stage"],
)
def test_what_is_spoken_of_often_and_measured_is_a_component(said, parts):
    assert components(said) == parts


def test_every_weight_is_that_of_a_sign():
    told = {
        "any",
        "part",
        "weak-part",
        "stage",
        "said-and-measured",
        "customary",
        "customary-and-measured",
        "only-customary",
        "own-juice",
        "own-juice-of-stew",
        "of-pasta",
        "stewed",
        "said-for",
        "one-dish",
        "early",
    }
    least = {f"{sign}.{count}" for sign in ("said", "turned", "measured") for count in (1, 2, 3, 5)}
    for row in load_rows("part_signs.csv", ("id", "weight")):
        assert row["id"] in told | least or row["id"].startswith("noun."), row["id"]
