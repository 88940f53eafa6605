"""Amounts and times in words: fractions, units and ranges."""

import pytest

from pipeline import written
from pipeline.record import Amount, Duration, Unit


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.5, "½"), (1.5, "1½"), (0.25, "¼"), (2.75, "2¾"), (1 / 3, "⅓"), (0.333, "⅓"), (1.667, "1⅔"), (0.125, "⅛"),
        (3, "3"), (2.9999, "3"), (0.1, "0.1"), (2.45, "2.45"), (1200, "1,200"),
    ],
)  # fmt: skip
def test_kitchen_fractions(value, text):
    assert written.kitchen(value) == text


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
    assert written.amount(Amount(low=low, best=low, high=high, unit=unit, basis="said")) == text


def test_vague_amounts_are_the_speaker_s_words_and_unsaid_ones_are_empty():
    assert written.amount(Amount(basis="vague", words="a good glug")) == "“a good glug”"
    assert written.amount(Amount(basis="vague")) == "some"
    assert written.amount(Amount(basis="unsaid", words="thyme")) == ""


def test_every_unit_of_the_record_has_words():
    assert set(written.unit_words()) == set(Unit.__args__)


@pytest.mark.parametrize(
    ("low", "high", "unit", "text"),
    [(1, 1, "hour", "1 hour"), (0.5, 0.5, "hour", "½ hour"), (8, 12, "hour", "8–12 hours"), (2, 2, "day", "2 days")],
)
def test_times_keep_their_unit(low, high, unit, text):
    said = Duration(low=low, high=high, unit=unit, seconds=(0, 0), kind="planned")
    assert written.duration(said) == text
