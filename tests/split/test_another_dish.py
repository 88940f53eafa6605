"""Another dish beside the only one that was found: named more than once, and a fair share of the foods goes into it."""

import csv
from pathlib import Path

import pytest

from pipeline.draft import drafted
from pipeline.foods.table import FoodTable
from pipeline.hear.ear import hear
from pipeline.hear.lexicon import load_classes
from pipeline.read import read_bytes
from pipeline.split.another_dish import AnotherDish
from pipeline.split.calls import Caller
from pipeline.split.kind_words import KindWords
from pipeline.split.menu import MenuReader
from pipeline.split.outline import Outliner
from pipeline.split.titles import TitleReader
from pipeline.split.ways import DishWays

ROWS = list(csv.DictReader(Path(__file__).with_name("other_dishes.csv").open(encoding="utf-8")))


@pytest.mark.parametrize("row", ROWS, ids=[row["answer"] for row in ROWS])
def test_another_dish_is_one_that_the_talk_follows_for_its_share_of_the_foods(row):
    lines = "\n".join(f"[{line}" for line in row["text"].split("[") if line)
    outline = drafted(read_bytes(f"{lines}\n".encode(), "talk.md")).outline
    assert "; ".join(dish.title for dish in outline.dishes) == row["answer"]


def test_what_a_dish_is_known_to_be_made_of_is_no_other_dish():
    lines = [
        "[0:00] evening all it's a beef pulao tonight",
        "[0:06] so a pound of beef goes in with a teaspoon of cumin and the rice waits for now",
        "[0:20] here's the rice two cups of rice and wash the rice till it's clear",
        "[0:30] the rice goes in with three cups of water and the rice steams with the lid on",
    ]
    classes, table = load_classes(), FoodTable.load()
    hearing = hear(read_bytes("\n".join(lines).encode(), "talk.md"))
    titles = TitleReader(classes)
    menu = MenuReader(titles, classes, table, Caller(classes, KindWords(classes, DishWays(table))))
    ranked, dishes = menu.weigh(hearing, titles.find(hearing)).ranked, Outliner(classes, table).outline(hearing).dishes
    assert "rice" in {choice.candidate.name for choice in ranked}
    assert [item.head for item in AnotherDish(classes, table).likely(hearing, ranked, dishes)] == []
