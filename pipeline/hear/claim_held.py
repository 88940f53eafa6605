"""Whether a bare `has` or `is` before a nutrient tells what a food holds: `soda has sodium in it`, `soup is fluid`."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, marked_rules, phrase_class
from pipeline.phrases import Match

HELD = ".held"
_HAS = marked_rules("has-held")
_CONTAINED = phrase_class("held-in")
_NOTHING_ELSE = phrase_class("nothing-else")


class HeldReader:
    """Compiled words round `has` and `is` where they are no question and no order."""

    def __init__(self, classes: Classes) -> None:
        self._minerals = frozenset(classes["claim-mineral"])
        self._dish = frozenset(classes["dish-word"]) - {"one", "thing"}
        self._naming = frozenset(classes["claim-naming"])
        self._prepositions = frozenset(classes["preposition"]) | frozenset(classes["is-or-does"])
        self._definite = frozenset(classes["definite"]) | frozenset(classes["held-article"])
        self._relative = frozenset(classes["held-relative"])

    def fits(self, words: Sequence[str], foods: Sequence[FoodSpan], level: Match[Row], nutrient: Match[Row]) -> bool:
        """`level` stands right before `nutrient` and right after a food that nothing asks about or puts anywhere."""
        at = level.start - (words[level.start - 1] in self._relative)
        owner = next((food.start for food in foods if food.end == at), None)
        if owner is None and words[at - 1] in self._dish:
            owner = at - 1
        if level.end != nutrient.start or owner is None:
            return False
        lead = owner - 1
        while lead > 0 and words[lead] in self._definite:
            lead -= 1
        if words[lead] in self._prepositions:
            return False
        strong = nutrient.payload["nutrient"] in self._minerals
        after = tuple(words[nutrient.end : nutrient.end + 2])
        if level.payload["id"] in _HAS:
            return strong and after in _CONTAINED
        if not strong:
            return after[:1] == (words[nutrient.start],) or after in _NOTHING_ELSE
        return not self._naming.intersection(after[:1])
