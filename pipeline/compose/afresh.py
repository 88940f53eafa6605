"""Weighs whether an amount of a food that has one is of another part of the dish: 75 grams of butter for the pastry
and, long after, 10 grams for the filling, where the talk names neither."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from pipeline.compose.amounts import Said
from pipeline.foods.table import FoodTable
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_sign_weights

if TYPE_CHECKING:
    from pipeline.compose.line_draft import LineDraft

_FAR = (15, 40, 80, 150, 300, 600)
_APART = 80
_BEFORE = 8
_NAMED = (2, 4)


class MeasuredAfresh:
    """What tells of another part of the dish, weighed by `models/afresh_signs.csv`."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self._weights = load_sign_weights("afresh_signs.csv")
        self._groups = {food.id: food.group for food in table}
        self._served = frozenset(classes["animal-group"]).union(classes["made-group"], {"egg"})
        self._another = frozenset(classes["another-one"]).union(classes["more-or-extra"], classes["other-part"])

    def tells(self, hearing: Hearing, line: LineDraft, food: FoodSpan, said: Sequence[Said]) -> bool:
        """Whether the amounts `said` of a food are not those of its line; never where it is the same amount, or one of
        them is no figure, or is what comes on a plate, nor where a bunch is counted, or meat, fish, eggs or what is
        baked, which are counted again when they are served."""
        before = [item for item in line.said if item.quantity.low is not None and not item.quantity.share]
        if not before or not said or said[0].quantity.low is None or said[0].quantity.share:
            return False
        one, two = before[-1].quantity, said[0].quantity
        again = one.unit != two.unit or self._groups.get(line.food, "") in self._served
        same = (one.low, one.unit) == (two.low, two.unit)
        if same or said[0].served or (one.kind == two.kind == "count" and again):
            return False
        signs = self.signs(hearing, line, food, before[-1], said[0])
        return sum(self._weights.get(sign, 0.0) for sign, told in signs if told) > 0

    def signs(
        self, hearing: Hearing, line: LineDraft, food: FoodSpan, last: Said, new: Said
    ) -> Iterator[tuple[str, bool]]:
        """How far the new amount stands from the last, how the two compare, what is said beside them, and the group of
        the food."""
        yield "any", True
        gap = new.at - last.at
        yield from ((f"far.{words}", gap > words) for words in _FAR)
        one, two = last.quantity, new.quantity
        yield "same-unit", one.unit == two.unit
        yield f"kind.{one.kind}.{two.kind}", True
        yield "article-before", one.article
        yield "article", two.article
        yield "shown-before", last.shown
        yield "of-it", new.of_it
        yield "more", bool(new.measured.more)
        yield "total", bool(new.measured.total)
        yield "sums-up", bool(new.measured.sums_up)
        yield "part", bool(new.measured.part)
        yield new.measured.rule, True
        yield "measures-far-apart", gap > _APART and (one.kind, two.kind) == ("measure", "measure")
        yield from ((f"named.{least}", len(line.mentions) >= least) for least in _NAMED)
        words = hearing.speech.words[max(0, food.start - _BEFORE) : food.start]
        yield "the", words[-1:] == ("the",)
        yield "another", not self._another.isdisjoint(words)
        yield "fuller-name", len(food.name.split()) > len(line.name.split())
        yield f"group.{self._groups.get(line.food, '')}", True
