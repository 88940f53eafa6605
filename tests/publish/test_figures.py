"""Figures in words: fractions, units, and rounding that widens a range and never narrows it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.publish import figures
from pipeline.record import Temperature

figure = st.floats(min_value=0, max_value=1e6, allow_nan=False)


@pytest.mark.parametrize(
    ("value", "below", "near", "above"),
    [
        (0, "0", "0", "0"),
        (0.004, "0", "0", "0.01"),
        (0.234, "0.23", "0.23", "0.24"),
        (1.26, "1.2", "1.3", "1.3"),
        (12.4, "12", "12", "13"),
        (999.7, "999", "1,000", "1,000"),
        (1234, "1,230", "1,230", "1,240"),
    ],
)
def test_rounding(value, below, near, above):
    assert (figures.lower(value), figures.nearest(value), figures.upper(value)) == (below, near, above)


def number(text: str) -> float:
    return float(text.replace(",", ""))


@given(figure)
def test_a_printed_range_holds_the_true_value(value):
    slack = 1e-6 * max(value, 1)
    assert number(figures.lower(value)) <= value + slack
    assert number(figures.upper(value)) >= value - slack


@given(figure, figure)
def test_rounding_keeps_the_order(one, other):
    low, high = sorted((one, other))
    for write in (figures.lower, figures.nearest, figures.upper):
        assert number(write(low)) <= number(write(high))


def test_a_nutrient_that_is_not_in_the_table_is_named_by_its_key_and_comes_last():
    words = figures.nutrient("vitamin_c_mg")
    assert (words.label, words.unit) == ("vitamin c", "mg")
    assert words.rank > max(known.rank for known in figures.nutrient_words().values())


@pytest.mark.parametrize(
    ("value", "unit", "celsius", "text"),
    [
        (350, "F", 176.667, "350 °F (177 °C)"),
        (74, "C", 74, "74 °C (165 °F)"),
        (0.5, "gas", 130, "gas mark ½ (130 °C, 266 °F)"),
        (-18, "C", -18, "-18 °C (0 °F)"),
    ],
)
def test_settings_are_shown_in_both_scales(value, unit, celsius, text):
    assert figures.temperature(Temperature(value=value, unit=unit, celsius=celsius, of="oven")) == text
