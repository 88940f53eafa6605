"""Foods that one speaker asks for and the other refuses: `a bit of cheese on it?` `ah no`."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.hear.measured import Measured
from pipeline.hear.scopes import Scope
from pipeline.hear.speech import Speech

_LONGEST_TURN = 16
_TO_END = 5


class ReplyFinder:
    """Compiled words that refuse what was asked for."""

    def __init__(self, classes: Classes) -> None:
        self._refusals = load_phrases("refusals.csv", ("id", "pattern"), classes)
        self._asking = frozenset(classes["asking-word"])

    def find(self, speech: Speech, foods: Sequence[FoodSpan], measured: Sequence[Measured]) -> list[Scope]:
        """A scope over each food that is asked for at the end of a short turn, if the next turn opens with no."""
        counted = {item.food for item in measured if not item.quantity.article and not item.quantity.vague}
        turns = [place for place, opens in enumerate(speech.turn_before) if opens]
        scopes: list[Scope] = []
        for before, place in zip([0, *turns], turns, strict=False):
            refusal = self._refusals.longest(speech.words, place)
            last = bisect_left(foods, place, key=lambda food: food.start) - 1
            if refusal is None or last < 0 or last in counted or not self._asks(speech, before, place):
                continue
            if foods[last].start >= before and place - foods[last].end <= _TO_END:
                start = foods[last].start
                scopes.append(Scope(start, foods[last].end, "negated", refusal.payload["id"], place, refusal.end))
        return scopes

    def _asks(self, speech: Speech, start: int, end: int) -> bool:
        """Whether a turn is short and asks or offers: `would you put ham in`, `some cheese on it maybe`."""
        words = speech.words[start:end]
        return len(words) <= _LONGEST_TURN and not self._asking.isdisjoint((*words[:2], *words[-1:]))
