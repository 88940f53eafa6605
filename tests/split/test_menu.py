"""Which of what may be dishes are the dishes of a talk."""

import pytest

from pipeline.draft import hear
from pipeline.foods.table import FoodTable
from pipeline.hear.lexicon import load_classes
from pipeline.read import read_bytes
from pipeline.split.calls import Caller
from pipeline.split.kind_words import KindWords
from pipeline.split.menu import MenuReader
from pipeline.split.titles import Announcement, TitleReader
from pipeline.split.ways import DishWays


@pytest.fixture(scope="module")
def menu():
    classes, table = load_classes(), FoodTable.load()
    return MenuReader(TitleReader(classes), classes, table, Caller(classes, KindWords(classes, DishWays(table))))


def dishes(menu, *titles):
    """What is left of dishes that the opening announces, one word each."""
    hearing = hear(read_bytes(f"[0:00] {' then '.join(titles)} and a pound of cabbage\n".encode(), "talk.md"))
    announced = [
        Announcement(2 * at, 2 * at + 1, title, title, (), "dish", False, "title.opening")
        for at, title in enumerate(titles)
    ]
    return [item.title for item in menu.find(hearing, menu.weigh(hearing, announced)) if not item.alias]


def test_a_bare_kind_of_dish_is_another_name_of_the_one_dish_of_that_kind(menu):
    assert dishes(menu, "laksa", "soup") == ["laksa"]
    assert dishes(menu, "tagine", "soup") == ["tagine", "soup"]


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("some of that gravy on the side", "part"),
        ("lamb with a gravy on the side", "part"),
        ("there is a chutney on the side", "dish"),
    ],
)
def test_what_is_put_beside_a_dish_is_one_but_not_some_of_a_sauce(menu, said, kind):
    hearing = hear(read_bytes(f"[0:00] a pound of trout on the tray\n[0:09] {said}\n".encode(), "talk.md"))
    kinds = {candidate.name: candidate.kind for candidate, _ in menu.candidates(hearing, ())}
    assert kinds["chutney" if "chutney" in said else "gravy"] == kind
