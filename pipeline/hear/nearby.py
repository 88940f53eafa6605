"""What stands near an amount: the cues within reach of it, and the food that follows."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from operator import itemgetter

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Row
from pipeline.hear.quantity import Quantity
from pipeline.phrases import Match

CORRECTION_WINDOW = 26
TOTAL_WINDOW = 8
_LONGEST_CUE = 8
_START = itemgetter(0)


def cues_near(cues: Sequence[Match[Row]], quantity: Quantity) -> Sequence[Match[Row]]:
    """The cues that begin within reach of an amount; `cues` are in order of their start."""
    first = bisect_left(cues, quantity.start - CORRECTION_WINDOW - _LONGEST_CUE, key=_START)
    return cues[first : bisect_left(cues, quantity.end + TOTAL_WINDOW + 1, first, key=_START)]


def first_after(foods: Sequence[FoodSpan], quantities: Sequence[Quantity]) -> list[int]:
    """For each quantity the index of the first food that ends after it."""
    following: list[int] = []
    place = 0
    for quantity in quantities:
        while place < len(foods) and foods[place].end <= quantity.end and foods[place].head < quantity.end:
            place += 1
        following.append(place)
    return following
