"""The menu by which a talk is told best, beside the one that single signs find."""

import csv
from pathlib import Path

import pytest

from pipeline.draft import drafted
from pipeline.foods.table import FoodTable
from pipeline.hear.lexicon import load_classes, load_rows
from pipeline.read import read_bytes
from pipeline.split.best_menu import BestMenu
from pipeline.split.dishes import Dish, Topic
from pipeline.split.menu_points import FOUND, JOINED, LESS, MORE, OTHER, Menu, Talked, Told, signs_before, signs_told

ROWS = list(csv.DictReader(Path(__file__).with_name("best_menus.csv").open(encoding="utf-8")))


def dish(title, kind="dish", start=0):
    head = title.split()[-1]
    return Dish(title, head, start, (), frozenset({head}), "title.opening", kind)


def talked(**known):
    usual = {"choices": {}, "opening": frozenset(), "promised": 0, "parted": False, "used": (), "length": 1000}
    return Talked(**usual | known)


def signs(*dishes, way=FOUND, **known):
    return {sign: value for sign, value in signs_before(Menu(dishes, way), talked(**known)) if value}


@pytest.mark.parametrize("row", ROWS, ids=[row["answer"] for row in ROWS])
def test_a_talk_has_the_dishes_by_which_it_is_told_best(row):
    lines = "\n".join(f"[{line}" for line in row["text"].split("[") if line)
    outline = drafted(read_bytes(f"{lines}\n".encode(), "talk.md")).outline
    assert "; ".join(dish.title for dish in outline.dishes) == row["answer"]


def test_a_menu_tells_the_kinds_of_its_dishes_with_their_number_and_how_they_were_found():
    assert signs(dish("fish pie"), dish("mash", "part", 500), way=MORE, opening=frozenset({"pie"})) == {
        "way.more": 1,
        "dish.two": 1,
        "dish.words": 1,
        "dish.announced": 1,
        "part.two": 1,
        "part.word": 1,
        "part.told": 1,
    }


def test_what_is_promised_and_not_there_counts_and_what_is_there_beyond_it():
    assert signs(dish("fish pie"), promised=3)["promised.fewer"] == 2
    assert signs(dish("fish pie"), dish("trifle"), promised=1)["promised.more"] == 1
    assert "promised.fewer" not in signs(dish("fish pie"))


def test_the_gain_is_against_the_menu_that_was_found_and_has_an_end():
    menu = Menu((dish("fish pie"), dish("trifle")), MORE)
    topics = [Topic(0)] * 8 + [Topic(1)] * 2
    told = dict(signs_told(menu, talked(used=range(10)), Told(topics, 35.0, 0.4), Told(topics, 10.0)))
    assert told == {"gain": 2.5, "together": 0.4, "few-foods": 1}
    far = dict(signs_told(menu, talked(used=range(10)), Told(topics, 900.0), Told(topics, 10.0)))
    assert far["gain"] == 8


def test_every_weight_is_that_of_a_sign():
    kinds, numbers = ("dish", "weak", "food", "part"), ("one", "two", "three", "four")
    ways = {f"way.{way}" for way in (FOUND, JOINED, LESS, MORE, OTHER)}
    named = {f"{kind}.{sign}" for kind in kinds for sign in (*numbers, "word", "words", "announced", "told")}
    others = {
        "promised.fewer",
        "promised.more",
        "parted",
        "early",
        "points",
        "not-done",
        "gain",
        "together",
        "few-foods",
    }
    assert {row["id"] for row in load_rows("best_menu.csv", ("id", "weight"))} <= ways | named | others


def test_what_is_better_than_the_menu_found_is_looked_beside_once_more(monkeypatch):
    pie, trifle, stew = dish("fish pie"), dish("trifle"), dish("stew")
    better = {(pie,): (pie, trifle), (pie, trifle): (stew, trifle), (stew, trifle): (stew,)}
    monkeypatch.setattr(BestMenu, "_better", lambda self, hearing, found, *rest: (better[found], better[found]))
    menus = BestMenu(load_classes(), FoodTable.load(), parts=None, follower=None, company=None)
    assert menus.choose(None, [pie], (), talked(used=range(20)), ()) == (stew, trifle)
    assert menus.choose(None, [pie], (), talked(used=range(3)), ()) is None
    better[pie, trifle] = (pie,)
    assert menus.choose(None, [pie], (), talked(used=range(20)), ()) == (pie, trifle)
