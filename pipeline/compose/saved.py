"""Hears that a food is what was kept back of it: `the parsley we saved`, `the rest of the garlic`."""

from __future__ import annotations

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases

_REACH = 5


class Saved:
    """Compiled words for what was kept back."""

    def __init__(self, classes: Classes) -> None:
        self._cues = load_phrases("saved_cues.csv", ("id", "place", "pattern"), classes)

    def holds(self, hearing: Hearing, at: int) -> bool:
        """Whether food `at` is a share kept for this place, and so goes in here as well."""
        words, food = hearing.speech.words, hearing.foods[at]
        if any(match.payload["place"] == "after" for match in self._cues.at(words, food.end)):
            return True
        return any(
            match.payload["place"] == "before" and match.end == food.head
            for start in range(max(0, food.head - _REACH), food.head)
            for match in self._cues.at(words, start)
        )
