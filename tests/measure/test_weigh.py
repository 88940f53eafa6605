"""Spoken amounts in grams: known weights, honest ranges, nothing invented."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.errors import RulesError
from pipeline.foods.table import Food, FoodTable
from pipeline.measure.weigh import default_tables, weigh
from pipeline.record import Amount, Grams, Unit

from .test_units import read

FOODS = {food.id: food for food in FoodTable.load()}
BY_NDB: dict[str, Food] = {}
for _food in FOODS.values():
    BY_NDB.setdefault(_food.ndb, _food)
UNITS = get_args(Unit)


def said(best: float, unit: str | None, words: str = "", low: float | None = None, high: float | None = None) -> Amount:
    bounds = {"low": best if low is None else low, "best": best, "high": best if high is None else high}
    return Amount.model_validate({**bounds, "unit": unit, "basis": "said", "words": words})


def vague(words: str) -> Amount:
    return Amount(basis="vague", words=words)


def grams(amount: Amount, food: str, *preparation: str, kitchen: str = "us") -> Grams:
    weight = weigh(amount, FOODS[food], kitchen=kitchen, preparation=preparation)
    assert weight is not None
    return weight


@pytest.mark.parametrize(
    "row",
    read(Path(__file__).parent / "weights.csv"),
    ids=lambda row: f"{row['ndb']} {row['best']} {row['unit']} {row['preparation']}",
)
def test_known_weights(row: dict[str, str]) -> None:
    weight = weigh(
        said(float(row["best"]), row["unit"]), BY_NDB[row["ndb"]], preparation=tuple(row["preparation"].split())
    )
    assert weight is not None
    assert weight.best == pytest.approx(float(row["grams"]), rel=1e-6), row["source"]
    assert weight.how and weight.source


def test_weights_convert_and_lose_what_is_not_eaten() -> None:
    flour = grams(said(1, "pound"), "all-purpose-flour")
    assert (flour.low, flour.best, flour.high) == pytest.approx((453.592, 453.592, 453.592), rel=1e-5)
    whole, peeled = grams(said(100, "gram"), "carrot-raw"), grams(said(100, "gram"), "carrot-raw", "peeled")
    refuse = FOODS["carrot-raw"].refuse_pct
    assert refuse
    assert (whole.low, whole.best, whole.high) == pytest.approx((100 - refuse, 100 - refuse, 100))
    assert peeled.low == peeled.best == peeled.high == 100


def test_kitchens_differ_by_the_size_of_their_measures() -> None:
    milk = "milk-whole"
    us, british, metric = (grams(said(1, "cup"), milk, kitchen=name).best for name in ("us", "british", "metric"))
    assert us == pytest.approx(244)
    assert british == metric == pytest.approx(244 * 250 / 236.588, rel=1e-5)
    assert grams(said(1, "pint"), milk, kitchen="british").best == pytest.approx(
        grams(said(20, "fluid_ounce"), milk, kitchen="british").best, rel=1e-3
    )
    with pytest.raises(RulesError, match="no kitchen 'martian'; known are australian, british, metric, us"):
        weigh(said(1, "cup"), FOODS[milk], kitchen="martian")


def test_the_cut_chooses_the_cup() -> None:
    chopped, sliced, unsaid = (grams(said(1, "cup"), "onion-raw", *words) for words in (["diced"], ["sliced"], []))
    assert (chopped.best, sliced.best) == (160, 115)
    assert (unsaid.low, unsaid.high) == (115, 160)


def test_sizes_said_narrow_the_range_and_unsaid_leave_it() -> None:
    any_size, large = grams(said(1, "each"), "onion-raw"), grams(said(1, "each", "a large one"), "onion-raw")
    assert (any_size.low, any_size.best, any_size.high) == (70, 110, 150)
    assert (large.low, large.best, large.high) == (130, 150, 150)


def test_a_food_without_a_cup_takes_the_density_of_its_class_and_says_so() -> None:
    weight = grams(said(1, "teaspoon"), "garam-masala")
    assert weight.low < weight.best < weight.high
    assert "density of spice" in weight.how and "wide range" in weight.how


def test_the_size_of_a_can_that_was_said_counts() -> None:
    beans = "kidney-bean-red-canned-drained"
    tin = grams(said(2, "can", "two fifteen ounce cans"), beans)
    assert tin.best == pytest.approx(2 * 15 * 28.3495 * 0.61, rel=1e-4)
    assert "drained" in tin.how
    assert grams(said(1, "can", "a 400 gram tin"), "tomato-canned").best == pytest.approx(400)
    assert grams(said(1, "can"), beans).best == 266


@pytest.mark.parametrize(
    ("words", "food", "low", "high"),
    [
        ("a splash", "milk-whole", 10, 40),
        ("a squeeze", "lemon-juice", 3, 12),
        ("a good grind", "black-pepper-ground", 0.05, 0.8),
        ("a few sprigs", "thyme-fresh", 1, 10),
        ("a few leaves", "basil-fresh", 1, 2.5),
        ("a little drizzle", "olive-oil", 1, 14),
        ("a couple of dollops", "sour-cream", 22, 125),
        ("a few drops", "hot-sauce", 0.05, 1.5),
    ],
)
def test_vague_words_give_a_range(words: str, food: str, low: float, high: float) -> None:
    if food not in FOODS:
        pytest.fail(f"{food} is not in the table")
    weight = grams(vague(words), food)
    assert weight.basis == "vague"
    assert low <= weight.low <= weight.best <= weight.high <= high
    assert weight.source


def test_a_good_splash_is_more_than_a_splash_and_a_little_one_less() -> None:
    little, plain, good = (grams(vague(f"a {word}splash"), "olive-oil").best for word in ("little ", "", "good "))
    assert little < plain < good


def test_nothing_is_weighed_without_support() -> None:
    assert weigh(said(1, "cup"), None) is None
    assert weigh(Amount(basis="unsaid"), FOODS["onion-raw"]) is None
    assert weigh(said(1, "stick"), FOODS["all-purpose-flour"]) is None
    salt = grams(Amount(basis="unsaid"), "table-salt")
    assert salt.basis == "typical" and salt.low < salt.best < salt.high and "not said" in salt.how


def test_an_amount_without_a_unit_counts_whole_things() -> None:
    assert grams(said(2, None), "egg-whole-raw") == grams(said(2, "each"), "egg-whole-raw")


AMOUNTS = st.floats(0.01, 500)


@given(st.sampled_from(sorted(FOODS)), st.sampled_from(UNITS), AMOUNTS, st.floats(1, 3), st.sampled_from(
    sorted(default_tables().kitchens())))  # fmt: skip
def test_ranges_are_in_order_and_weights_grow_in_step(
    food: str, unit: str, best: float, spread: float, kitchen: str
) -> None:
    amount = said(best, unit, low=best / spread, high=best * spread)
    one = weigh(amount, FOODS[food], kitchen=kitchen)
    double = weigh(said(2 * best, unit, low=2 * best / spread, high=2 * best * spread), FOODS[food], kitchen=kitchen)
    assert (one is None) == (double is None)
    if one is not None and double is not None:
        assert 0 <= one.low <= one.best <= one.high
        for part in ("low", "best", "high"):
            assert getattr(double, part) == pytest.approx(2 * getattr(one, part), rel=1e-9)
        assert one.how and one.source
    else:
        assert unit not in default_tables().weight


VAGUE = st.sampled_from(sorted(default_tables().vague_phrases))


@given(st.sampled_from(sorted(FOODS)), VAGUE, st.sampled_from(["", "good ", "little ", "couple of "]))
def test_every_vague_phrase_gives_an_ordered_range(food: str, phrase: str, size: str) -> None:
    weight = weigh(vague(f"a {size}{phrase}"), FOODS[food])
    assert weight is not None
    assert 0 < weight.low <= weight.best <= weight.high
    assert weight.basis == "vague"
