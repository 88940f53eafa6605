"""Minimum temperatures, rest, holding, cooling and storage against the published tables, by name."""

import pytest

from pipeline.audit import audit
from pipeline.audit.tables import default_tables

from . import builder

SAFETY = default_tables().safety
HOUR, DAY, MINUTE = 3600, 86400, 60

FSIS_CHART = {"poultry": (165, 74), "ground": (160, 71), "whole": (145, 63), "leftovers": (165, 74)}
FOODSAFETY_CHART = {"fish": (145, 63), "shellfish": (145, 63), "egg": (160, 71)}
FOOD_CODE_HOLDING = {"hold.hot": (135, 57), "hold.cold": (41, 5)}
HOME_HOLDING = {"hold.hot-home": (140, 60), "hold.cold-home": (40, 4), "hold.freezer": (0, -18)}
COLD_STORAGE_CHART = {
    "store.leftovers": (3, 4),
    "store.gravy": (1, 2),
    "store.raw-mince": (1, 2),
    "store.raw-whole": (3, 5),
    "store.lunch-meat": (3, 5),
}


@pytest.mark.parametrize(("food", "degrees"), FSIS_CHART.items())
def test_minimum_temperatures_of_the_fsis_chart(food, degrees):
    row = SAFETY[f"internal.{food}"]
    assert (row.fahrenheit, row.celsius) == degrees
    assert "FSIS" in row.source


@pytest.mark.parametrize(("food", "degrees"), FOODSAFETY_CHART.items())
def test_minimum_temperatures_of_the_foodsafety_gov_chart(food, degrees):
    row = SAFETY[f"internal.{food}"]
    assert (row.fahrenheit, row.celsius) == degrees
    assert "foodsafety.gov" in row.source


def test_rest_of_whole_cuts_in_the_fsis_chart():
    assert SAFETY["rest.whole"].low == 3 * MINUTE


@pytest.mark.parametrize(("row", "degrees"), FOOD_CODE_HOLDING.items())
def test_hot_and_cold_holding_of_the_food_code_3_501_16(row, degrees):
    assert (SAFETY[row].fahrenheit, SAFETY[row].celsius) == degrees
    assert "3-501.16" in SAFETY[row].source


@pytest.mark.parametrize(("row", "degrees"), HOME_HOLDING.items())
def test_holding_at_home(row, degrees):
    assert (SAFETY[row].fahrenheit, SAFETY[row].celsius) == degrees


def test_cooling_of_the_food_code_3_501_14():
    first, second = SAFETY["cool.first"], SAFETY["cool.second"]
    assert (first.fahrenheit, first.high) == (70, 2 * HOUR)
    assert (second.fahrenheit, second.high) == (41, 4 * HOUR)
    assert "3-501.14" in first.source and "3-501.14" in second.source


def test_two_hours_out_of_the_fridge_and_one_above_ninety():
    assert SAFETY["out.limit"].high == 2 * HOUR
    assert (SAFETY["out.hot-day"].fahrenheit, SAFETY["out.hot-day"].high) == (90, HOUR)


@pytest.mark.parametrize(("row", "days"), COLD_STORAGE_CHART.items())
def test_days_in_the_fridge_of_the_cold_storage_chart(row, days):
    assert (SAFETY[row].low, SAFETY[row].high) == (days[0] * DAY, days[1] * DAY)


def test_printed_celsius_is_the_fahrenheit_to_the_degree():
    tables = default_tables()
    for row in SAFETY.values():
        if row.fahrenheit is not None and row.celsius is not None:
            assert abs(tables.fahrenheit(row.celsius) - row.fahrenheit) < 1.8


def rules(title: str, foods: str, said: str, settings: str) -> set[str]:
    heard = builder.transcript(said)
    return {finding.rule for finding in audit(builder.episode(title, foods, heard, settings), heard).findings}


MEATS = [
    ("roast chicken legs", "chicken legs", 165, 74),
    ("turkey burgers", "ground turkey", 165, 74),
    ("beef patties", "ground beef", 160, 71),
    ("pork chops", "pork chops", 145, 63),
    ("baked cod", "cod", 145, 63),
    ("pepper frittata", "eggs", 160, 71),
]


@pytest.mark.parametrize(("title", "food", "fahrenheit", "celsius"), MEATS)
@pytest.mark.parametrize("unit", ["F", "C"])
def test_a_reading_at_the_published_minimum_is_met_and_one_degree_less_is_below(title, food, fahrenheit, celsius, unit):
    limit = fahrenheit if unit == "F" else celsius
    for figure, below in ((limit, False), (limit - 1, True)):
        said = f"fry it ten minutes / until the middle says {figure} degrees / and rest five minutes"
        found = rules(title, food, said, f"fry 10min #1; food {figure}{unit} #2; rest 5min #3")
        assert ("internal-below" in found) == below


@pytest.mark.parametrize(("hours", "found"), [(2, False), (3, True)])
def test_two_hours_on_the_counter_are_the_limit(hours, found):
    said = f"boil the potatoes ten minutes / the salad can stand on the counter {hours} hours"
    got = rules("potato salad", "potatoes; eggs", said, f"boil 10min #1; rest {hours}hour #2")
    assert ("out-too-long" in got) == found


@pytest.mark.parametrize(
    ("title", "foods", "days", "found"),
    [
        ("beef stew", "beef stew meat", 4, False),
        ("beef stew", "beef stew meat", 5, True),
        ("onion gravy", "beef broth", 2, False),
        ("onion gravy", "beef broth", 3, True),
    ],
)
def test_fridge_life_is_held_against_the_cold_storage_chart(title, foods, days, found):
    got = rules(
        title,
        foods,
        f"simmer it two hours / it keeps {days} days in the fridge",
        f"simmer 2hour #1; store {days}day #2",
    )
    assert ("keep-too-long" in got) == found
