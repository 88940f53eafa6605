"""Finds the components of the dishes: sauces and fillings by their names, and what a dish comes with."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows, load_sign_weights
from pipeline.split.accompaniments import Accompaniments
from pipeline.split.calls import Caller
from pipeline.split.counts import DishCounter
from pipeline.split.dishes import FEW_WORDS, Dish, stem, where
from pipeline.split.layers import Layers
from pipeline.split.part_words import PartWord, PartWords
from pipeline.split.titles import TitleReader
from pipeline.split.ways import SAUCE, DishWays

_OFTEN = 2
_MADE_OF = 2
_MADE_ANEW = 3
_COUNTS = (1, 2, 3, 5)
_TURNS = (1, 2)
_EARLY = 0.1
_SAID_FOR = 3


class PartFinder:
    """Compiled customs: which component goes with which dish."""

    def __init__(self, classes: Classes, table: FoodTable, titles: TitleReader, caller: Caller) -> None:
        rows = load_rows("part_owners.csv", ("part", "dishes", "within", "only", "ways"))
        self._owners = {row["part"]: frozenset(row["dishes"].split()) for row in rows}
        self._within = {row["part"]: frozenset(row["within"].split()) for row in rows}
        self._cooked = {row["part"]: frozenset(row["ways"].split()) for row in rows}
        self._weights = load_sign_weights("part_signs.csv")
        self._only = frozenset(row["part"] for row in rows if row["only"])
        self._accompaniments = Accompaniments(classes, table, titles, caller)
        self._turned_to = frozenset(classes["turned-to-part"])
        self._self_made = frozenset(classes["self-made-part"])
        self._pasta = frozenset(classes["pasta-dish"])
        self._upper = frozenset(classes["upper-part"])
        self._stewed = frozenset(classes["stewed-dish"])
        self._layered = frozenset(classes["layered-dish"])
        self._own = frozenset(classes["own-article"])
        self._counter = DishCounter(classes)
        self._words = PartWords(classes, titles, caller)
        self._ways = DishWays(table)
        self._layers = Layers(classes, table)

    def find(self, hearing: Hearing, dishes: Sequence[Dish]) -> list[Dish]:
        """The dishes with their components; where more dishes were promised than announced, components are dishes."""
        spoken = self._words.find(hearing)
        named = self._named(hearing, spoken, self._with_own_juice(hearing, spoken, dishes))
        promised = [self._promised(hearing, named, at) for at in range(len(named))]
        full = [item for several in promised for item in several]
        return [self._whole(hearing, dish, full) for dish in full]

    def _whole(self, hearing: Hearing, dish: Dish, dishes: Sequence[Dish]) -> Dish:
        """A dish with what it comes with, the topping that nobody names, and the name of its main part."""
        parts = (*dish.parts, *self._accompaniments.find(hearing, dish, dishes))
        whole = replace(dish, parts=parts)
        whole = replace(whole, parts=(*parts, *self._layers.untold(hearing, whole)))
        return replace(whole, main=self._layers.main_name(whole))

    def _named(self, hearing: Hearing, spoken: Sequence[PartWord], dishes: list[Dish]) -> list[Dish]:
        """Adds the components of which the talk tells how they are made; another that it speaks of calls its dish."""
        for word in spoken:
            heads = {stem(name) for dish in dishes for part in dish.parts for name in part.split()}
            taken = word.noun in heads or any(word.noun in dish.keywords for dish in dishes)
            owner = self._owner(hearing, word, dishes)
            if taken or self._is_top_again(word, dishes[owner]):
                continue
            inner = {dishes[owner].head, *(stem(part.split()[-1]) for part in dishes[owner].parts)}
            within = not self._within.get(word.noun, frozenset()).isdisjoint(inner)
            if not within and self._is_made(hearing, word, dishes, owner):
                dishes[owner] = replace(dishes[owner], parts=(*dishes[owner].parts, word.name))
            elif within or self._is_often(word):
                dishes[owner] = replace(dishes[owner], keywords=dishes[owner].keywords | {word.noun})
        return dishes

    def _is_made(self, hearing: Hearing, word: PartWord, dishes: Sequence[Dish], owner: int) -> bool:
        """Whether a component is made apart for a dish, by all that is said of it: the weights of
        `models/part_signs.csv`. A batter is only a stage of what it becomes, unless by custom."""
        if len(hearing.speech) < FEW_WORDS:
            return self._is_made_at_once(word, dishes[owner])
        if word.kind == "stage" and not self._is_customary(word.noun, dishes[owner]):
            return False
        signs = self.signs(hearing, word, dishes, owner)
        return sum(self._weights.get(sign, 0.0) for sign, told in signs if told) > 0

    def _is_made_at_once(self, word: PartWord, dish: Dish) -> bool:
        """The same in a few sentences, which say nothing often: by custom where it is spoken of twice, else where the
        talk turns to it and foods are measured then, or its name tells what it is made of. The gravy of a stew is the
        stew's own."""
        custom = self._is_customary(word.noun, dish)
        if word.noun in self._only and not custom:
            return False
        if word.noun in self._self_made and dish.head not in self._pasta:
            return word.measured >= _MADE_ANEW and not self._is_stewed(dish)
        if word.kind != "part":
            believed = (word.noun in self._turned_to or custom) and not word.bought
            wanted = _MADE_OF - (custom and word.count >= _OFTEN)
            return believed and word.turns > 0 and word.measured >= wanted
        return self._is_often(word) and (custom or word.measured > 0 or " " in word.name)

    def signs(self, hearing: Hearing, word: PartWord, dishes: Sequence[Dish], owner: int) -> Iterator[tuple[str, bool]]:
        """What tells that a component is made apart: the noun itself and its kind, how often it is spoken, whether the
        talk turns to it and foods are measured then, whether it goes with the dish by custom, and whether it is the
        juice that the dish makes by itself."""
        dish = dishes[owner]
        custom, own_juice = self._is_customary(word.noun, dish), word.noun in self._self_made
        yield "any", True
        yield f"noun.{word.noun}", True
        yield word.kind, True
        yield from ((f"said.{least}", word.count >= least) for least in _COUNTS)
        yield from ((f"turned.{least}", word.turns >= least) for least in _TURNS)
        yield from ((f"measured.{least}", word.measured >= least) for least in _COUNTS)
        yield "said-and-measured", word.count >= _OFTEN and word.measured >= _MADE_OF
        yield "customary", custom
        yield "only-customary", word.noun in self._only and not custom
        yield "own-juice", own_juice
        yield "own-juice-of-stew", own_juice and self._is_stewed(dish)
        yield "stewed", self._is_stewed(dish)
        yield "said-for", any(self._is_for(hearing, word, other) for other in dishes)
        yield "one-dish", len(dishes) == 1
        yield "early", word.first < _EARLY * len(hearing.speech)

    @staticmethod
    def _is_often(word: PartWord) -> bool:
        return word.kind == "part" and word.count + word.turns >= _OFTEN

    def _is_top_again(self, word: PartWord, dish: Dish) -> bool:
        """The crumbs of a cracker topping: another word for what lies on top."""
        tops = {stem(part.split()[-1]) for part in dish.parts} & self._upper
        return word.noun in self._upper and bool(tops)

    def _with_own_juice(self, hearing: Hearing, spoken: Sequence[PartWord], dishes: Sequence[Dish]) -> list[Dish]:
        """Dishes with the gravy that they make while they cook as a word for them: nobody turns to making that."""
        found = list(dishes)
        turned = {word.noun for word in spoken if word.turns}
        for at, dish in enumerate(dishes):
            juices = {stem(part.split()[-1]) for part in dish.parts} & self._self_made - turned
            kept = tuple(part for part in dish.parts if stem(part.split()[-1]) not in juices)
            found[at] = replace(dish, parts=kept, keywords=dish.keywords | juices)
        for word in (word for word in spoken if word.noun in self._self_made):
            owner = self._owner(hearing, word, found)
            if not self._is_made(hearing, word, found, owner):
                found[owner] = replace(found[owner], keywords=found[owner].keywords | {word.noun})
        return found

    def _is_stewed(self, dish: Dish) -> bool:
        stewed = self._ways.first(dish) == "stew"
        return stewed or dish.head in self._layered or not self._stewed.isdisjoint(dish.title.split())

    def _is_customary(self, part: str, dish: Dish) -> bool:
        if not self._owners.get(part, frozenset()).isdisjoint(dish.keywords | {dish.head}):
            return True
        return not self._cooked.get(part, frozenset()).isdisjoint(self._ways.of_words([dish.head]))

    def _owner(self, hearing: Hearing, word: PartWord, dishes: Sequence[Dish]) -> int:
        """The dish that a component belongs to: the one it is said to be for, or goes with by custom, else the one that
        is cooked as the component tells (a dressing goes with what is eaten raw), else the first."""
        meant = (at for at, dish in enumerate(dishes) if self._is_for(hearing, word, dish))
        named = word.name if word.name in self._owners else word.noun
        customary = (at for at, dish in enumerate(dishes) if self._is_customary(named, dish))
        told = self._ways.of_words([word.noun]).keys() - {SAUCE}
        alike = (at for at, dish in enumerate(dishes) if self._ways.first(dish) in told)
        return next(meant, next(customary, next(alike, 0)))

    def _is_for(self, hearing: Hearing, word: PartWord, dish: Dish) -> bool:
        """Whether it is said to be for a dish: `a sauce for the fritters`."""
        words = hearing.speech.words
        return any(
            words[place - 2] == "for" and words[place - 1] in self._own and stem(words[place - 3]) == word.noun
            for place in where(hearing, dish.keywords | {dish.head})
            if place >= _SAID_FOR
        )

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
