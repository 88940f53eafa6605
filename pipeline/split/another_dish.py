"""Looks for another dish where only one was found, or fewer than were promised: a programme seldom cooks one alone
(common practice, no source). What was too doubtful by its signs is tried, and stays where the talk then follows it for
a fair share of the foods."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_weights
from pipeline.split.choices import Choice
from pipeline.split.dishes import Dish, Topic, measured_places, stem
from pipeline.split.titles import Announcement
from pipeline.split.ways import SAUCE, DishWays

_MOST_TRIED = 4
_NAMED_TWICE = 2
_NAMED_OFTEN = 4
_LEAST_FOODS = 4
_WEIGHTS = "dish weak food part named share least_share enough promised"
_BROUGHT_IN = frozenset({"begun", "makings", "outcome", "presented"})
_BEGUN = frozenset({"begun", "presented"})
_MAKINGS = "makings"
_OUTCOME = "outcome"
_SERVED = frozenset({"modified", "served"})


@dataclass(frozen=True, slots=True)
class Tried:
    """What may be another dish, as it would be announced, the points that speak for it before the talk is followed,
    and the word where it is named first."""

    item: Announcement
    points: float
    named: int


class AnotherDish:
    """Weights, and words for what is no dish of its own."""

    def __init__(self, classes: Classes, table: FoodTable) -> None:
        self._ways = DishWays(table)
        self._beside = frozenset(classes["side-way"])
        self._sizes = frozenset(classes["size"])
        self._greens = frozenset(classes["vegetable-way"])
        self._poured = frozenset(classes["poured-part"])
        self._weights = load_weights("another_dish.toml", _WEIGHTS.split())

    def likely(self, hearing: Hearing, ranked: Sequence[Choice], dishes: Sequence[Dish]) -> Iterator[Tried]:
        """What may be another dish beside those found, the likeliest first."""
        titled = {stem(word) for dish in dishes for word in dish.title.split()}
        titled = titled.union(*(dish.keywords for dish in dishes))
        mains = [{stem(word) for word in dish.title.split(" with ")[0].split()} for dish in dishes]
        others = [one for one in ranked if one.candidate.name not in titled]
        others = [one for one in others if not any(main <= _words(one) for main in mains)]
        tried = [one for one in others if _comes_again(one) and self._may_be(hearing, one)]
        for one in tried[:_MOST_TRIED]:
            points = one.points + self._weights["named"] * min(_NAMED_OFTEN, one.sentences)
            named = min(noun.start for noun in one.candidate.nouns)
            yield Tried(replace(one.item, listed=True), points, named)

    def _may_be(self, hearing: Hearing, choice: Choice) -> bool:
        """Whether it has a word for a dish, or for a food that is brought in like one; not custard, nor its powder."""
        words = hearing.speech.words
        if any(not self._poured.isdisjoint(words[noun.start : noun.end]) for noun in choice.candidate.nouns):
            return False
        kind = choice.candidate.kind
        told = choice.signs >= _SERVED or not _BROUGHT_IN.isdisjoint(choice.signs)
        beside = kind == "part" and self._stands_alone(choice)
        named = kind == "food" and _OUTCOME in choice.signs and self._is_vegetable(choice)
        brought_in = kind == "dish" or beside or named or (kind == "weak" and told and "held" not in choice.signs)
        return brought_in and choice.points >= self._weights[kind]

    def _stands_alone(self, choice: Choice) -> bool:
        """Whether a word for a part is one for vegetables or a salad, as a mash is and a sauce is not."""
        ways = self._ways.of_words([choice.candidate.name]).keys()
        return SAUCE not in ways and not self._beside.isdisjoint(ways)

    def _is_vegetable(self, choice: Choice) -> bool:
        """Whether more is said of a vegetable than its name: pepper cabbage, cucumbers in sour cream."""
        ways = self._ways.of_words([choice.candidate.name]).keys()
        told = [word for word in choice.item.title.split() if word not in self._sizes]
        return len(told) > 1 and not self._greens.isdisjoint(ways)

    def is_followed(self, hearing: Hearing, topics: Sequence[Topic], tried: Tried, last: int, promised: int) -> bool:
        """Whether enough of the foods with a measure go into each dish, by how likely is the one tried, dish number
        `last`; less is enough where more are `promised`. What is measured for it before it is named tells nothing."""
        used = measured_places(hearing)
        goes_into = Counter(topics[at].dish for at in used if topics[at].dish < last or at > tried.named)
        fewest = min(goes_into[at] for at in range(last + 1))
        share = fewest / len(used) if used else 0.0
        points = tried.points + self._weights["share"] * share
        enough = self._weights["promised" if last < promised else "enough"]
        return fewest >= _LEAST_FOODS and share >= self._weights["least_share"] and points >= enough


def _comes_again(choice: Choice) -> bool:
    """Whether it is named more than once, or brought in with foods measured for it then, or what it is made of is."""
    return choice.sentences >= _NAMED_TWICE or choice.signs >= _BEGUN or _MAKINGS in choice.signs


def _words(choice: Choice) -> set[str]:
    return {stem(word) for word in choice.item.title.split()}
