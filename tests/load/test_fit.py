"""What would make a dish fit, and the lists it is made from."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.errors import RulesError
from pipeline.load.fit import fit_of
from pipeline.load.lines import TOTALS, lines_of
from pipeline.load.options import changes, default_swaps, options_of, read_swaps
from pipeline.load.plate import portion_of
from pipeline.load.retention import read_retention, retention
from pipeline.load.targets import limits_of, parse_target
from tests.load.conftest import TABLE, dish, line, serves, unweighed


def fit(lines, *texts, servings=4):
    portion = portion_of(dish(*lines, servings=serves(servings)), TABLE)
    return fit_of(portion, TABLE, limits_of([parse_target(text) for text in texts], weight_kg=None, meal_share=1))


MASH = [line("potato-raw", 600), line("milk-whole", 200), line("table-salt", 6), line("butter-salted", 40)]


def test_a_dish_that_fits_needs_no_change():
    found = fit(MASH, "potassium=4700mg/meal")
    assert (found.found, found.changes, found.before) == (True, (), found.after)


def test_one_change_does_where_one_can():
    found = fit(MASH, "sodium=400mg/meal")
    assert len(found.changes) == 1
    assert "table-salt" in found.changes[0].words
    assert found.after["sodium_mg"] <= 400 < found.before["sodium_mg"]


def test_a_technique_is_preferred_where_it_is_enough():
    found = fit(MASH, "potassium=550mg/meal")
    assert [change.kind for change in found.changes] == ["technique"]
    assert "boil" in found.changes[0].words
    assert found.changes[0].source


def test_a_technique_that_was_used_is_not_proposed_again():
    boiled = [line("potato-raw", 600, preparation=("leached",))]
    kinds = {option.kind for option in options_of(lines_of(boiled, TABLE), TABLE)}
    assert kinds == {"less", "swap"}


def test_each_change_has_its_before_and_after_and_they_join_up():
    found = fit(MASH, "potassium=250mg/meal", "sodium=200mg/meal")
    assert len(found.changes) >= 2
    assert found.changes[0].before == found.before
    assert found.changes[-1].after == found.after
    for earlier, later in zip(found.changes, found.changes[1:], strict=False):
        assert earlier.after == later.before
    assert all(found.after[name] <= most + 1e-3 for name, most in found.most.items())


def test_nothing_in_the_list_is_said_plainly_with_the_lowest_that_can_be_had():
    found = fit(MASH, "potassium=1mg/meal")
    assert (found.found, found.changes) == (False, ())
    assert 1 < found.lowest["potassium_mg"] < found.before["potassium_mg"]


def test_a_lower_limit_that_is_met_is_kept():
    lines = [line("cod-raw", 400), line("potato-raw", 800)]
    loose = fit(lines, "potassium=500mg/meal")
    held = fit(lines, "potassium=500mg/meal", f"protein>={0.98 * loose.before.get('protein_g', 21.85):.2f}g/meal")
    assert held.found
    assert held.after["protein_g"] >= held.least["protein_g"] - 1e-3


def test_a_lower_limit_that_is_missed_is_told_and_does_not_bind():
    found = fit(MASH, "sodium=400mg/meal", "protein>=40g/meal")
    assert found.found
    assert found.least == {}
    assert any("protein is below its lower figure" in remark for remark in found.remarks)


def test_a_food_whose_figure_is_not_known_is_no_remedy():
    for option in options_of(lines_of(MASH, TABLE), TABLE):
        if option.kind == "swap":
            assert not np.isnan(option.amounts[TOTALS.index("potassium_mg")])


def test_what_is_not_known_is_told():
    found = fit([*MASH, unweighed("soy-sauce")], "sodium=400mg/meal")
    assert any("not known may raise sodium" in remark for remark in found.remarks)


FOODS = st.sampled_from(["potato-raw", "milk-whole", "table-salt", "chicken-broth"])


@given(st.lists(st.tuples(FOODS, st.floats(1, 400)), min_size=1, max_size=2), st.floats(20, 600), st.floats(20, 600))
@settings(max_examples=25)
def test_no_fewer_changes_would_do(parts, sodium, potassium):
    lines = [line(food, grams) for food, grams in parts]
    found = fit(lines, f"sodium={sodium:.1f}mg/meal", f"potassium={potassium:.1f}mg/meal", servings=1)
    assert (len(found.changes) if found.found else None) == fewest(lines, sodium, potassium)


def fewest(lines, sodium, potassium):
    """All ways tried one after the other: the least number of changes that does, None where none does."""
    counted = lines_of(lines, TABLE)
    places = [TOTALS.index("sodium_mg"), TOTALS.index("potassium_mg")]
    ways = [[(0, counted.amounts()[1, place, places])] for place in range(len(lines))]
    for option in options_of(counted, TABLE):
        if not np.isnan(option.amounts[places]).any():
            ways[option.place].append((1, option.amounts[places]))
    limits = np.array([round(sodium, 1), round(potassium, 1)]) * (1 + 1e-6)
    tried = [
        sum(changed for changed, _ in way) + (size != 1)
        for way in product(*ways)
        for size in (1.0, *changes().portions)
        if (sum(amounts for _, amounts in way) * size <= limits).all()
    ]
    return min(tried, default=None)


def test_swaps_are_many_known_to_the_table_and_take_something_away():
    swaps = [swap for of_food in default_swaps().values() for swap in of_food]
    assert len(swaps) >= 80
    roles = {swap.role for swap in swaps}
    assert {"binder", "acid", "salt", "thickener", "vegetable", "cheese", "milk"} <= roles
    for swap in swaps:
        old, new = TABLE.get(swap.food), TABLE.get(swap.swap)
        assert old and new and new.known, swap
        gains = [
            (old.figures[name] or 0) - (new.figures[name] or 0) * swap.ratio
            for name in ("sodium_mg", "potassium_mg", "phosphorus_mg")
            if new.figures[name] is not None
        ]
        assert max(gains) > 5, swap
        assert swap.source


def test_shares_kept_are_of_foods_of_the_table_and_have_advice():
    shares = retention()
    for (technique, food), by_nutrient in shares.shares.items():
        assert food in TABLE or food.startswith("class:"), food
        assert by_nutrient
        assert shares.sources[technique, food]
    assert all(technique.advice and technique.words for technique in shares.techniques)


@pytest.mark.parametrize(
    ("technique", "food", "nutrient", "share"),
    [
        ("boil-and-drain", "cauliflower-raw", "potassium_mg", 0.54),  # SR26 11135 to 11136
        ("boil-and-drain", "pasta-dry", "potassium_mg", 0.47),  # SR26 20120 to 20121
        ("boil-in-pieces", "potato-raw", "potassium_mg", 0.50),  # Bethke and Jansky 2008
        ("rinse", "kidney-bean-red-canned-drained", "sodium_mg", 0.90),  # SR26 16145 to 16335
        ("rinse-long", "tuna-canned-water", "sodium_mg", 0.20),  # J Am Diet Assoc 1983;82:394
        ("brown-and-drain", "ground-beef-80-lean-raw", "phosphorus_mg", 0.94),  # SR26 23572 to 23575
    ],
)
def test_shares_of_the_literature(technique, food, nutrient, share):
    assert retention().of(technique, TABLE.get(food))[nutrient].best == share


def test_faults_of_the_lists_are_all_named(tmp_path):
    swaps = tmp_path / "swaps.csv"
    swaps.write_text("food,role,swap,ratio,note,source\na,salt,b,much,,x\nc,,d,1,,\n")
    with pytest.raises(RulesError) as fault:
        read_swaps(swaps)
    assert "'much' is not a number" in str(fault.value)
    assert "line 3: column source: is empty" in str(fault.value)
    shares, words = tmp_path / "retention.csv", tmp_path / "techniques.csv"
    shares.write_text("technique,food,nutrient,low,best,high,source\nstew,a,zest,0.9,0.5,1,\n")
    words.write_text("technique,words,rank,advice\nrinse,rinsed,10,rinse it\n")
    with pytest.raises(RulesError) as fault:
        read_retention(shares, words)
    for part in ("'stew' has no words", "'zest' is no nutrient", "not between low and high", "column source"):
        assert part in str(fault.value)
