"""How many dishes an opening promises."""

from __future__ import annotations

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases

_INTRODUCTION = 160
_OPENING = 240
_LISTED_WITHIN = 15
_PARTS = "parts"
_LAYERS = "layers"


class DishCounter:
    """Compiled words for a number of dishes, of `models/dish_counts.csv`."""

    def __init__(self, classes: Classes) -> None:
        self._counts = load_phrases("dish_counts.csv", ("id", "kind", "count", "pattern"), classes)

    def said(self, hearing: Hearing, *, things: bool = True) -> int:
        """The number said in the introduction, of dishes or also of things; 0 where none is."""
        return self.told(hearing, things=things)[0]

    def told(self, hearing: Hearing, *, things: bool = True) -> tuple[int, int]:
        """The number said, and the word after which what is counted may be named."""
        matches = self._counts.scan(hearing.speech.words[:_INTRODUCTION])
        matches = [match for match in matches if match.payload["kind"] not in {_PARTS, _LAYERS}]
        counted = [match for match in matches if things or match.payload["kind"] == "dishes"]
        return max(((int(match.payload["count"]), match.end) for match in counted), default=(0, 0))

    def joined(self, hearing: Hearing) -> int:
        """The word up to which all that is named is one dish, `that's four jobs, the dough, the beans, salsa`; 0 where
        nothing says so."""
        parts = [end for kind, end in self._parts(hearing) if kind == _PARTS]
        return max(parts) + _LISTED_WITHIN if parts else 0

    def in_parts(self, hearing: Hearing) -> bool:
        """Whether parts of one dish are counted, or layers."""
        return bool(self._parts(hearing))

    def _parts(self, hearing: Hearing) -> list[tuple[str, int]]:
        """What is counted of one dish, parts or layers, and the word after it."""
        matches = self._counts.scan(hearing.speech.words[:_OPENING])
        counted = ((match.payload["kind"], match.end) for match in matches)
        return [(kind, end) for kind, end in counted if kind in {_PARTS, _LAYERS}]
