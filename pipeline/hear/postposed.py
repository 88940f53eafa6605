"""Words that deny the food right before them: `tomato no, not in mine`, `sugar we don't use here`."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence, Set

from pipeline.hear.clauses import Clauses
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes
from pipeline.hear.speech import Speech

_FOLLOWING = 2
_LEAD = 3


class PostposedReader:
    """Compiled words that may stand between a food and its denial, and between foods denied together."""

    def __init__(self, classes: Classes, verbs: Set[str]) -> None:
        self._gap = frozenset(classes["amount-filler"]) | frozenset(classes["amount-after-filler"])
        self._joins = frozenset(classes["joining"])
        self._bound = frozenset(classes["det"]) | verbs

    @staticmethod
    def leads_on(foods: Sequence[FoodSpan], place: int) -> bool:
        """Whether a food comes right after `place`, so that what denies is about that: `also no salt`."""
        at = bisect_left(foods, place, key=lambda food: food.start)
        return at < len(foods) and foods[at].start - place < _FOLLOWING

    def reach(
        self,
        speech: Speech,
        clauses: Clauses,
        foods: Sequence[FoodSpan],
        amounts: Mapping[int, int],
        place: int,
    ) -> tuple[int, int]:
        """Words of the food that ends before `place`, with those before it that are joined to it and stand bare: in
        `two onions and tomato no` the onions are not denied. `amounts` are those said before foods, by their start."""
        last = bisect_right(foods, place, key=lambda food: food.end) - 1
        if last < 0 or not self._stands_before(speech, clauses, foods[last], place):
            return 0, 0
        first = last
        while first and self._goes_with(speech, foods[first - 1], foods[first], amounts):
            first -= 1
        return foods[first].start, place

    def _stands_before(self, speech: Speech, clauses: Clauses, food: FoodSpan, place: int) -> bool:
        """`garlic? no, not for me`; after a stop only where nothing but the food was said, not `add garlic. no`."""
        if not self._gap.issuperset(speech.words[food.end : place]):
            return False
        apart = any(speech.stop_after[at - 1] or speech.pause_before[at] for at in range(food.end, place + 1))
        return not apart or food.start - clauses.sentence(food.head)[0] < _LEAD

    def _goes_with(self, speech: Speech, food: FoodSpan, after: FoodSpan, amounts: Mapping[int, int]) -> bool:
        between = speech.words[food.end : after.start]
        joined = bool(between) and self._joins.issuperset(between) and after.start not in amounts
        return joined and food.start not in amounts and speech.words[food.start - 1] not in self._bound
