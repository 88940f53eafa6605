"""Kitchen units against the standards; the plain factor table against pint."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.measure.registry import factors, kitchens, registry
from pipeline.measure.tables import Tables
from pipeline.resources import data_path

HERE = Path(__file__).parent
UNITS = registry()


def read(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", read(HERE / "units.csv"), ids=lambda row: f"{row['kitchen']} {row['unit']}")
def test_units_are_those_of_the_standard(row: dict[str, str]) -> None:
    name = row["unit"] if row["kitchen"] == "any" else kitchens()[row["kitchen"]][row["unit"]]
    value = UNITS.Quantity(1, name).to(row["base"]).magnitude
    assert value == pytest.approx(float(row["value"]), abs=max(float(row["tolerance"]), 1e-9))


@pytest.mark.parametrize("row", read(HERE / "label_units.csv"), ids=lambda row: row["unit"])
def test_label_units_are_the_kitchen_units_to_within_two_in_a_hundred(row: dict[str, str]) -> None:
    label = UNITS.Quantity(1, row["unit"]).to("millilitre").magnitude
    assert label == pytest.approx(float(row["value"]))
    assert UNITS.Quantity(1, row["kitchen_unit"]).to("millilitre").magnitude == pytest.approx(label, rel=0.02)


@pytest.mark.parametrize(("larger", "smaller", "times"), [
    ("us_tablespoon", "us_teaspoon", 3), ("us_cup", "us_tablespoon", 16), ("us_pint", "us_cup", 2),
    ("us_quart", "us_pint", 2), ("us_gallon", "us_quart", 4), ("imperial_pint", "imperial_fluid_ounce", 20),
    ("pound", "ounce", 16), ("litre", "millilitre", 1000),
])  # fmt: skip
def test_the_ladder_of_units(larger: str, smaller: str, times: int) -> None:
    assert UNITS.Quantity(1, larger).to(smaller).magnitude == pytest.approx(times)


def test_the_factor_table_is_what_pint_works_out() -> None:
    table = [tuple(row.values()) for row in read(data_path("unit_factors.csv"))]
    assert table == factors()


NAMES = [name for words in kitchens().values() for word, name in words.items() if word != "source"]


@given(st.floats(1e-3, 1e4), st.sampled_from(NAMES), st.sampled_from(NAMES))
def test_conversion_there_and_back(value: float, one: str, other: str) -> None:
    quantity: Any = UNITS.Quantity(value, one)
    assert quantity.to(other).to(one).magnitude == pytest.approx(value, rel=1e-12)


def test_every_kitchen_has_every_unit_of_volume_and_each_loads() -> None:
    tables = Tables.load()
    words = {word for word in kitchens()["us"] if word != "source"}
    assert tables.kitchens() == tuple(sorted(kitchens()))
    for kitchen in tables.kitchens():
        assert {word for (place, word) in tables.volume if place == kitchen} == words
