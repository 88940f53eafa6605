"""Amounts told by the one before: `the same of`, `double that`."""

from __future__ import annotations

from collections.abc import Collection, Sequence, Set
from dataclasses import replace
from fractions import Fraction

from pipeline.hear.lexicon import Classes, load_phrases, word_class
from pipeline.hear.quantity import Quantity

_CLOSING = word_class("relative-closing")
_WEIGHTS = word_class("weight-or-volume")


class RelativeReader:
    """Compiled words for multiples of an amount."""

    def __init__(self, classes: Classes) -> None:
        self._relative = load_phrases("relative_amounts.csv", ("id", "factor", "pattern"), classes)

    def openers(self, words: Collection[str]) -> Set[str]:
        """Those of some different words with which such an amount may begin."""
        return self._relative.openers(words)

    def at(self, words: Sequence[str], place: int, before: Sequence[Quantity]) -> Quantity | None:
        """The multiple of the last figure said before that begins at `place`."""
        match = self._relative.longest(words, place)
        if match is None:
            return None
        weighs = not _WEIGHTS.isdisjoint(words[match.start : match.end])
        model = next((item for item in reversed(before) if _is_model(item, weighs=weighs)), None)
        if model is None or model.low is None or model.high is None:
            return None
        factor = Fraction(match.payload["factor"])
        return replace(
            model,
            start=match.start,
            end=match.end,
            low=model.low * factor,
            high=model.high * factor,
            rule=match.payload["id"],
            words=" ".join(words[match.start : match.end]),
            of=words[match.end - 1] in _CLOSING,
            each=False,
            share=False,
        )


def _is_model(quantity: Quantity, *, weighs: bool) -> bool:
    """Whether a multiple can be of this amount: `four eggs and the same weight of sugar` is of what was weighed."""
    return quantity.low is not None and not quantity.article and (quantity.kind == "measure" or not weighs)
