"""What was said of a food, held against its figures and the published thresholds."""

from __future__ import annotations

import csv

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.record import Claim, Ingredient, Range
from pipeline.review.claims import ClaimCheck, claim_findings, claim_rows, claims_of
from pipeline.review.findings import spoken_names
from pipeline.review.thresholds import Threshold, claim_tables
from tests.review.conftest import HERE, TABLE, claim, dish, line

with (HERE / "claims.csv").open(newline="", encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file))


def check(made: Claim, *lines: Ingredient, **fields: object) -> ClaimCheck:
    """The claim checked in a dish for four of these lines."""
    recipe = dish(*(lines or (line("white-rice-long-dry", 200),)), claims=(made,), **fields)
    (checked,) = claims_of(recipe, TABLE, names=spoken_names())
    return checked


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['food']}-{row['sense']}-{row['nutrient']}-{row['words']}")
def test_a_claim_of_a_food_that_is_only_spoken_of(row):
    checked = check(claim(row["food"], row["nutrient"], row["sense"], row["words"]), line("vinegar-distilled", 5))
    assert checked.verdict == row["verdict"]
    assert row["figure"] in checked.why
    assert any(row["source"] in source for source in checked.sources) or not row["source"]


# 21 CFR 101.61(b)(4): at most 140 mg sodium. Soy sauce holds 5493 mg in 100 g (SR26 16123).
@pytest.mark.parametrize(
    ("grams", "verdict"),
    [
        (4, "depends on the portion"),
        (400, "not borne out"),
    ],
)
def test_a_food_in_the_dish_is_held_against_a_serving_and_100_g(grams, verdict):
    checked = check(claim("soy sauce", "sodium", "low"), line("soy-sauce", grams))
    assert checked.verdict == verdict
    assert [figure.of for figure in checked.figures] == ["100 g", "a serving here"]


def test_a_range_that_lies_on_both_sides_of_a_threshold_depends_on_the_portion():
    checked = check(claim("banana", "potassium", "high"), line("banana-raw", (100, 200, 600)))
    assert checked.verdict == "depends on the portion"


def test_a_kind_of_the_food_stands_for_it_but_no_other_food_of_like_name():
    kind = check(claim("soy sauce", "sodium", "high"), line("soy-sauce-reduced-sodium", 40, name="lite soy sauce"))
    other = check(claim("milk", "phosphorus", "high"), line("coconut-milk-canned", 100, name="coconut milk"))
    assert [figure.of for figure in kind.figures] == ["100 g", "a serving here"]
    assert [figure.of for figure in other.figures] == ["100 g, taken for a portion"]


# 21 CFR 101.61(b)(5): a meal is low in sodium up to 140 mg in 100 g. Salt holds 38758 mg (SR26 02047).
@pytest.mark.parametrize(("salt", "verdict"), [(1.0, "borne out"), (10.0, "not borne out")])
def test_a_dish_is_held_against_the_threshold_for_meals(salt, verdict):
    checked = check(claim("dish", "sodium", "low"), line("white-rice-long-dry", 600), line("table-salt", salt))
    assert checked.verdict == verdict
    assert "21 CFR 101.61(b)(5)" in checked.sources


def test_a_dish_with_a_line_of_unknown_weight_may_be_found_too_salty_but_never_low():
    little = check(claim("dish", "sodium", "low"), line("white-rice-long-dry", 600), line("fish-sauce", None))
    much = check(claim("dish", "sodium", "low"), line("table-salt", 12), line("fish-sauce", None))
    assert (little.verdict, much.verdict) == ("depends on the portion", "not borne out")
    assert little.why.startswith("At least ")


def test_a_word_of_the_title_or_a_component_is_the_dish_or_its_part():
    lines = (line("table-salt", 12, component="sauce"), line("white-rice-long-dry", 600))
    whole = check(claim("bake", "sodium", "low"), *lines, components=("sauce",))
    part = check(claim("sauce", "sodium", "low"), *lines, components=("sauce",))
    assert [one.verdict for one in (whole, part)] == ["not borne out"] * 2
    assert whole.figures[0].value != part.figures[0].value


@pytest.mark.parametrize(
    ("lines", "verdict", "named"),
    [
        ((line("white-rice-long-dry", 200), line("olive-oil", 30)), "borne out", "Nothing that went in"),
        (
            (line("white-rice-long-dry", 200), line("table-salt", 6)),
            "not borne out",
            "brought 581 mg sodium",
        ),
        ((line("table-salt", 0.5),), "not borne out", "brought 48 mg sodium"),
        ((line("soy-sauce", 32),), "not borne out", "Soy sauce went in"),
        ((line("beef-broth", 900),), "not borne out", "went in"),
        ((line("cheddar", 200), line("soy-sauce", 32)), "not borne out", "Soy sauce and "),
        ((line("baking-powder", 3),), "depends on the portion", "Baking powder went in"),
        ((line("fish-sauce", None),), "not borne out", "brought some; how much is not known"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_no_added_salt_is_checked_against_what_went_in(lines, verdict, named):
    checked = check(claim("dish", "salt", "added-none"), *lines)
    assert checked.verdict == verdict
    assert named in checked.why


def test_no_added_salt_said_of_a_component_leaves_the_others_out():
    lines = (line("soy-sauce", 32, component="marinade"), line("cabbage-raw", 300, component="slaw"))
    checked = check(claim("slaw", "salt", "added-none"), *lines, components=("marinade", "slaw"))
    assert checked.verdict == "borne out"


@pytest.mark.parametrize(
    ("sense", "food", "level"),
    [("low", "banana", "caution"), ("high", "cucumber", "note"), ("low", "butter", "note")],
)
def test_only_a_claim_that_makes_a_food_look_harmless_is_a_caution_where_not_borne_out(sense, food, level):
    (found,) = claim_findings((check(claim(food, "potassium", sense)),))
    assert found.level == level
    assert found.about == food


def test_the_table_of_claims_tells_when_what_and_why():
    ((at, said, verdict, why),) = claim_rows((check(claim("banana", "potassium", "high")),))
    assert (at, said, verdict) == ("1:30", "Banana, said to be high in potassium", "borne out")
    assert why.endswith(".")


def test_every_threshold_names_its_source_and_a_column_of_the_food_table():
    tables = claim_tables()
    columns = set(next(iter(TABLE)).figures)
    assert {one.nutrient for one in tables.thresholds} <= columns
    assert {column for column, _ in tables.nutrients.values()} <= columns
    assert all(one.source for one in tables.thresholds)


ranges = st.lists(st.floats(0, 1000), min_size=3, max_size=3).map(sorted)


@given(bounds=ranges, limit=st.floats(0.1, 1000), most=st.booleans())
def test_a_threshold_holds_for_a_range_only_where_it_holds_for_all_of_it(bounds, limit, most):
    low, best, high = bounds
    threshold = Threshold(
        "sodium_mg", "low", "serving", limit if most else None, None if most else limit, True, "", "x"
    )
    outcome = threshold.holds(Range(low=low, best=best, high=high))
    inside = [value <= limit if most else value >= limit for value in bounds]
    assert outcome == (True if all(inside) else False if not any(inside) else None) or inside[0] == inside[2]
