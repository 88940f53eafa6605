"""How many dishes an opening promises."""

from __future__ import annotations

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases

_INTRODUCTION = 160


class DishCounter:
    """Compiled words for a number of dishes, of `models/dish_counts.csv`."""

    def __init__(self, classes: Classes) -> None:
        self._counts = load_phrases("dish_counts.csv", ("id", "count", "pattern"), classes)

    def said(self, hearing: Hearing) -> int:
        """The number said in the introduction; 0 where none is."""
        matches = self._counts.scan(hearing.speech.words[:_INTRODUCTION])
        return max((int(match.payload["count"]) for match in matches), default=0)
