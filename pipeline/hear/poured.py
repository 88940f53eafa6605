"""Foods that something is only washed or soaked with: `wash the chicken with a lime and throw that water away`."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from pipeline.hear.clauses import Clauses
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases
from pipeline.hear.scopes import Scope
from pipeline.hear.speech import Speech
from pipeline.phrases import Match

_KIND = "negated"
_WITH = 3
_AWAY = 12
_MOST_BETWEEN = 3


class PouredFinder:
    """Compiled words for washing, soaking and pouring away."""

    def __init__(self, classes: Classes) -> None:
        self._cues = load_phrases("poured_cues.csv", ("id", "kind", "pattern"), classes)
        self._cleansers = frozenset(classes["cleanser"])
        self._joins = frozenset(classes["joining"])
        self._between = self._joins | frozenset(classes["det"]) | frozenset(classes["poured-between"])
        self._places = frozenset(classes["preposition"])

    def find(self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan]) -> list[Scope]:
        """A scope over each row of foods that does not stay in the dish, in order of their cues."""
        cues = self._cues.everywhere(speech.words, speech.places)
        away = [cue for cue in cues if cue.payload["kind"] == "away"]
        scopes = [
            Scope(cue.start, cue.end, _KIND, cue.payload["id"], cue.start, cue.end)
            for cue in away
            if speech.words[cue.end : cue.end + 1] == ("down",) or not self._goes_on(speech, cue.end)
        ]
        furthest = 0
        for cue in cues:
            if cue.payload["kind"] == "away" or "and" in speech.words[cue.start : cue.end]:
                continue
            row = self._row(speech, clauses, foods, cue)
            if row and row[0].start >= furthest and self._leaves(foods, row, cue, away):
                furthest = row[-1].end
                scopes.append(Scope(cue.end, furthest, _KIND, cue.payload["id"], cue.start, cue.end))
        return scopes

    def _goes_on(self, speech: Speech, place: int) -> bool:
        """`pour the milk out into the bowl`: where it goes is told."""
        return not self._places.isdisjoint(speech.words[place : place + 1])

    def _row(self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan], cue: Match[Row]) -> Sequence[FoodSpan]:
        """The food right after a cue, in the same sentence, with those that are joined to it."""
        first = last = bisect_left(foods, cue.end, key=lambda food: food.start)
        sentence = clauses.sentence_of[cue.end - 1]
        if first == len(foods) or foods[first].start - cue.end > _WITH:
            return ()
        if clauses.sentence_of[foods[first].head] != sentence:
            return ()
        washing = cue.payload["kind"] == "wash"
        if washing and not self._cleans(speech, foods[first]):
            return ()
        while last + 1 < len(foods) and self._joined(speech, foods[last], foods[last + 1]):
            if washing and not self._cleans(speech, foods[last + 1]):
                break
            last += 1
        return foods[first : last + 1]

    def _cleans(self, speech: Speech, food: FoodSpan) -> bool:
        return not self._cleansers.isdisjoint(speech.words[food.start : food.end])

    def _joined(self, speech: Speech, food: FoodSpan, after: FoodSpan) -> bool:
        between = speech.words[food.end : after.start]
        return not self._joins.isdisjoint(between) and self._between.issuperset(between)

    @staticmethod
    def _leaves(
        foods: Sequence[FoodSpan], row: Sequence[FoodSpan], cue: Match[Row], away: Sequence[Match[Row]]
    ) -> bool:
        """What cleans leaves; what something soaks in only where it is poured away before much else is named."""
        if cue.payload["kind"] != "soak":
            return True
        end = row[-1].end
        poured = next((one for one in away if one.start >= end), None)
        if poured is None or poured.start - end > _AWAY:
            return False
        return _starting(foods, poured.start) - _starting(foods, end) < _MOST_BETWEEN


def _starting(foods: Sequence[FoodSpan], place: int) -> int:
    return bisect_right(foods, place, key=lambda food: food.start)
