"""Amounts that answer a question: `how many have you got there?` `six`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_rows
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech

_QUESTION = 12
_HEDGE = 2
_FOOD_REACH = 20
_MUCH = frozenset({"many", "much"})


class AnswerReader:
    """Compiled words of questions after an amount."""

    def __init__(self, classes: Classes) -> None:
        rows = load_rows("units.csv", ("word", "unit", "kind"))
        self._units = {row["word"]: (row["unit"], row["kind"]) for row in rows}
        self._other_things = frozenset(classes["not-asked-of-food"])

    def answered(self, speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity) -> Quantity | None:
        """The amount, in the unit that was asked for, where it answers how much there is of food `before`."""
        asked = self._asked(speech, quantity)
        if asked is None or before < 0 or quantity.start - foods[before].end > _FOOD_REACH:
            return None
        unit = self._units.get(speech.words[asked]) if asked < quantity.start else None
        if unit is None or quantity.unit is not None:
            return quantity
        return replace(quantity, unit=unit[0], kind=unit[1])

    def _asked(self, speech: Speech, quantity: Quantity) -> int | None:
        """Where the words after `how many` begin, if a speaker opens with the amount right after such a question."""
        words, start = speech.words, quantity.start
        opens = next((at for at in range(start, start - _HEDGE - 1, -1) if self._opens(speech, at)), None)
        if (
            opens is None
            or words[opens - 1] == "for"
            or quantity.low is None
            or quantity.share
            or quantity.of
            or quantity.article
        ):
            return None
        for at in range(opens - 1, max(0, opens - _QUESTION), -1):
            if words[at] in _MUCH and words[at - 1] == "how":
                plain = self._other_things.isdisjoint(words[at:opens])
                return at + 1 if plain else None
        return None

    @staticmethod
    def _opens(speech: Speech, at: int) -> bool:
        return at > 0 and (
            speech.turn_before[at] or speech.stop_after[at - 1] or speech.line[at] != speech.line[at - 1]
        )
