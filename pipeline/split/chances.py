"""How likely each state of every step of a chain is, by all that is told before and after it."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp


def chances(points: Sequence[Sequence[float]], turning: Sequence[Sequence[float]]) -> list[list[float]]:
    """How likely, from 0 to 1, each state is at each step.

    `points` are for each step those of every state, `turning` those of going to it from another before the step; the
    chance of a way through all steps grows with e to the power of its points. The sum over all ways is taken forward
    and backward (Rabiner, A tutorial on hidden Markov models, 1989, III A and B).
    """
    told = [_factors(step) for step in points]
    turns = [[exp(value) for value in step] for step in turning]
    before = _before(told, turns)
    after = [1.0] * len(told[-1]) if told else []
    found: list[list[float]] = []
    for step in range(len(told) - 1, -1, -1):
        found.append(_shares([one * other for one, other in zip(before[step], after, strict=True)]))
        reached = [one * other for one, other in zip(told[step], after, strict=True)]
        after = _came_from(reached, turns[step])
    return found[::-1]


def _factors(step: Sequence[float]) -> list[float]:
    most = max(step)
    return [exp(value - most) for value in step]


def _before(told: Sequence[Sequence[float]], turns: Sequence[Sequence[float]]) -> list[list[float]]:
    """For each step the chance of every state by what is told up to it."""
    found: list[list[float]] = []
    for step, factors in enumerate(told):
        came = _went_on(found[-1], turns[step]) if found else [1.0] * len(factors)
        found.append(_shares([one * other for one, other in zip(came, factors, strict=True)]))
    return found


def _went_on(chances: Sequence[float], turns: Sequence[float]) -> list[float]:
    """The chances after staying, or turning from any other state."""
    whole = sum(chances)
    return _shares([chance + turn * (whole - chance) for chance, turn in zip(chances, turns, strict=True)])


def _came_from(reached: Sequence[float], turns: Sequence[float]) -> list[float]:
    """How likely all that follows is after each state, by how likely it is after each that is stayed in or reached."""
    turned = [chance * turn for chance, turn in zip(reached, turns, strict=True)]
    whole = sum(turned)
    return _shares([chance + whole - own for chance, own in zip(reached, turned, strict=True)])


def _shares(chances: Sequence[float]) -> list[float]:
    whole = sum(chances)
    return [chance / whole for chance in chances]
