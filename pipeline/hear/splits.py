"""Amounts told once more in parts: `four cloves of garlic, two in the paste and two in the pot`."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.lexicon import Classes
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech

_REACH = 8
_BETWEEN = 8


class SplitReader:
    """Compiled words that say where a part goes."""

    def __init__(self, classes: Classes) -> None:
        self._goes = frozenset(classes["part-goes"])

    def without_parts(self, speech: Speech, quantities: Sequence[Quantity]) -> tuple[Quantity, ...]:
        """The quantities without two bare figures in a row that say where the parts of the one before them go."""
        kept: list[Quantity] = []
        at = 0
        while at < len(quantities):
            kept.append(quantities[at])
            parts = quantities[at + 1 : at + 3]
            at += 3 if len(parts) > 1 and self._makes_up(speech, quantities[at], parts[0], parts[1]) else 1
        return tuple(kept)

    def _makes_up(self, speech: Speech, whole: Quantity, one: Quantity, two: Quantity) -> bool:
        if whole.low is None or whole.article or one.low is None or two.low is None or one.low + two.low != whole.low:
            return False
        near = one.start - whole.end <= _REACH and two.start - one.end <= _BETWEEN
        return near and self._goes_somewhere(speech, one) and self._goes_somewhere(speech, two)

    def _goes_somewhere(self, speech: Speech, part: Quantity) -> bool:
        bare = part.unit is None and not (part.of or part.share or part.article or part.each)
        return bare and speech.words[part.end : part.end + 1] != () and speech.words[part.end] in self._goes
