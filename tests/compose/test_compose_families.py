"""Mentions that become ingredient lines, and sentences that become steps."""

import pytest

from tests.hear.families import FAMILIES, amounts, recipes
from tests.hear.spoken import OPENING, TALK, cases, check, each

STEPS = FAMILIES["method steps"]


@each(FAMILIES["ingredient lines"].path)
def test_mentions_of_one_food_become_one_line(case):
    family = FAMILIES["ingredient lines"]
    got = family.read(case.text)
    check(case, right=family.right(case, got), got=got)


@each(FAMILIES["foods of several dishes"].path)
def test_a_food_told_once_goes_to_the_dishes_it_is_for(case):
    family = FAMILIES["foods of several dishes"]
    got = family.read(case.text)
    check(case, right=family.right(case, got), got=got)


def test_another_measure_long_after_is_of_another_part_of_the_dish():
    first, second = "rub 75 grams of butter into 200 grams of flour", "dot 10 grams of butter over the apples"
    assert amounts(f"{first}{TALK} // {second}").count("butter") == 2
    assert amounts(f"{first} // {second}").count("butter") == 1


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
    ],
)
def test_another_number_long_after_is_of_another_part_unless_it_is_dished_up(first, second, food, lines):
    assert amounts(f"{first}{TALK} // {second}").count(food) == lines


@each(STEPS.path)
def test_a_step_is_imperative_and_talk_is_none(case):
    got = STEPS.read(case.text)
    check(case, right=STEPS.right(case, got), got=got)


@pytest.mark.parametrize("case", [pytest.param(case, id=case.place) for case in cases(STEPS.path)])
def test_the_evidence_of_a_step_stands_in_the_transcript(case):
    said = (OPENING + case.text).replace(" // ", " ").replace(" / ", " ")
    for recipe in recipes(OPENING + case.text):
        for step in recipe.method:
            assert step.evidence
            assert (step.start, step.end) == (step.evidence[0].start, step.evidence[-1].end)
            for evidence in step.evidence:
                assert evidence.rule
                assert evidence.words in said
        assert [step.n for step in recipe.method] == list(range(1, len(recipe.method) + 1))
