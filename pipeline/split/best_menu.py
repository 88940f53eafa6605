"""Tries other menus beside the one that was found: without one of its dishes, with one as a component of another, with
another dish, with another in the place of one. The menu by which the talk is told best is taken, and looked beside once
more."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.split.admission import Admission
from pipeline.split.another_dish import AnotherDish
from pipeline.split.choices import Choice
from pipeline.split.company import Company, Traits
from pipeline.split.dishes import Dish, measured_places
from pipeline.split.menu_points import FOUND, JOINED, LESS, MORE, OTHER, Menu, MenuPoints, Talked, Told
from pipeline.split.parts import PartFinder
from pipeline.split.remembered import Remembered
from pipeline.split.topics import TopicFollower

_MOST_TRIED = 6
# More than following the talk with a menu nearly ever adds to its points.
_MOST_ADDED = 7.0
_LEAST_FOODS = 10
_MOST_CHANGED = 3
_ROUNDS = 2


class BestMenu:
    """Finds other menus, follows the talk with the likeliest, and weighs them."""

    def __init__(
        self, classes: Classes, table: FoodTable, parts: PartFinder, follower: TopicFollower, company: Company
    ) -> None:
        self._another = AnotherDish(classes, table)
        self._points = MenuPoints()
        self._company = company
        self._traits = Remembered(self._read_traits)
        self._admission = Admission(classes)
        self._parts = parts
        self._follower = follower

    def choose(
        self,
        hearing: Hearing,
        found: Sequence[Dish],
        ranked: Sequence[Choice],
        talked: Talked,
        spans: Sequence[tuple[int, int]],
    ) -> tuple[Dish, ...] | None:
        """The dishes of the best menu with their components; None where it is the one found, or too few foods are
        measured to tell. What is best beside the one found is looked beside once more, and not gone back from."""
        if len(talked.used) < _LEAST_FOODS:
            return None
        best, dishes = None, tuple(found)
        for _ in range(_ROUNDS):
            better = self._better(hearing, dishes, ranked, talked, spans)
            if better is None or better[0] == tuple(found):
                break
            dishes, best = better
        return best

    def _better(
        self,
        hearing: Hearing,
        found: Sequence[Dish],
        ranked: Sequence[Choice],
        talked: Talked,
        spans: Sequence[tuple[int, int]],
    ) -> tuple[tuple[Dish, ...], tuple[Dish, ...]] | None:
        """The dishes of the best of the other menus without and with their components; None where none is better. Where
        one dish is promised (`all one plate`) no menu of more is tried."""
        others = self.others(hearing, found, ranked)
        kept = (menu for menu in others if talked.promised != 1 or len(menu.dishes) == 1)
        menus = [Menu(tuple(found), FOUND), *kept]
        before = [self._points.before(menu, talked) for menu in menus]
        if len(menus) == 1:
            return None
        whole, first = self.told(hearing, menus[0], spans)
        best, most = None, before[0] + self._points.told(whole, talked, first, first)
        for at in sorted(range(1, len(menus)), key=lambda at: -before[at])[:_MOST_TRIED]:
            if before[at] + _MOST_ADDED < most:
                break
            whole, told = self.told(hearing, menus[at], spans)
            points = before[at] + self._points.told(whole, talked, told, first)
            if points > most:
                best, most = (menus[at].dishes, whole.dishes), points
        return best

    def others(self, hearing: Hearing, found: Sequence[Dish], ranked: Sequence[Choice]) -> Iterator[Menu]:
        """The menus that may be meant instead of the one found."""
        without = [[*found[:at], *found[at + 1 :]] for at in range(len(found))]
        for rest, gone in zip(without, found, strict=True):
            if not rest:
                continue
            yield Menu(tuple(rest), LESS)
            parts = (*rest[0].parts, gone.title.split(" with ")[0], *gone.parts)
            yield Menu((replace(rest[0], parts=tuple(dict.fromkeys(parts))), *rest[1:]), JOINED)
        for item in self._another.likely(hearing, ranked, found):
            more = self._admission.with_one(found, item)
            if len(more) > len(found):
                yield Menu(_in_order(more), MORE)
            for rest in without if len(found) <= _MOST_CHANGED else ():
                other = self._admission.with_one(rest, item)
                if len(other) > len(rest):
                    yield Menu(_in_order(other), OTHER)

    def told(self, hearing: Hearing, menu: Menu, spans: Sequence[tuple[int, int]]) -> tuple[Menu, Told]:
        """A menu with the components of its dishes, and how the talk is told with it."""
        dishes = tuple(self._parts.find(hearing, menu.dishes))
        topics, points = self._follower.weigh(hearing, dishes, spans)
        foods: list[set[Traits]] = [set() for _ in dishes]
        for place, traits in self._traits(hearing):
            foods[topics[place].dish].add(traits)
        return Menu(dishes, menu.way), Told(topics, points, self._company.together(foods))

    def _read_traits(self, hearing: Hearing) -> Sequence[tuple[int, Traits]]:
        """The foods with a measure, by the word where they stand."""
        measured = set(measured_places(hearing))
        return [(food.head, self._company.traits(food)) for food in hearing.foods if food.head in measured]


def _in_order(dishes: Sequence[Dish]) -> tuple[Dish, ...]:
    return tuple(sorted(dishes, key=lambda dish: dish.start))
