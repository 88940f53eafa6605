"""Which foods keep company in one dish, and what that tells of a clause."""

import pytest

from pipeline.errors import RulesError
from pipeline.foods.table import FoodTable
from pipeline.split import company
from pipeline.split.company import Company, Traits, load_company
from pipeline.split.dish_way import likelier

VANILLA, SUGAR, ONION = Traits("vanilla", "<spice>"), Traits("sugar", "<sweet>"), Traits("onion", "<vegetable>")


def test_a_food_is_kept_by_the_dish_whose_foods_it_goes_with():
    kept = Company(FoodTable.load(), {("<sweet>", "vanilla"): 1.2, ("onion", "vanilla"): -1.5})
    sweet, savoury = kept.kept({VANILLA}, [{SUGAR}, {ONION}])[VANILLA]
    assert sweet == -savoury == pytest.approx((1.2 + 1.5) / 3 / 2)


def test_of_all_that_is_known_of_two_foods_what_tells_most_counts_and_a_food_says_nothing_of_itself():
    kept = Company(
        FoodTable.load(), {("<spice>", "<sweet>"): 0.5, ("sugar", "vanilla"): 1.4, ("<spice>", "<spice>"): 9}
    )
    assert kept.kept({VANILLA}, [{SUGAR, VANILLA}, set()])[VANILLA] == pytest.approx([1.4 / 6, -1.4 / 6])


def test_foods_go_together_as_well_as_the_pairs_of_each_dish_do():
    kept = Company(FoodTable.load(), {("<sweet>", "vanilla"): 1.2, ("onion", "vanilla"): -1.5})
    assert kept.together([{VANILLA, SUGAR}, {ONION}]) == pytest.approx(1.2 / 3)
    assert kept.together([{VANILLA, SUGAR, ONION}]) == pytest.approx((1.2 - 1.5) / 3)
    assert kept.together([set()]) == 0


def test_what_goes_together_in_the_kitchen_is_known_to():
    """Common practice, no source: what a cake is made of, and what a stew."""
    worth = load_company()
    assert worth["sugar", "vanilla"] > 0.5
    assert worth["garlic", "onion"] > 0
    assert worth["garlic", "vanilla"] < -0.5
    assert worth["onion", "sugar"] < 0


def test_a_pair_that_names_one_food_is_refused(monkeypatch):
    monkeypatch.setattr(company, "load_sign_weights", lambda name: {"vanilla": 0.4})
    with pytest.raises(RulesError, match="names one food"):
        load_company()


def test_a_clause_stays_with_its_dish_unless_another_is_likelier_by_far():
    chances = ([0.55, 0.45], [0.7, 0.3], [0.3, 0.3, 0.4], [0.1, 0.3, 0.6])
    assert [likelier(likely, 1, 1.5) for likely in chances] == [1, 0, 1, 2]
