"""An amount as it was heard."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

SAID_IN_HUNDREDS = frozenset({"gram", "millilitre"})
LEAST_WEIGHT = 20
ANOTHER_THING = "amount.another-thing"
ONE_THING = frozenset({"amount.whole", ANOTHER_THING})


@dataclass(frozen=True, slots=True)
class Quantity:
    """Words `start` to `end` (exclusive) say an amount; the food, if it follows, may begin at `end`.

    `low` and `high` are None for vague words. `unit` is a unit of the record, or None for a bare figure that counts
    whole things. `share` marks a part of something spoken of before (half of this, the rest); `each` an amount for
    every food that follows; `of` that the word `of` closes it, so that a food must follow; `holds` is what one bag
    or box weighs, where that was said.
    """

    start: int
    end: int
    low: Fraction | None
    high: Fraction | None
    unit: str | None
    kind: str
    rule: str
    words: str = ""
    share: bool = False
    each: bool = False
    of: bool = False
    article: bool = False
    holds: tuple[Fraction, str] | None = None

    @property
    def vague(self) -> bool:
        """Whether no figure was said."""
        return self.low is None
