"""Parts of dishes that are made in layers: a crumble is fruit and a topping, a pie a filling and a crust, even where
nobody says so."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from pipeline.foods.table import FoodTable
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.split.dishes import MAIN, Dish, Topic, stem

FILLING = "filling"
TOPPING = "topping"
ASSEMBLY = "assembly"


class Layers:
    """Compiled customs: which dishes have layers, and what their crusts and toppings are called and made of."""

    def __init__(self, classes: Classes, table: FoodTable) -> None:
        self._layered = frozenset(classes["layered-dish"])
        self._crumbled = frozenset(classes["crumbled-dish"])
        self._outer = frozenset(classes["upper-part"]) | frozenset(classes["shell-part"])
        self._group = {food.id: food.group for food in table}
        self._meats = frozenset(classes["meat-group"])
        self._few = frozenset(classes["spoon-unit"])
        self._flours = frozenset(food.id for food in table if food.class_ == "flour" or food.id in classes["oat-food"])

    def main_name(self, dish: Dish) -> str:
        """What an editor calls the main part: the filling of a pie whose crust is a part of its own."""
        nouns = {_noun(part) for part in dish.parts}
        return FILLING if dish.head in self._layered and nouns & self._outer and FILLING not in nouns else dish.head

    def untold(self, hearing: Hearing, dish: Dish) -> tuple[str, ...]:
        """The topping of a crumble, where flour or oats are measured by the cup and no component is named."""
        if dish.parts or dish.head not in self._crumbled:
            return ()
        return (TOPPING,) if any(self._is_flour(hearing, at) for at in range(len(hearing.measured))) else ()

    def follow(
        self, hearing: Hearing, dishes: Sequence[Dish], topics: Sequence[Topic], called: Collection[int]
    ) -> list[Topic]:
        """The topics, with what a dish is named after kept out of its crust and topping, its meat out of any sauce, and
        the flour of a crumble put into its topping, up to the next of the places `called` where something is named."""
        found = list(topics)
        for at, item in enumerate(hearing.measured):
            food = hearing.foods[item.food]
            topic = found[food.head]
            turned = self._turned(hearing, dishes[topic.dish], topic, at)
            if turned is not None:
                start = hearing.clauses.clause(min(food.head, item.quantity.start))[0]
                place = start
                while place < len(found) and found[place] == topic and (place == start or place not in called):
                    found[place] = turned
                    place += 1
        return found

    def _turned(self, hearing: Hearing, dish: Dish, topic: Topic, at: int) -> Topic | None:
        """Where the food measured at `at` belongs, if not to the topic."""
        food = hearing.foods[hearing.measured[at].food]
        layer = _noun(topic.part) in self._outer and dish.head in self._layered
        if topic.part not in {MAIN, ASSEMBLY, FILLING} and (layer or self._group.get(food.food) in self._meats):
            return Topic(topic.dish) if self._is_main(dish, topic, food) else None
        outer = next((part for part in dish.parts if _noun(part) in self._outer), None)
        if dish.head not in self._crumbled or outer is None or not self._is_flour(hearing, at):
            return None
        return Topic(topic.dish, outer)

    @staticmethod
    def _is_main(dish: Dish, topic: Topic, food: FoodSpan) -> bool:
        """Whether the dish is named after a food, and the component is not."""
        name = {stem(word) for word in food.name.split()}
        titled = {stem(word) for word in dish.title.split(" with ")[0].split()} | {dish.head}
        return bool(name & titled) and not name & {stem(word) for word in topic.part.split()}

    def _is_flour(self, hearing: Hearing, at: int) -> bool:
        """Whether it is flour or oats, and more than binds a filling."""
        item = hearing.measured[at]
        much = item.quantity.low is not None and item.quantity.unit not in self._few
        return much and hearing.foods[item.food].food in self._flours


def _noun(part: str) -> str:
    return stem(part.split()[-1]) if part else ""
