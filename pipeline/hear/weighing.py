"""Adds up what signs tell: how likely something is, and which of them told most."""

from __future__ import annotations

from collections.abc import Mapping
from math import exp


def added(weights: Mapping[str, float], signs: Mapping[str, float]) -> dict[str, float]:
    """What each sign that has a weight adds, by its strength."""
    return {sign: strength * weights[sign] for sign, strength in signs.items() if strength and sign in weights}


def chance(points: Mapping[str, float]) -> float:
    """How likely, from 0 to 1, something is for which signs add these points."""
    return 1 / (1 + exp(-sum(points.values())))


def strongest(points: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    """The signs with their points, the strongest first."""
    return tuple(sorted(points.items(), key=lambda one: (-abs(one[1]), one[0])))
