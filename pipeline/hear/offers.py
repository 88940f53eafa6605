"""Foods that are said to serve as well: `lard does the job`, `there's no law against lamb`, `if you've hake go for it`.

The words stand in `models/standin_offers.csv`: they follow the food that serves, or lead to it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_phrases, load_rows, word_class
from pipeline.hear.speech import Speech

_NOBODY = -1
_LEAD = 3
_FIGURE_BACK = 3
_PRONOUNS = tuple(word_class("offer-pronoun"))
_APOSTROPHE = "'"
_WATER = "water"
_OF = frozenset({"of"})


@dataclass(frozen=True, slots=True)
class Offers:
    """What was offered in one talk: food -> the food it may replace, by index, and the rule; the words at which
    somebody may go for what he has; the foods of which is told that others use them."""

    serving: Mapping[int, tuple[int, str]]
    approved: frozenset[int]
    others: frozenset[int]


class OfferFinder:
    """Compiled words of offers."""

    def __init__(self, classes: Classes) -> None:
        self._frames = load_phrases("standin_offers.csv", ("id", "kind", "pattern"), classes)
        units = {row["word"] for row in load_rows("units.csv", ("word", "unit", "kind"))}
        numbers = load_rows("numbers.csv", ("word", "value", "kind"))
        self._articles = frozenset(classes["determiner"]) | frozenset(classes["det"])
        self._amounts = (frozenset(row["word"] for row in numbers) - self._articles) | units
        self._lead = self._articles | frozenset(classes["size"]) | self._amounts | _OF

    def find(self, speech: Speech, foods: Sequence[FoodSpan]) -> Offers:
        """The offers among the words of a talk."""
        ends = [food.end for food in foods]
        starts = [food.start for food in foods]
        serving: dict[int, tuple[int, str]] = {}
        approved: set[int] = set()
        others: set[int] = set()
        for match in self._frames.everywhere(speech.words, speech.places):
            kind, rule = match.payload["kind"], match.payload["id"]
            before, after = bisect_left(ends, match.start), bisect_left(starts, match.end)
            follows = before < len(foods) and self._ends_at(speech, foods[before], match.start)
            follows = follows and not speech.words[match.start].startswith(_PRONOUNS)
            leads = after < len(foods) and self._lead.issuperset(speech.words[match.end : starts[after]])
            leads = leads and starts[after] - match.end <= _LEAD
            if kind == "approved":
                approved.add(match.start)
            elif kind in {"others", "ahead", "else"} and not leads:
                continue
            elif kind == "others":
                others.add(after)
            elif kind in {"ahead", "else"}:
                replaced = before if follows and kind == "else" and before != after else _NOBODY
                serving.setdefault(after, (replaced, rule))
            elif follows and (kind == "serves" or leads) and not self._is_ours(speech, foods, before):
                serving.setdefault(before, (_NOBODY, rule))
        return Offers(serving, frozenset(approved), frozenset(others))

    @staticmethod
    def _ends_at(speech: Speech, food: FoodSpan, start: int) -> bool:
        """Whether words from `start` on follow a food, or begin within its last: `lard's`."""
        return food.end == start or (food.end == start + 1 and _APOSTROPHE in speech.words[start])

    def _is_ours(self, speech: Speech, foods: Sequence[FoodSpan], at: int) -> bool:
        """`two spoons of vinegar do the job`: what goes in; nor is water offered for water."""
        start = foods[at].start
        since = max(foods[at - 1].end if at else 0, start - _FIGURE_BACK)
        return foods[at].food == _WATER or not self._amounts.isdisjoint(speech.words[since:start])
