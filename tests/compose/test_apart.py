"""Amounts of one food that cannot be one amount in two forms.

The spoon is 15 mL (21 CFR 101.9(b)(5)(viii)), the pound 453.59 g (NIST SP 811);
plain flour weighs 125 g a cup (SR26 20081).
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.compose.apart import far_apart
from pipeline.hear.quantity import Quantity


def amount(figure, unit):
    return Quantity(0, 1, Fraction(figure), Fraction(figure), unit, "measure", "test")


@pytest.mark.parametrize(
    ("first", "second", "apart"),
    [
        ((250, "gram"), (2, "tablespoon"), True),
        ((125, "gram"), (1, "cup"), False),
        ((1, "pound"), (2, "cup"), False),
        ((1, "kilogram"), (1, "teaspoon"), True),
        ((1, "gram"), (1, "litre"), True),
        ((1, "litre"), (2, "tablespoon"), False),
        ((1, "gram"), (9, "kilogram"), False),
        ((400, "gram"), (1, "each"), False),
    ],
)
def test_a_weight_and_a_volume_are_apart_where_no_food_is_so_light_or_so_heavy(first, second, apart):
    assert far_apart(amount(*first), amount(*second), "us") is apart


@given(st.integers(1, 5000), st.integers(1, 5000), st.sampled_from(["us", "british"]))
def test_the_order_of_the_two_does_not_matter(grams, spoons, kitchen):
    weight, volume = amount(grams, "gram"), amount(spoons, "tablespoon")
    assert far_apart(weight, volume, kitchen) == far_apart(volume, weight, kitchen)
