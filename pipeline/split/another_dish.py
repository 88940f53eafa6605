"""Looks for another dish where only one was found, or fewer than were promised: a programme seldom cooks one alone
(common practice, no source). What was too doubtful by its signs is tried beside the dishes found, and stays where the
talk is told so much better with it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_weights
from pipeline.split.choices import Choice
from pipeline.split.dishes import Dish, Topic, measured_places, stem
from pipeline.split.makings import Makings
from pipeline.split.titles import Announcement
from pipeline.split.ways import DishWays

_MOST_TRIED = 4
_NAMED_OFTEN = 4
_FEW_FOODS = 4
_LONG = 5
_LONG_NAME = 5
_SIDES = frozenset({"salad", "vegetable"})
_OUTCOME = "outcome"
_BROUGHT_IN = frozenset({"announced", "begun", "introduced", "makings", _OUTCOME})
_WEIGHTS = "dish weak food part named hopeful share few gain most_gain enough promised parted"


@dataclass(frozen=True, slots=True)
class Tried:
    """What may be another dish, as it would be announced, the points that speak for it before the talk is followed,
    and the word where it is named first."""

    item: Announcement
    points: float
    named: int


class AnotherDish:
    """Weights of what speaks for another dish."""

    def __init__(self, classes: Classes, table: FoodTable) -> None:
        self._poured = frozenset(classes["poured-part"])
        self._no_dishes = frozenset((*classes["pantry-food"], *classes["vessel"], *classes["title-vessel"]))
        self._shapes = frozenset(classes["shape-of-dish"])
        self._ways = DishWays(table)
        self._makings = Makings(classes)
        self._weights = load_weights("another_dish.toml", _WEIGHTS.split())

    def likely(self, hearing: Hearing, ranked: Sequence[Choice], dishes: Sequence[Dish]) -> list[Tried]:
        """What may be another dish beside those found, the likeliest first; a food that they are known to be made of is
        none."""
        titled = {stem(word) for dish in dishes for word in dish.title.split()}
        titled = titled.union(*(dish.keywords for dish in dishes))
        mains = [{stem(word) for word in dish.title.split(" with ")[0].split()} for dish in dishes]
        makings: frozenset[str] = frozenset().union(*(self._makings.of_title(dish.title) for dish in dishes))
        others = (one for one in ranked if not self._is_none(hearing, one, titled))
        others = (one for one in others if one.candidate.kind != "food" or makings.isdisjoint(_words(one)))
        tried = [self._tried(one) for one in others if not any(main <= _words(one) for main in mains)]
        hopeful = [one for one in tried if one.points >= self._weights["hopeful"]]
        return sorted(hopeful, key=lambda one: -one.points)[:_MOST_TRIED]

    def _is_none(self, hearing: Hearing, choice: Choice, titled: Collection[str]) -> bool:
        """Whether a noun stands for no dish of its own: one that is `titled`, or a long form of it (lumpiang of
        lumpia), what flours and sweetens, the biggest bowl, custard and its powder, a food of which no more is told
        than its name, or too much, what is named once and not brought in then, a sauce, a dough or
        ten patties."""
        name, words = choice.candidate.name, hearing.speech.words
        long = any(_is_form(word, other) or _is_form(other, word) for word in _words(choice) for other in titled)
        poured = any(not self._poured.isdisjoint(words[noun.start : noun.end]) for noun in choice.candidate.nouns)
        words_of = len(choice.item.title.split())
        bare = words_of == 1 and _OUTCOME not in choice.signs
        food = choice.candidate.kind == "food" and (bare or words_of > _LONG_NAME)
        once = choice.sentences == 1 and _BROUGHT_IN.isdisjoint(choice.signs)
        part = choice.candidate.kind == "part" and self._ways.of_words([name]).keys().isdisjoint(_SIDES)
        shape = name in self._shapes and not choice.foods
        return name in titled or name in self._no_dishes or long or poured or food or once or part or shape

    def _tried(self, choice: Choice) -> Tried:
        """By its signs, the kind of its noun and how many sentences name it."""
        points = choice.points + self._weights[choice.candidate.kind]
        points += self._weights["named"] * min(_NAMED_OFTEN, choice.sentences)
        named = min(noun.start for noun in choice.candidate.nouns)
        return Tried(replace(choice.item, listed=True), points, named)

    def points(self, hearing: Hearing, topics: Sequence[Topic], tried: Tried, last: int, gain: float) -> float:
        """What speaks for the dish tried, number `last`: how much better the talk is told with it (`gain`, in the
        points of turns.toml) and how many of the foods with a measure go into each dish. What is measured for it
        before it is named tells nothing."""
        used = measured_places(hearing)
        goes_into = Counter(topics[at].dish for at in used if topics[at].dish < last or at > tried.named)
        fewest = min(goes_into[at] for at in range(last + 1))
        share = self._weights["share"] * fewest / len(used) if used else 0.0
        few = self._weights["few"] if fewest < _FEW_FOODS else 0.0
        return tried.points + share + few + self._weights["gain"] * min(self._weights["most_gain"], gain)

    def is_enough(self, points: float, missing: bool, parted: bool) -> bool:
        """Whether the points are those of a dish; fewer are enough where one that was promised is `missing`, more are
        wanted where the parts of one dish were counted."""
        return points >= self._weights["promised" if missing else "parted" if parted else "enough"]


def _words(choice: Choice) -> set[str]:
    return {stem(word) for word in choice.item.title.split()}


def _is_form(word: str, other: str) -> bool:
    """Whether a word begins with another of some length: lumpiang, lumpia."""
    return len(word) > len(other) >= _LONG and word.startswith(other)
