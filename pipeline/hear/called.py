"""Foods whose word is somebody's name: a dog called Biscuit, a Ginger who is spoken to."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.hear.speech import Speech


class CalledFinder:
    """Compiled frames of names."""

    def __init__(self, classes: Classes) -> None:
        self._frames = load_phrases("name_frames.csv", ("id", "pattern", "place"), classes)
        self._definite = frozenset(classes["definite"])

    def find(self, speech: Speech, foods: Sequence[FoodSpan]) -> set[int]:
        """The heads of such foods: every time the word is said alone."""
        single = {speech.words[food.head]: food for food in foods if food.end - food.head == 1}
        names: set[str] = set()
        for match in self._frames.everywhere(speech.words, speech.places):
            place = match.start - 1 if match.payload["place"] == "before" else match.end
            called = 0 <= place < len(speech) and speech.words[place] in single
            if called and (place == 0 or speech.words[place - 1] not in self._definite):
                names.add(speech.words[place])
        return {food.head for food in foods if food.end - food.start == 1 and speech.words[food.head] in names}
