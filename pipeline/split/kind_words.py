"""Words for a kind of dish, by which a presenter calls the one dish of that kind: the sweet, the bread, the veg."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows
from pipeline.split.dishes import Dish, Topic, stem, where
from pipeline.split.ways import DishWays


class KindWords:
    """The words of `models/kind_words.csv`."""

    def __init__(self, classes: Classes, ways: DishWays) -> None:
        self._ways = ways
        self._kinds = {
            row["word"]: frozenset(row["ways"].split()) for row in load_rows("kind_words.csv", ("word", "ways"))
        }
        self._det = frozenset(classes["own-article"])

    def find(self, hearing: Hearing, dishes: Sequence[Dish]) -> dict[int, Topic]:
        """Place of a word for a kind of dish -> the one dish that is of it and has no such word in its name."""
        if len(dishes) < 2:
            return {}
        called = self._called(dishes)
        words = hearing.speech.words
        inside = {place for food in hearing.foods if food.end - food.start > 1 for place in range(food.start, food.end)}
        return {
            place: called[stem(words[place])]
            for place in where(hearing, called.keys())
            if place not in inside and place and words[place - 1] in self._det
        }

    def _called(self, dishes: Sequence[Dish]) -> dict[str, Topic]:
        """Word for a kind -> the one dish of that kind, where no name holds the word."""
        named = {stem(word) for dish in dishes for name in (*dish.keywords, *dish.parts) for word in name.split()}
        ways = [self._ways.first(dish) for dish in dishes]
        found: dict[str, Topic] = {}
        for word, kinds in self._kinds.items():
            owners = [at for at, way in enumerate(ways) if way in kinds]
            if len(owners) == 1 and word not in named:
                found[word] = Topic(owners[0])
        return found
