"""How likely each state of a chain is, by all that is told before and after it."""

from itertools import pairwise, product
from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.split.chances import chances
from tests.chains import Chain, fit

POINTS = st.floats(-4, 4, allow_nan=False)


@st.composite
def chains(draw):
    states, steps = draw(st.integers(2, 3)), draw(st.integers(1, 5))
    points = [[draw(POINTS) for _ in range(states)] for _ in range(steps)]
    return points, [[draw(POINTS) for _ in range(states)] for _ in range(steps)]


def by_every_way(points, turning):
    """The same by the points of each way through all steps."""
    found = [[0.0] * len(step) for step in points]
    for way in product(*(range(len(step)) for step in points)):
        told = sum(step[state] for step, state in zip(points, way, strict=True))
        turned = sum(turning[at][other] for at, (one, other) in enumerate(pairwise(way), 1) if one != other)
        for at, state in enumerate(way):
            found[at][state] += exp(told + turned)
    return [[value / sum(step) for value in step] for step in found]


@given(chains())
def test_the_chances_are_those_of_all_ways_together(chain):
    points, turning = chain
    for found, wanted in zip(chances(points, turning), by_every_way(points, turning), strict=True):
        assert found == pytest.approx(wanted, rel=1e-6, abs=1e-9)


def test_the_chance_of_rain_by_two_umbrellas():
    """The umbrella world of Russell and Norvig, Artificial Intelligence, chapter on reasoning over time, from memory:
    rain holds on or off seven days in ten, an umbrella is seen on nine days of rain in ten and on two others in ten;
    after two umbrellas the first day had rain by 0.883."""
    umbrella = [log(0.9), log(0.2)]
    (first, _), (second, _) = chances([umbrella, umbrella], [[0.0, 0.0], [log(0.3 / 0.7)] * 2])
    assert round(first, 3) == round(second, 3) == 0.883


def test_no_step_has_no_chances_and_points_as_great_as_can_be_do_no_harm():
    assert chances([], []) == []
    found = chances([[5000.0, -5000.0], [0.0, 0.0]], [[0.0, 0.0], [-50.0, -50.0]])
    assert found == [[1.0, 0.0], pytest.approx([1.0, 0.0], abs=1e-9)]


def test_weights_are_set_so_that_what_is_known_is_likely():
    """Of a chain whose states are known here and there, the sign that goes with them gets points, another none, turning
    where nothing is known to turn costs, and less so to the state that is called."""
    signs = [[{"right": 1, "any": 1}, {"any": 1}]] * 4 + [[{"any": 1}, {"right": 1, "any": 1}]] * 4
    nothing, called = [{}, {}], [{}, {"called": 1}]
    turned_to = [nothing] * 4 + [called] + [nothing] * 3
    turning = [{"turn": 1}] * 8
    whole = Chain(signs, turned_to, turning, {1: 0, 2: 0, 5: 1, 6: 1})
    weights = fit([whole, Chain(signs[:4], turned_to[:4], turning[:4], {0: 0, 3: 0})] * 10, penalty=0.1, least=1)
    assert weights["right"] > 1
    assert weights["any"] == pytest.approx(0, abs=1e-6)
    assert weights["turn"] < 0 < weights["called"]
    points = [[_points(weights, one) for one in step] for step in signs]
    found = chances(points, [[weights["turn"] + _points(weights, one) for one in step] for step in turned_to])
    assert [int(np.argmax(one)) for one in found] == [0, 0, 0, 0, 1, 1, 1, 1]


def _points(weights, signs):
    return sum(weights[sign] * value for sign, value in signs.items())
