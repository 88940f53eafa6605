"""What may stand between a food and the amount said after it: `the milk, the oat one, i'm pouring in two cups`."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.lexicon import Classes, load_phrases, load_rows, word_class
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech

_GAP_AFTER_FOOD = 9
IT_IS = ("it", "is")
_ONE = word_class("one-or-ones")
_OF_THEM = word_class("it-or-them")


class Between:
    """Compiled words that link an amount to the food before it."""

    def __init__(self, classes: Classes) -> None:
        preparations = {
            row["words"] for row in load_rows("modifiers.csv", ("words", "kind")) if row["kind"] == "preparation"
        }
        self._words = frozenset(classes["amount-link"]) | frozenset(classes["size"]) | preparations
        self._sizes = frozenset(classes["size"])
        self._asides = load_phrases("amount_between.csv", ("id", "pattern"), classes)
        self._speakers = frozenset(classes["speaking-pronoun"])
        self._how = frozenset(classes["a-bit-how"])
        self._count_follow = frozenset(classes["count-follow"]) | preparations | frozenset(classes["imperative"])

    def links(self, words: Sequence[str], start: int, end: int, *, thing: bool) -> bool:
        """Whether words `start` to `end` (exclusive) only lead on to an amount. Remarks by the way do not count; where
        the amount may be a `thing`, as the last word of `the lean one`, none of them may run on into it."""
        place, linking = start, 0
        while place < end:
            found = self._asides.at(words, place)
            aside = next((one for one in found if one.end <= end), None)
            if aside is not None and not (thing and found[0].end > end):
                place = aside.end
                continue
            if words[place] not in self._words:
                return False
            place, linking = place + 1, linking + 1
        return linking <= _GAP_AFTER_FOOD

    def ends_count(self, speech: Speech, quantity: Quantity) -> bool:
        """A bare figure after a food counts it only where no other thing to count follows (not `it's four plates`), and
        where nobody says what he did with all of them (not `and both of them i wrote`). No amount is told by
        `peas are a bit salty`."""
        if quantity.vague and not self._how.isdisjoint(speech.words[quantity.end : quantity.end + 1]):
            return False
        before, after = speech.words[quantity.start - 1 : quantity.start], speech.words[quantity.end : quantity.end + 1]
        if quantity.rule == "amount.group.count" and before == ("and",) and not self._speakers.isdisjoint(after):
            return False
        if quantity.kind != "count" or quantity.unit is not None or quantity.end >= len(speech):
            return True
        closed = speech.words[quantity.end - 1] in _OF_THEM or quantity.share or quantity.each
        place = quantity.end
        while place + 1 < len(speech) and speech.words[place] in self._sizes:
            place += 1
        if place > quantity.end and speech.words[place] in _ONE:
            return True
        if speech.words[quantity.end : quantity.end + 2] == IT_IS:
            return True
        following = speech.words[quantity.end]
        return closed or following in self._count_follow or speech.stop_after[quantity.end - 1]
