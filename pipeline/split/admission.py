"""Makes dishes of what is announced: a new dish, or another name of one that is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pipeline.hear.lexicon import Classes
from pipeline.split.dishes import Dish, stem
from pipeline.split.titles import Announcement

_OPENING = 160


class Admission:
    """Words for kinds of dishes, and those that say nothing in a title."""

    def __init__(self, classes: Classes) -> None:
        self._kinds = frozenset(classes["kind-of-dish"])
        self._dull = frozenset(classes["title-dull"])

    def all_of(self, announcements: Sequence[Announcement]) -> list[Dish]:
        """The dishes of all announcements."""
        dishes: list[Dish] = []
        for item in announcements:
            dishes = self.with_one(dishes, item)
        return dishes

    def with_one(self, dishes: Sequence[Dish], item: Announcement) -> list[Dish]:
        """The dishes with one that is announced; where it is one of them, that has another name or a fuller title."""
        known = next((at for at, dish in enumerate(dishes) if stem(item.head) in dish.keywords), None)
        if item.alias:
            at = known if known is not None else len(dishes) - 1
            return [self._called_too(dish, item) if number == at else dish for number, dish in enumerate(dishes)]
        if known is not None:
            again = self._said_again(dishes[known], item)
            return [again if number == known else dish for number, dish in enumerate(dishes)]
        part = item.kind in {"part", "weak-part", "stage"} and not item.listed
        plain = item.kind in {"food", "weak"} and not (item.beside or item.listed)
        if dishes and (part or plain):
            return list(dishes)
        new = Dish(
            item.title,
            stem(item.head),
            item.start,
            item.parts,
            self._keywords(item),
            item.rule,
            item.kind,
            doubt=item.doubt,
        )
        return [*dishes, new]

    def _said_again(self, dish: Dish, item: Announcement) -> Dish:
        named = item.start < _OPENING or " " not in dish.title
        fuller = item.title if len(item.title) > len(dish.title) and named else dish.title
        keywords = dish.keywords | self._keywords(item) if fuller != dish.title else dish.keywords
        return replace(dish, title=fuller, keywords=keywords, parts=tuple(dict.fromkeys((*dish.parts, *item.parts))))

    def _called_too(self, dish: Dish, item: Announcement) -> Dish:
        """The dish with another name, which is its title where it was only said to be soup, or rice; a food is what a
        pie is of."""
        full = f"{item.title} {dish.title}" if item.kind == "food" else item.title
        food = dish.kind == "weak" and item.kind == "dish" and " " not in dish.title + item.title
        title = full if stem(dish.title) in self._kinds or food else dish.title
        return replace(dish, title=title, keywords=dish.keywords | self._keywords(item))

    def _keywords(self, item: Announcement) -> frozenset[str]:
        main = item.title.split(" with ")[0].split()
        return frozenset(stem(word) for word in main if word not in self._dull) | {stem(item.head)}
