"""Hears that a food opens a turn of the cooking: the next words are about it, `so noodles, these are thin ones`, or it
goes in with no verb at all, `right, garlic in`."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.clauses import Clauses
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_rows, time_words
from pipeline.hear.speech import Speech

_REACH = 12
_NO_COOKING = frozenset({"", "chat", "discard", "store", "serve", "taste"})
_STATE = frozenset({"are", "am"})


class OpenedTurns:
    """Compiled words that lead in such a food, and that go on from it."""

    def __init__(self, classes: Classes) -> None:
        self._going_on = frozenset(classes["going-on"]) | frozenset(classes["food-order"])
        self._listing = self._going_on | frozenset(classes["my-or-your"])
        self._units = frozenset((row["word"],) for row in load_rows("units.csv", ("word", "unit", "kind")))
        self._joins = frozenset(classes["joining"]) | frozenset(classes["definite"])
        numbers = {row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind"))}
        self._for_a_time = frozenset(classes["for-a-time"]) | time_words() | numbers
        self._leads = frozenset(classes["going-on"]) | frozenset(classes["clause-lead"])
        self._goes_on = frozenset(classes["topic-goes-on"])
        self._negating = frozenset(classes["negating"])
        self._before = self._leads | frozenset(classes["own-article"])
        self._after_in = frozenset(classes["after-in"])

    def goes_on(self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan], at: int) -> bool:
        """`and black pepper`, `then leeks and peas`, `then cabbage two minutes only`: whether the clause
        of a food does nothing but go on with it."""
        start, end = clauses.clause(foods[at].head)
        first, last = at, at
        while first and foods[first - 1].start >= start and self._joined(speech, foods[first - 1], foods[first]):
            first -= 1
        while last + 1 < len(foods) and foods[last + 1].end <= end:
            if not self._joined(speech, foods[last], foods[last + 1]):
                break
            last += 1
        lead, rest = speech.words[start : foods[first].start], speech.words[foods[last].end : end]
        lead = lead[:-2] if lead[-1:] == ("of",) and lead[-2:-1] in self._units else lead
        goes_on = bool(lead) and lead[0] in self._going_on and self._listing.issuperset(lead)
        if lead[:1] == ("and",) and lead[:2] != ("and", "then") and (len(lead) > 1 or first < last):
            return False
        return goes_on and self._for_a_time.issuperset(rest)

    def _joined(self, speech: Speech, one: FoodSpan, two: FoodSpan) -> bool:
        between = speech.words[one.end : two.start]
        return "and" in between and self._joins.issuperset(between)

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
