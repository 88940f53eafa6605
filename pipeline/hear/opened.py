"""Hears that a food opens a turn of the cooking: the next words are about it, `so noodles, these are thin ones`, or it
goes in with no verb at all, `right, garlic in`."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes
from pipeline.hear.speech import Speech

_REACH = 12
_NO_COOKING = frozenset({"", "chat", "discard", "store", "serve", "taste"})
_STATE = frozenset({"are", "am"})


class OpenedTurns:
    """Compiled words that lead in such a food, and that go on from it."""

    def __init__(self, classes: Classes) -> None:
        self._leads = frozenset(classes["going-on"]) | frozenset(classes["clause-lead"])
        self._goes_on = frozenset(classes["topic-goes-on"])
        self._negating = frozenset(classes["negating"])
        self._before = self._leads | frozenset(classes["own-article"])
        self._after_in = frozenset(classes["after-in"])

    def opens(self, speech: Speech, verbs: Sequence[str], clause: tuple[int, int], food: FoodSpan) -> bool:
        """Whether a food in the clause from one word to another (exclusive) opens a turn; `verbs` has the kind of every
        word's verb.

        `Now yoghurt, i keep it small` does; `so mayonnaise, you and i are finished` and `now salt, i don't use any` do
        not.
        """
        words = speech.words
        tail = words[food.end : clause[1]]
        lead, end = words[clause[0] : food.start], min(len(words), food.end + _REACH)
        if tail[:1] == ("in",) and self._after_in.issuperset(tail[1:]) and self._before.issuperset(lead):
            return True
        if not lead or not self._leads.issuperset(lead) or food.end >= end or words[food.end] not in self._goes_on:
            return False
        done = any(verbs[at] not in _NO_COOKING and words[at - 1] not in _STATE for at in range(food.end, end))
        return done and self._negating.isdisjoint(words[food.end : end])
