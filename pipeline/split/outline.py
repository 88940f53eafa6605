"""The dishes of an episode, their components, and for every word the dish it is about."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.split.calls import Caller
from pipeline.split.counts import DishCounter
from pipeline.split.dishes import MAIN, Dish, Topic, aside, stem
from pipeline.split.menu import MenuReader
from pipeline.split.parts import PartFinder
from pipeline.split.themes import Themes
from pipeline.split.titles import Announcement, TitleReader
from pipeline.split.topics import TopicFollower

__all__ = ["MAIN", "Dish", "Outline", "Outliner", "Topic", "stem"]

_OFTEN_DISH = 4
_OPENING = 160


@dataclass(frozen=True, slots=True)
class Outline:
    """The dishes, and for every word of the speech its topic.

    `local` holds for every word the dish that its own clause speaks of; `announced` the words that announce dishes.
    """

    dishes: tuple[Dish, ...]
    topics: tuple[Topic, ...]
    local: tuple[int, ...]
    announced: tuple[tuple[int, int], ...]


class Outliner:
    """Finds dishes and follows the talk between them."""

    def __init__(self, classes: Classes, table: FoodTable | None = None) -> None:
        self._titles = TitleReader(classes)
        foods = table or FoodTable.load()
        caller = Caller(classes)
        self._counter = DishCounter(classes)
        self._themes = Themes(classes, foods)
        self._menu = MenuReader(self._titles, classes, foods, caller)
        self._parts = PartFinder(classes, foods, self._titles, caller)
        self._follower = TopicFollower(classes, foods, caller)
        self._dull = frozenset(classes["title-dull"])

    def outline(self, hearing: Hearing) -> Outline:
        """At least one dish, in order of first mention."""
        announced = self._titles.find(hearing)
        opening = self._menu.find(hearing, announced)
        announcements = sorted((*announced, *opening), key=lambda item: item.start)
        dishes = self._dishes(hearing, announcements)
        spans = tuple((item.start, item.end) for item in announcements)
        topics = self._follower.follow(hearing, dishes, spans)
        return Outline(dishes, topics, self._follower.local(hearing, dishes, topics), spans)

    def _dishes(self, hearing: Hearing, announcements: Sequence[Announcement]) -> tuple[Dish, ...]:
        dishes: list[Dish] = []
        for item in announcements:
            self._admit(dishes, item)
        if len(dishes) != self._counter.said(hearing):
            self._often_named(hearing, dishes)
        if not dishes:
            dishes.append(self._fallback(hearing))
        return tuple(self._parts.find(hearing, dishes))

    def _admit(self, dishes: list[Dish], item: Announcement) -> None:
        if item.alias:
            dishes[-1:] = [replace(dish, keywords=dish.keywords | self._keywords(item)) for dish in dishes[-1:]]
            return
        known = next((at for at, dish in enumerate(dishes) if stem(item.head) in dish.keywords), None)
        if known is not None:
            dish = dishes[known]
            fuller = item.title if len(item.title) > len(dish.title) and item.start < _OPENING else dish.title
            keywords = dish.keywords | self._keywords(item) if fuller != dish.title else dish.keywords
            parts = tuple(dict.fromkeys((*dish.parts, *item.parts)))
            dishes[known] = replace(dish, title=fuller, keywords=keywords, parts=parts)
            return
        if item.kind in {"part", "weak-part", "stage"} and dishes and not item.listed:
            return
        if item.kind in {"food", "weak"} and dishes and not (item.beside or item.listed):
            return
        dishes.append(
            Dish(item.title, stem(item.head), item.start, item.parts, self._keywords(item), item.rule, item.kind)
        )

    def _keywords(self, item: Announcement) -> frozenset[str]:
        main = item.title.split(" with ")[0].split()
        return frozenset(stem(word) for word in main if word not in self._dull) | {stem(item.head)}

    def _often_named(self, hearing: Hearing, dishes: list[Dish]) -> None:
        """A word for a dish that comes again and again names a dish even where it was never announced."""
        inside = {place for food in hearing.foods if food.end - food.start > 1 for place in range(food.start, food.end)}
        heads = [
            head
            for head in self._titles.heads(hearing)
            if head.payload == "dish" and head.start not in inside and not aside(hearing, head.start)
        ]
        counts = Counter(stem(hearing.speech.words[head.end - 1]) for head in heads)
        for head in heads:
            name = stem(hearing.speech.words[head.end - 1])
            if counts[name] >= _OFTEN_DISH and not any(name in self._titled(dish) for dish in dishes):
                dishes.append(
                    self._from_head(hearing, [h for h in heads if stem(hearing.speech.words[h.end - 1]) == name])
                )
        dishes.sort(key=lambda dish: dish.start)

    @staticmethod
    def _titled(dish: Dish) -> frozenset[str]:
        """The words that call the dish to mind, and those of what it comes with."""
        return dish.keywords | {stem(word) for word in dish.title.split()}

    def _from_head(self, hearing: Hearing, heads: Sequence[object]) -> Dish:
        phrases = [self._titles.phrase_before(hearing, head) for head in heads]  # type: ignore[arg-type]
        best = max(phrases, key=lambda item: (len(item.title.split()), -item.start))
        return Dish(best.title, stem(best.head), phrases[0].start, (), self._keywords(best), best.rule, best.kind)

    def _fallback(self, hearing: Hearing) -> Dish:
        """No dish was announced: the one named most often, at best one that is no food too, else the food used most."""
        heads = [head for head in self._titles.heads(hearing) if not aside(hearing, head.start)]
        for kind in ("dish", "weak"):
            of_kind = [head for head in heads if head.payload == kind]
            if of_kind:
                counts = Counter(stem(hearing.speech.words[head.end - 1]) for head in of_kind)
                name = max(counts, key=lambda word: (counts[word], word))
                return self._from_head(hearing, [h for h in of_kind if stem(hearing.speech.words[h.end - 1]) == name])
        used = [
            food for food, usage in zip(hearing.foods, hearing.usages, strict=True) if usage.status in {"used", "shown"}
        ]
        foods = Counter(food.name for food in used if self._themes.is_main(food)) or Counter(food.name for food in used)
        title = max(foods, key=lambda name: (foods[name], name)) if foods else "untitled dish"
        return Dish(title, stem(title.split()[-1]), 0, (), frozenset({stem(title.split()[-1])}), "title.food")
