"""Figures in words: fractions, units, and rounding that widens a range and never narrows it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.publish import figures
from pipeline.record import Amount, Duration, Temperature, Unit

figure = st.floats(min_value=0, max_value=1e6, allow_nan=False)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.5, "½"), (1.5, "1½"), (0.25, "¼"), (2.75, "2¾"), (1 / 3, "⅓"), (0.333, "⅓"), (1.667, "1⅔"), (0.125, "⅛"),
        (3, "3"), (2.9999, "3"), (0.1, "0.1"), (2.45, "2.45"), (1200, "1,200"),
    ],
)  # fmt: skip
def test_kitchen_fractions(value, text):
    assert figures.kitchen(value) == text


@pytest.mark.parametrize(
    ("low", "high", "unit", "text"),
    [
        (0.5, 0.5, "cup", "½ cup"),
        (1, 1, "cup", "1 cup"),
        (1.5, 1.5, "cup", "1½ cups"),
        (1, 2, "tablespoon", "1–2 tablespoons"),
        (0.5, 0.5, "each", "½"),
        (3, 4, None, "3–4"),
        (2, 2, "leaf", "2 leaves"),
        (8, 8, "fluid_ounce", "8 fluid ounces"),
        (1.5, 1.5, "litre", "1.5 litres"),
        (0.3, 0.3, "kilogram", "0.3 kilogram"),
        (2, 2, "pinch", "2 pinches"),
    ],
)
def test_said_amounts(low, high, unit, text):
    assert figures.amount(Amount(low=low, best=low, high=high, unit=unit, basis="said")) == text


def test_vague_amounts_are_the_speaker_s_words_and_unsaid_ones_are_empty():
    assert figures.amount(Amount(basis="vague", words="a good glug")) == "“a good glug”"
    assert figures.amount(Amount(basis="vague")) == "some"
    assert figures.amount(Amount(basis="unsaid", words="thyme")) == ""


def test_every_unit_of_the_record_has_words():
    assert set(figures.unit_words()) == set(Unit.__args__)


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


@pytest.mark.parametrize(
    ("low", "high", "unit", "text"),
    [(1, 1, "hour", "1 hour"), (0.5, 0.5, "hour", "½ hour"), (8, 12, "hour", "8–12 hours"), (2, 2, "day", "2 days")],
)
def test_times_keep_their_unit(low, high, unit, text):
    said = Duration(low=low, high=high, unit=unit, seconds=(0, 0), kind="planned")
    assert figures.duration(said) == text
