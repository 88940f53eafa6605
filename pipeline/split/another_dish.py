"""What may be another dish beside those found, though its signs alone were too doubtful."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_weights
from pipeline.split.choices import Choice
from pipeline.split.dishes import Dish, stem
from pipeline.split.makings import Makings
from pipeline.split.titles import Announcement
from pipeline.split.ways import DishWays

_MOST_TRIED = 4
_NAMED_OFTEN = 4
_LONG = 5
_LONG_NAME = 5
_FOODS = frozenset({"food", "weak"})
_SIDES = frozenset({"salad", "vegetable"})
_OUTCOME = "outcome"
_BROUGHT_IN = frozenset({"announced", "begun", "introduced", "makings", _OUTCOME})
_WEIGHTS = "dish weak food part named hopeful"


class AnotherDish:
    """Weights of what speaks for another dish."""

    def __init__(self, classes: Classes, table: FoodTable) -> None:
        self._poured = frozenset(classes["poured-part"])
        self._no_dishes = frozenset((*classes["pantry-food"], *classes["vessel"], *classes["title-vessel"]))
        self._shapes = frozenset(classes["shape-of-dish"])
        self._ways = DishWays(table)
        self._makings = Makings(classes)
        self._weights = load_weights("another_dish.toml", _WEIGHTS.split())

    def likely(self, hearing: Hearing, ranked: Sequence[Choice], dishes: Sequence[Dish]) -> list[Announcement]:
        """What may be another dish beside those found, as it would be announced, the likeliest first; a food that they
        are known to be made of is none."""
        titled = {stem(word) for dish in dishes for word in dish.title.split()}
        titled = titled.union(*(dish.keywords for dish in dishes))
        mains = [{stem(word) for word in dish.title.split(" with ")[0].split()} for dish in dishes]
        makings: frozenset[str] = frozenset().union(*(self._makings.of_title(dish.title) for dish in dishes))
        others = (one for one in ranked if not self._is_none(hearing, one, titled))
        others = (one for one in others if one.candidate.kind not in _FOODS or makings.isdisjoint(_words(one)))
        others = (one for one in others if not any(main <= _words(one) for main in mains))
        hopeful = [one for one in others if self._worth(one) >= self._weights["hopeful"]]
        hopeful.sort(key=lambda one: -self._worth(one))
        return [replace(one.item, listed=True) for one in hopeful[:_MOST_TRIED]]

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

    def _worth(self, choice: Choice) -> float:
        """By its signs, the kind of its noun and how many sentences name it."""
        named = self._weights["named"] * min(_NAMED_OFTEN, choice.sentences)
        return choice.points + self._weights[choice.candidate.kind] + named


def _words(choice: Choice) -> set[str]:
    return {stem(word) for word in choice.item.title.split()}


def _is_form(word: str, other: str) -> bool:
    """Whether a word begins with another of some length: lumpiang, lumpia."""
    return len(word) > len(other) >= _LONG and word.startswith(other)
