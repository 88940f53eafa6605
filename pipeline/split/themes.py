"""The foods that a dish is named after: what is done with them is done for that dish."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import load_rows
from pipeline.split.dishes import MAIN, Dish, Topic, stem


class Themes:
    """Finds for the foods of a speech the topic that is named after them."""

    def __init__(self, table: FoodTable) -> None:
        self._group = {food.id: food.group for food in table}
        self._groups = {
            row["word"]: frozenset(row["groups"].split()) for row in load_rows("group_words.csv", ("word", "groups"))
        }

    def find(self, hearing: Hearing, dishes: Sequence[Dish]) -> Mapping[int, Topic]:
        """Index of a food -> the one dish whose name holds it, or holds a food of the group meant by `the fish`."""
        topics = [Topic(at, part) for at, dish in enumerate(dishes) for part in (MAIN, *dish.parts)]
        names = [frozenset(stem(word) for word in self._name(dishes, topic).split()) for topic in topics]
        called = [frozenset(stem(word) for word in food.name.split()) for food in hearing.foods]
        groups = [
            frozenset(
                self._group.get(food.food, "") for food, own in zip(hearing.foods, called, strict=True) if own <= name
            )
            for name in names
        ]
        words = hearing.speech.words
        found: dict[int, Topic] = {}
        for at, food in enumerate(hearing.foods):
            owners = [topic for topic, name in zip(topics, names, strict=True) if called[at] <= name]
            if not owners and food.name in self._groups and words[food.start - 1 : food.start] == ("the",):
                wanted = self._groups[food.name]
                owners = [topic for topic, group in zip(topics, groups, strict=True) if group & wanted]
            if len({topic.dish for topic in owners}) == 1:
                found[at] = owners[-1]
        return found

    @staticmethod
    def _name(dishes: Sequence[Dish], topic: Topic) -> str:
        return topic.part if topic.part != MAIN else dishes[topic.dish].title
