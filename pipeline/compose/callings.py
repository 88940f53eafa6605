"""What the dishes of an episode go by beside their names: the bird, the dough, the pudding."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.compose.line_draft import LineDraft
from pipeline.compose.named import DishFoods
from pipeline.foods.table import FoodTable
from pipeline.hear.lexicon import Classes, load_rows, word_class
from pipeline.split.dishes import Dish, Topic, stem
from pipeline.split.ways import DishWays

_MEATY = word_class("meat-group")
_FLOUR = "flour-starch"
_FLOUR_WAYS = word_class("flour-way")
_SWEET_WAYS = word_class("sweet-way")
_PUDDING_WAYS = word_class("pudding-way")


class Callings:
    """Compiled words for what is made of foods of some groups."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self._table = table
        self._ways = DishWays(table)
        self._groups = [
            (row["word"], frozenset(row["groups"].split()) & _MEATY)
            for row in load_rows("group_words.csv", ("word", "groups"))
        ]
        self._doughs = frozenset(map(stem, classes["made-of-flour"]))
        self._puddings = frozenset(map(stem, classes["made-sweet"]))

    def foods(self, dish: Dish, lines: Sequence[LineDraft]) -> DishFoods:
        """The words of one dish, of which `lines` are all."""
        names = [(name.split(), self._group(line)) for line in lines for name in line.names]
        meats = [(stem(name[-1]), group) for name, group in names if group in _MEATY]
        title = dish.keywords | {dish.head}
        titled = frozenset(group for name, group in names if not title.isdisjoint(map(stem, name)))
        ways = self._ways.of(dish, Topic(0))
        return DishFoods(
            nouns=frozenset(stem(name[-1]) for name, _ in names),
            meats=frozenset(noun for noun, _ in meats) | self._called(frozenset(group for _, group in meats)),
            titled=self._called(titled),
            made=self._made(frozenset(ways), floury=any(group == _FLOUR for _, group in names), meaty=bool(meats)),
            sweet=not self._called(titled) and not _SWEET_WAYS.isdisjoint(ways),
        )

    def _made(self, ways: frozenset[str], *, floury: bool, meaty: bool) -> frozenset[str]:
        """The dough of what is made of flour, unless it is a stew that flour only binds; the pudding of what is sweet
        and holds no meat."""
        doughs = self._doughs if floury and (not ways or ways & _FLOUR_WAYS) else frozenset()
        return doughs | (self._puddings if ways & _PUDDING_WAYS and not meaty else frozenset())

    def _group(self, line: LineDraft) -> str:
        food = self._table.get(line.food)
        return food.group if food is not None else ""

    def _called(self, groups: frozenset[str]) -> frozenset[str]:
        """What a food of some groups of meat or fish is called: the fish, the bird."""
        return frozenset(word for word, held in self._groups if held & groups)
