"""Dishes that are announced, and how the talk turns from one to another."""

from tests.hear.families import FAMILIES
from tests.hear.spoken import check, each


@each(FAMILIES["dishes announced"].path)
def test_an_announced_dish_has_the_title_an_editor_gives_it(case):
    family = FAMILIES["dishes announced"]
    got = family.read(case.text)
    check(case, right=family.right(case, got), got=got)


@each(FAMILIES["components and topics"].path)
def test_a_food_goes_to_the_dish_and_the_component_the_talk_has_turned_to(case):
    family = FAMILIES["components and topics"]
    got = family.read(case.text)
    check(case, right=family.right(case, got), got=got)
