"""What dishes are made of where their names do not say so."""

from pipeline.hear.lexicon import load_classes, load_dish_words, load_rows
from pipeline.split.dishes import Dish, Topic
from pipeline.split.makings import Makings

MAKINGS = Makings(load_classes())


def dish(title: str) -> Dish:
    return Dish(title, title.split()[-1], 0, (), frozenset({title.split()[-1]}), "title.opening")


def test_the_table_names_dishes_that_are_known_by_words():
    known = {row["words"] for row in load_dish_words()}
    assert not [row["words"] for row in load_rows("dish_foods.csv", ("words", "foods")) if row["words"] not in known]


def test_a_dish_is_made_of_the_foods_of_its_name():
    assert MAKINGS.of(dish("beef rendang"), Topic(0)) >= {"beef"}
    assert MAKINGS.of_words(("toad", "in", "the", "hole")) >= {"sausage"}


def test_a_component_is_made_of_its_own_foods_only():
    assert MAKINGS.of(dish("kedgeree"), Topic(0, "custard")) == MAKINGS.of_words(("custard",))


def test_a_cut_of_meat_is_that_meat():
    assert MAKINGS.holds(frozenset({"pork"}), ["pork", "shoulder"], "meat")


def test_a_food_that_only_bears_a_name_is_not_that_food():
    assert not MAKINGS.holds(frozenset({"egg"}), ["egg", "noodle"], "pasta-noodle")
    assert not MAKINGS.holds(frozenset({"chicken"}), ["chicken", "stock"], "soup-stock")


def test_two_names_that_are_made_of_the_same_name_one_dish():
    assert MAKINGS.are_alike("stuffed cabbage rolls", "golabki")
    assert not MAKINGS.are_alike("cabbage soup", "golabki")
