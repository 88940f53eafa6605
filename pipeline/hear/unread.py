"""A word or two between an amount and its food that nobody put there: what a recogniser made of the food's first
word, or of its other name (`a tablespoon of bal sammy vinegar`)."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.lexicon import Classes, load_rows
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech

_MOST = 2
_KNOWN = ("determiner", "det", "preposition", "joining", "pronoun", "object-pronoun", "relative-word", "vessel")


class UnreadWords:
    """The words that do tell something between an amount and a food."""

    def __init__(self, classes: Classes) -> None:
        figures = (row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind")))
        units = (row["word"] for row in load_rows("units.csv", ("word", "unit", "kind")))
        self._known = frozenset(figures).union(units, *(classes[name] for name in _KNOWN))

    def between(self, quantity: Quantity, words: Sequence[str]) -> bool:
        """Whether only such words stand between a measure that ends in `of` and the next food."""
        measures = quantity.of and quantity.kind == "measure"
        return measures and 0 < len(words) <= _MOST and self._known.isdisjoint(words)

    def follow(self, speech: Speech, quantity: Quantity) -> bool:
        """Whether a measure that is joined to what came before ends in `of` and such a word: `three bay leaves and a
        pinch of saffer ron`."""
        joined = speech.words[max(0, quantity.start - 1) : quantity.start] == ("and",)
        ends = speech.words[quantity.end - 1] == "of" and not speech.stop_after[quantity.end - 1]
        return joined and ends and self._known.isdisjoint(speech.words[quantity.end : quantity.end + 1])
