"""Finds the components of the dishes: sauces and fillings by their names, and what a dish comes with."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows
from pipeline.split.accompaniments import Accompaniments
from pipeline.split.calls import Caller
from pipeline.split.counts import DishCounter
from pipeline.split.dishes import Dish, aside, stem
from pipeline.split.titles import TitleReader

_OFTEN = 2


class PartFinder:
    """Compiled customs: which component goes with which dish."""

    def __init__(self, classes: Classes, table: FoodTable, titles: TitleReader, caller: Caller) -> None:
        rows = load_rows("part_owners.csv", ("part", "dishes", "within"))
        self._owners = {row["part"]: frozenset(row["dishes"].split()) for row in rows}
        self._within = {row["part"]: frozenset(row["within"].split()) for row in rows}
        self._accompaniments = Accompaniments(classes, table, titles, caller)
        self._object = frozenset(classes["object-pronoun"])
        self._speakers = frozenset(classes["speaking-pronoun"])
        self._being = frozenset(classes["being"])
        self._turned_to = frozenset(classes["turned-to-part"])
        self._counter = DishCounter(classes)
        self._titles = titles
        self._caller = caller

    def find(self, hearing: Hearing, dishes: Sequence[Dish]) -> list[Dish]:
        """The dishes with their components; where more dishes were promised than announced, components are dishes."""
        named = self._often_named(hearing, list(dishes))
        promised = [self._promised(hearing, named, at) for at in range(len(named))]
        full = [item for several in promised for item in several]
        return [replace(dish, parts=(*dish.parts, *self._accompaniments.find(hearing, dish, full))) for dish in full]

    def _often_named(self, hearing: Hearing, dishes: list[Dish]) -> list[Dish]:
        """Adds components that are spoken of often; words that two dishes share call neither to mind."""
        words = hearing.speech.words
        inside = {place for food in hearing.foods if food.end - food.start > 1 for place in range(food.start, food.end)}
        counts: Counter[str] = Counter()
        first: dict[str, int] = {}
        longest: dict[str, str] = {}
        for head in self._titles.heads(hearing):
            turned = head.payload == "weak-part" and words[head.end - 1] in self._turned_to
            turned = turned and self._caller.turns(hearing, head.start)
            if not (turned or head.payload == "part") or head.start in inside or aside(hearing, head.start):
                continue
            before = words[max(0, head.start - 1)]
            if before in self._speakers or (words[head.start].endswith("ing") and before in self._being):
                continue
            if words[head.end : head.end + 1] and words[head.end] in self._object and words[head.end - 1][-1] != "e":
                continue
            name = stem(words[head.end - 1])
            counts[name] += 1 + (turned or self._caller.opens(hearing, head.start))
            first.setdefault(name, head.start)
            item = self._titles.phrase_before(hearing, head)
            whole = item.start >= hearing.clauses.sentence(head.start)[0]
            phrase = item.title if whole else " ".join(words[head.start : head.end])
            if len(phrase.split()) > len(longest.get(name, "").split()) and len(phrase.split()) <= 3:
                longest[name] = phrase
        for name, count in sorted(counts.items(), key=lambda item: first[item[0]]):
            heads = {stem(part.split()[-1]) for dish in dishes for part in dish.parts}
            taken = name in heads or any(name in dish.keywords for dish in dishes)
            owner = self._owner(name, dishes)
            inner = self._within.get(name, frozenset()) & {
                dishes[owner].head,
                *(stem(part.split()[-1]) for part in dishes[owner].parts),
            }
            if taken or count < _OFTEN:
                continue
            if inner:
                dishes[owner] = replace(dishes[owner], keywords=dishes[owner].keywords | {name})
            else:
                dishes[owner] = replace(dishes[owner], parts=(*dishes[owner].parts, longest[name]))
        return dishes

    def _owner(self, part: str, dishes: Sequence[Dish]) -> int:
        """The dish that such a component belongs to by custom, else the first."""
        customary = self._owners.get(part, frozenset())
        return next((at for at, dish in enumerate(dishes) if customary & (dish.keywords | {dish.head})), 0)

    def _promised(self, hearing: Hearing, dishes: Sequence[Dish], at: int) -> list[Dish]:
        """`so that's two recipes`: as many components of a dish as dishes are missing become dishes."""
        dish = dishes[at]
        missing = self._counter.said(hearing, things=False) - len(dishes)
        if missing <= 0 or missing != sum(len(other.parts) for other in dishes):
            return [dish]
        words = hearing.speech.words
        found = [replace(dish, parts=())]
        for part in dish.parts:
            head = stem(part.split()[-1])
            start = next(place for place in range(len(words)) if stem(words[place]) == head)
            keywords = frozenset({head})
            found.append(Dish(part, head, start, (), keywords, "title.promised-dish", "part"))
        return found
