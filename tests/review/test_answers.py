"""Amounts and servings as a person writes them."""

from __future__ import annotations

import csv

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.errors import RecordError
from pipeline.review.answers import parse_amount, parse_servings, units
from tests.review.conftest import HERE

with (HERE / "answers.csv").open(newline="", encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file))


@pytest.mark.parametrize("row", [row for row in ROWS if row["unit"]], ids=lambda row: row["text"])
def test_an_amount_is_read_as_written(row):
    amount = parse_amount(row["text"])
    assert (amount.low, amount.high, amount.unit) == (float(row["low"]), float(row["high"]), row["unit"])
    assert (amount.basis, amount.words) == ("said", row["text"])


@pytest.mark.parametrize("row", [row for row in ROWS if not row["unit"]], ids=lambda row: row["text"])
def test_what_is_no_amount_is_refused_by_its_words(row):
    with pytest.raises(RecordError, match="is no amount") as fault:
        parse_amount(row["text"])
    assert repr(row["text"]) in str(fault.value)


@given(low=st.integers(0, 500), more=st.integers(0, 500), unit=st.sampled_from(sorted(units())))
def test_figures_and_unit_come_back_from_any_amount(low, more, unit):
    amount = parse_amount(f"{low / 4:g}-{(low + more) / 4:g} {unit}")
    assert (amount.low, amount.high) == (low / 4, (low + more) / 4)
    assert amount.unit == units()[unit]
    assert amount.low <= (amount.best or 0) <= amount.high


@given(st.text(max_size=30))
def test_any_text_is_an_amount_or_refused_and_never_a_crash(text):
    try:
        amount = parse_amount(text)
    except RecordError:
        return
    assert amount.low is not None and amount.high is not None and 0 <= amount.low <= amount.high


@pytest.mark.parametrize(("text", "low", "high"), [("4", 4, 4), ("4-6", 4, 6), ("4 to 6", 4, 6), ("2.5", 2.5, 2.5)])
def test_servings_are_one_figure_or_two(text, low, high):
    count = parse_servings(text)
    assert (count.low, count.high) == (low, high)


@pytest.mark.parametrize("text", ["0", "four", "4 cups", ""])
def test_what_is_no_number_of_servings_is_refused(text):
    with pytest.raises(RecordError):
        parse_servings(text)
