"""A noun that may name a dish."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Noun:
    """A noun, words `start` to `end` (exclusive), and what kind of word it is: dish, weak (also a food),
    food or part."""

    start: int
    end: int
    kind: str
