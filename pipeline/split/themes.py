"""The foods that a dish is named after: what is done with them is done for that dish."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from pipeline.foods.table import FoodTable
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows
from pipeline.split.dishes import MAIN, Dish, Topic, stem
from pipeline.split.makings import Makings
from pipeline.split.remembered import Remembered

_SEASONINGS = frozenset({"herb", "salt", "spice"})


class Themes:
    """Finds for the foods of a speech the topic that is named after them."""

    def __init__(self, classes: Classes, table: FoodTable) -> None:
        self._group = {food.id: food.group for food in table}
        self._main = frozenset(classes["main-group"])
        self._binding = frozenset(classes["binding-group"])
        self._own = frozenset(classes["own-article"]) | {"your"}
        self._turned = frozenset(classes["turning"]) | {"so", "then"}
        self._sellers = frozenset(classes["food-seller"])
        self._groups = {
            row["word"]: frozenset(row["groups"].split())
            for row in load_rows("group_words.csv", ("word", "groups"))
            if row["word"] in classes["main-food"]
        }
        self._makings = Makings(classes)
        self._spoken = Remembered(
            lambda hearing: [(food.name, self._group.get(food.food, "")) for food in hearing.foods]
        )

    def is_main(self, food: FoodSpan) -> bool:
        """Whether a food is one that a dish is made of, not one that seasons or binds it."""
        return self._group.get(food.food) in self._main

    def seasonings(self, hearing: Hearing) -> set[int]:
        """The places of seasonings: the pepper of `black pepper` is none of the stuffed peppers."""
        spans = (range(food.start, food.end) for food in hearing.foods if self._group.get(food.food) in _SEASONINGS)
        return {place for span in spans for place in span}

    def find(self, hearing: Hearing, dishes: Sequence[Dish]) -> Mapping[int, Topic]:
        """Place of a food -> the one dish whose name holds it, or holds a food of the group meant by `the fish`."""
        topics = [Topic(at, part) for at, dish in enumerate(dishes) for part in (MAIN, *dish.parts)]
        names = [self._words(dishes, topic) for topic in topics]
        told = self._spoken(hearing)
        stems = {name: frozenset(stem(word) for word in name.split()) for name, _ in told}
        called, groups = [stems[name] for name, _ in told], [group for _, group in told]
        spoken = set(zip(called, groups, strict=True))
        titled = [self._titled(spoken, name) for name in names]
        found: dict[int, Topic] = {}
        owners: dict[tuple[frozenset[str], str], Sequence[Topic]] = {}
        for own, group in spoken:
            holds = [any(part <= own and group == other for part, other in title) for title in titled]
            owners[own, group] = [topic for topic, held in zip(topics, holds, strict=True) if held]
        for food, own, group in zip(hearing.foods, called, groups, strict=True):
            if not self._is_of_somebody(hearing, food.end):
                self._add(found, food.head, owners[own, group])
        words = hearing.speech.words
        for place in hearing.speech.where(self._groups.keys()):
            if not place or place in found or self._is_of_somebody(hearing, place + 1):
                continue
            lead = words[hearing.clauses.clause(place)[0] : place]
            if words[place - 1] in self._own or self._turned.issuperset(lead):
                wanted = self._groups[words[place]]
                holds = [any(group in wanted for _, group in title) for title in titled]
                self._add(found, place, [topic for topic, held in zip(topics, holds, strict=True) if held])
        return found

    def made_of(self, hearing: Hearing, dishes: Sequence[Dish]) -> Mapping[int, Topic]:
        """Place of a food -> the one dish that is known to be made of it, whatever it is called."""
        topics = [Topic(at, part) for at, dish in enumerate(dishes) for part in (MAIN, *dish.parts)]
        makings = [self._makings.of(dishes[topic.dish], topic) for topic in topics]
        spoken = self._spoken(hearing)
        owners: dict[tuple[str, str], list[Topic]] = {}
        for name, group in dict.fromkeys(spoken):
            words = [stem(word) for word in name.split()]
            held = (self._makings.holds(foods, words, group) for foods in makings)
            owners[name, group] = [topic for topic, holds in zip(topics, held, strict=True) if holds]
        found: dict[int, Topic] = {}
        for food, told in zip(hearing.foods, spoken, strict=True):
            self._add(found, food.head, owners[told])
        return found

    def _titled(
        self, spoken: Collection[tuple[frozenset[str], str]], name: frozenset[str]
    ) -> list[tuple[frozenset[str], str]]:
        """The spoken foods of a title; the pepper of `red pepper rice` is that of red peppers, not the spice."""
        held = [(own, group) for own, group in spoken if own <= name and group not in self._binding]
        main = [own for own, group in held if group in self._main]
        return [(own, group) for own, group in held if group in self._main or not any(own < longer for longer in main)]

    @staticmethod
    def _add(found: dict[int, Topic], place: int, owners: Sequence[Topic]) -> None:
        if len({topic.dish for topic in owners}) == 1:
            found[place] = owners[-1]

    def _is_of_somebody(self, hearing: Hearing, end: int) -> bool:
        """`the fish man`, `the meat counter`: a food that only tells what somebody sells."""
        return not self._sellers.isdisjoint(hearing.speech.words[end : end + 1])

    @staticmethod
    def _words(dishes: Sequence[Dish], topic: Topic) -> frozenset[str]:
        """The words of a dish's names or of a component's."""
        dish = dishes[topic.dish]
        named = frozenset(stem(word) for word in (topic.part or dish.title).split())
        return named if topic.part != MAIN else named | dish.keywords
