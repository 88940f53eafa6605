"""Who else is in the kitchen: names heard with a word for speaking or wishing (`marta says`, `marta wants`)."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_rows
from pipeline.hear.speech import Speech

SOMEBODY = "somebody"


class PeopleFinder:
    """Compiled words for speaking and wishing, and those that are no names."""

    def __init__(self, classes: Classes) -> None:
        self._saying = frozenset(classes["saying-verb"])
        self._wishing = frozenset(classes["wishing-verb"])
        self._leads = frozenset(classes["det"]) | frozenset(classes["no-name-lead"])
        verbs = {row["form"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))}
        units = {row["word"] for row in load_rows("units.csv", ("word", "unit", "kind"))}
        others = ("pronoun", "people", "person", "kin", "aux", "finite-verb", "dish-word", "not-a-name")
        self._no_names = verbs.union(units, classes["det"], *(classes[name] for name in others))

    def told_apart(self, speech: Speech, foods: Sequence[FoodSpan]) -> tuple[str, ...]:
        """The words of a speech with every name read as `somebody`: a word that stands without an article before a
        word for speaking or wishing. A food may speak (Basil says) but not wish (lamb likes mint)."""
        names = self.names(speech, foods)
        return tuple([SOMEBODY if word in names else word for word in speech.words]) if names else speech.words

    def names(self, speech: Speech, foods: Sequence[FoodSpan]) -> frozenset[str]:
        """The names, in lower case."""
        eaten = {place for food in foods for place in range(food.start, food.end)}
        spoken = {place - 1 for place in speech.where(self._saying)}
        wished = {place - 1 for place in speech.where(self._wishing)} - eaten
        return frozenset(
            speech.words[place] for place in spoken | wished if place >= 0 and self._may_be_name(speech.words, place)
        )

    def _may_be_name(self, words: Sequence[str], place: int) -> bool:
        before = words[place - 1] if place else ""
        return words[place].isalpha() and words[place] not in self._no_names and before not in self._leads
