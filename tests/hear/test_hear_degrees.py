"""Degrees and gas marks against published values."""

import csv
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.hear.heat_tables import HeatTables

TABLES = HeatTables.load()
FILE = Path(__file__).with_name("degrees.csv")
with FILE.open(encoding="utf-8", newline="") as file:
    READER = csv.DictReader(file)
    PUBLISHED = [pytest.param(row, id=f"{FILE.name}:{READER.line_num}") for row in READER]


@pytest.mark.parametrize("row", PUBLISHED)
def test_degrees_celsius_are_those_published(row):
    celsius = TABLES.celsius(Fraction(row["value"]), row["unit"])
    assert row["source"]
    assert round(celsius, 1) == float(row["celsius"]), row


@pytest.mark.parametrize("mark", ["0", "10", "4.5"])
def test_a_mark_that_no_oven_has_is_no_temperature(mark):
    assert TABLES.celsius(Fraction(mark), "gas") is None


def test_a_higher_mark_is_a_hotter_oven():
    marks = sorted(TABLES.gas)
    assert [TABLES.gas[mark] for mark in marks] == sorted(set(TABLES.gas.values()))


@given(st.fractions(-40, 600))
def test_fahrenheit_and_celsius_agree_to_and_fro(value):
    assert TABLES.celsius(in_fahrenheit(value), "F") == pytest.approx(float(value), abs=1e-9)


def in_fahrenheit(celsius: Fraction) -> Fraction:
    return celsius * Fraction(9, 5) + 32
