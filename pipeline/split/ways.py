"""How dishes and components are cooked, by the words of their names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from pipeline.foods.table import FoodTable
from pipeline.hear.lexicon import load_dish_words, load_rows
from pipeline.split.dishes import MAIN, Dish, Topic, stem

SAUCE = "sauce"
RAW = "salad"
_FRUIT = "fruit"
_LONGEST = 4
_SECOND = 0.7
_BEFORE_NOUN = 0.5

Ways = Mapping[str, float]


class DishWays:
    """The ways of `models/dish_words.csv`, of `cooking_manners.csv` (poached, pickled) and, for foods, of
    `group_ways.csv`."""

    def __init__(self, table: FoodTable) -> None:
        self._dishes = _of_dishes()
        manners = load_rows("cooking_manners.csv", ("word", "ways"))
        self._manners = {row["word"]: row["ways"].split() for row in manners}
        groups = {row["group"]: row["ways"].split() for row in load_rows("group_ways.csv", ("group", "ways"))}
        self._foods = {
            tuple(map(stem, food.name.lower().split())): groups[food.group] for food in table if food.group in groups
        }

    def of(self, dish: Dish, topic: Topic) -> Ways:
        """How a dish or a component is cooked, each way with its weight: the noun tells most. A component of which
        nothing is known is cooked with its dish, a dish without a word for one as foods of its group are."""
        own = self.of_words(topic.part.split()) if topic.part != MAIN else {}
        words = dish.title.split(" with ")[0].split()
        return own or self.of_words(words) or self.of_words([dish.head])

    def first(self, dish: Dish) -> str:
        """The way that tells most of how a dish is cooked, empty where none is known."""
        ways = self.of(dish, Topic(0))
        return max(ways, key=lambda way: ways[way], default="")

    def of_words(self, words: Sequence[str]) -> Ways:
        """The ways that the words of a name tell, each with its weight."""
        stems = [stem(word) for word in words]
        found = self._looked_up(self._dishes, stems) or self._looked_up(self._foods, stems)
        if any(word in self._manners for word in stems):
            found.pop(RAW, None)
        for word in stems:
            manner = self._manners.get(word, ())
            if _FRUIT in manner or _FRUIT not in found:
                found |= dict.fromkeys(manner, 1.0)
        return found

    @staticmethod
    def _looked_up(table: Mapping[tuple[str, ...], Sequence[str]], stems: Sequence[str]) -> dict[str, float]:
        """The ways of the words of a title, from the last to the first, by the longest that the table has."""
        found: dict[str, float] = {}
        end, share = len(stems), 1.0
        while end:
            start = next((at for at in range(max(0, end - _LONGEST), end) if tuple(stems[at:end]) in table), end)
            ways = table[tuple(stems[start:end])] if start < end else ()
            for way, weight in zip(ways, (1.0, _SECOND, _SECOND), strict=False):
                found.setdefault(way, share * weight)
            share = _BEFORE_NOUN if found else share
            end = start if start < end else end - 1
        return found


@cache
def _of_dishes() -> Mapping[tuple[str, ...], Sequence[str]]:
    """The words of every dish in the singular -> its ways."""
    return {tuple(map(stem, row["words"].split())): row["ways"].split() for row in load_dish_words()}
