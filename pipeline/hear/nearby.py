"""What stands near an amount: the cues within reach of it, and the food that follows."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace
from operator import itemgetter

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Row
from pipeline.hear.measured import Flags, Measured
from pipeline.hear.one_thing import SPOON_UNITS
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech
from pipeline.phrases import Match

CORRECTION_WINDOW = 26
TOTAL_WINDOW = 8
_LONGEST_CUE = 8
_TOLD_REACH = 6
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


def part_told(quantity: Quantity, food: int, flags: Flags, bound: Sequence[Measured]) -> Flags:
    """`a spoon of the chicken, that's about a tablespoon`: the same part once more."""
    last = bound[-1] if bound else None
    told = last is not None and last.part and last.food == food and not (flags.more or flags.total)
    near = last is not None and quantity.start - last.quantity.end <= _TOLD_REACH and quantity.kind == "measure"
    return replace(flags, part=True) if told and near else flags


def gives_way(first: Quantity, second: Quantity) -> bool:
    """`a drop of milk, two tablespoons`, `a cinnamon stick, half a stick`, `a jar of honey, a spoonful of it`: the
    second tells how much the first is."""
    if first.kind == "container" and ((second.vague and second.of) or second.unit in SPOON_UNITS):
        return True
    plain = second.low is not None and not second.article
    part = second.unit is not None or (second.low is not None and second.low < 1)
    return plain and ((first.vague and second.unit is not None) or (first.article and part))


def elsewhere(speech: Speech, cue: Match[Row], quantity: Quantity) -> bool:
    """Whether a speaker stops between an amount and a cue, or the sentence ends between an amount and a later cue, or
    the cue only compares (`no more than a spoon`)."""
    if speech.words[cue.end : cue.end + 1] == ("than",):
        return True
    end = min(cue.end, quantity.end)
    start = max(end, cue.start, quantity.start)
    ended = cue.start > quantity.start and any(speech.stop_after[end - 1 : start])
    return ended or any(speech.turn_before[end : start + 1])
