"""Amounts that tell what comes on a plate: `supper is three sausages on a plate`."""

from __future__ import annotations

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.hear.measured import Measured

_MEAL_REACH = 12


class ServedJudge:
    """Compiled words for what a serving goes on."""

    def __init__(self, classes: Classes) -> None:
        self._asides = load_phrases("served_asides.csv", ("id", "kind", "pattern"), classes)
        self._meal = frozenset(classes["meal-word"])

    def is_served(self, hearing: Hearing, measured: Measured) -> bool:
        """Whether the amount is one serving of what is cooked by then; a bowl may also be the cook's own, and counts
        only near words for a meal."""
        quantity, food = measured.quantity, hearing.foods[measured.food]
        words, place = hearing.speech.words, max(quantity.end, food.end)
        aside = self._asides.longest(words, place) if place < len(words) else None
        if aside is None:
            return False
        near = words[max(0, quantity.start - _MEAL_REACH) : aside.end + _MEAL_REACH]
        return aside.payload["kind"] == "each" or not self._meal.isdisjoint(near)
