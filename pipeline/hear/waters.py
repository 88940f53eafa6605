"""Tells water that stays in the dish from water that something is boiled, soaked or stood in."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases, load_rows, word_class
from pipeline.hear.measured import Measured
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech
from pipeline.phrases import Match

WATER = "water"
_LEAD = 4
_BATH_REACH = 14
_AWAY_REACH = 40
_MOST_BETWEEN = 2
_AWAY = frozenset({"away", "tip"})
_INSIDE = word_class("inside-word")


class WaterJudge:
    """Compiled words for pouring in and for throwing away."""

    def __init__(self, classes: Classes) -> None:
        verbs = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._adding = frozenset(row["form"] for row in verbs if row["kind"] in {"add", "combine"})
        self._holders = frozenset(classes["water-holder"])
        self._determiners = frozenset(classes["determiner"]) | frozenset(classes["det"])
        self._plenty = frozenset(classes["plenty-word"])
        self._places = frozenset(classes["preposition"])
        self._cues = load_phrases("water_cues.csv", ("id", "kind", "pattern"), classes)

    def find(self, speech: Speech, foods: Sequence[FoodSpan], measured: Sequence[Measured]) -> frozenset[int]:
        """Indexes of the waters that do not stay in the dish."""
        waters = [at for at, food in enumerate(foods) if food.name.split()[-1] == WATER]
        if not waters:
            return frozenset()
        said = {item.food: item.quantity for item in measured if not item.quantity.article}
        counted = sorted(foods[at].start for at in said)
        cues = self._cues.everywhere(speech.words, speech.places)
        return frozenset(at for at in waters if self._leaves(speech, foods[at], said.get(at), cues, counted))

    def _leaves(
        self,
        speech: Speech,
        food: FoodSpan,
        quantity: Quantity | None,
        cues: Sequence[Match[Row]],
        counted: Sequence[int],
    ) -> bool:
        start = min(food.start, quantity.start) if quantity is not None else food.start
        near = cues[bisect_left(cues, start - _LEAD, key=lambda cue: cue.start) :]
        if self._tipped_out(speech, food, near) or _bathed(food, near):
            return True
        inside = self._is_inside(speech.words, start)
        if quantity is None and (inside or not self._poured(speech.words, food)):
            return True
        if inside and self._plenty.intersection(speech.words[start : food.start]):
            return True
        return (inside or quantity is None) and _thrown_away(food, near, counted)

    def _is_inside(self, words: Sequence[str], start: int) -> bool:
        """`boil it in water`, `drop them in boiling water`, not `pour in water`."""
        place = start - 1
        while place > 0 and words[place] in self._determiners:
            place -= 1
        return place > 0 and words[place] in _INSIDE and words[place - 1] not in self._adding

    def _poured(self, words: Sequence[str], food: FoodSpan) -> bool:
        lead = words[max(0, food.start - _LEAD) : food.start]
        return self._holders.isdisjoint(lead) and not self._adding.isdisjoint(lead)

    def _tipped_out(self, speech: Speech, food: FoodSpan, cues: Sequence[Match[Row]]) -> bool:
        """`throw the water`, not `pour the water over`."""
        tipped = any(cue.payload["kind"] == "tip" and cue.start < food.head < cue.end for cue in cues)
        follows = speech.words[food.end : food.end + 1]
        return tipped and self._places.isdisjoint(follows)


def _bathed(food: FoodSpan, cues: Sequence[Match[Row]]) -> bool:
    """`hot water until it's halfway up the sides`: what the dish stands in."""
    return any(cue.payload["kind"] == "bath" and 0 <= cue.start - food.end <= _BATH_REACH for cue in cues)


def _thrown_away(food: FoodSpan, cues: Sequence[Match[Row]], counted: Sequence[int]) -> bool:
    """Whether it is drained off before many more foods are measured."""
    for cue in cues:
        if cue.start - food.end > _AWAY_REACH:
            return False
        if cue.payload["kind"] in _AWAY and cue.start >= food.end:
            between = bisect_left(counted, cue.start) - bisect_left(counted, food.end)
            return between < _MOST_BETWEEN
    return False
