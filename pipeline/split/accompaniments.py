"""Finds the components of a dish that are foods of their own: what it comes with, and what is cooked apart for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.hear.usage import ALTERNATIVE, ASIDE
from pipeline.split.calls import Caller
from pipeline.split.dishes import Dish, stem
from pipeline.split.remembered import Remembered
from pipeline.split.titles import TitleReader

_MADE_WITHIN = 60
_MADE_OF = 2
_APART = 2
_INTRODUCTION = 160
_COMES_WITH = 14
_GOES_OVER = 5
_DISH_WORD = "word"


@dataclass(frozen=True, slots=True)
class _Thing:
    """A food or a word for a dish, words `start` to `end` (exclusive), by its noun and its food group."""

    start: int
    end: int
    noun: str
    group: str


class Accompaniments:
    """Compiled customs: which groups of foods are made apart, and which dishes are put together from parts."""

    def __init__(self, classes: Classes, table: FoodTable, titles: TitleReader, caller: Caller) -> None:
        self._group = {food.id: food.group for food in table}
        self._made = frozenset(classes["made-apart-group"]) | {_DISH_WORD}
        self._cooked_apart = frozenset(classes["apart-group"])
        self._put_together = frozenset(classes["put-together-dish"])
        self._sweet = frozenset(classes["sweet-put-together-dish"])
        self._sweet_groups = frozenset({"fruit", "dairy"})
        self._plain = frozenset(classes["title-stop"]) | frozenset(classes["title-lead"]) | {"and", "with", "of", "in"}
        self._own = frozenset(classes["own-article"])
        self._amount_lead = frozenset({"is", "are", "takes", "a", "an"})
        self._poured = frozenset(classes["poured-part"])
        self._used_up = frozenset(classes["used-up-part"])
        self._parts = frozenset(classes["part-noun"])
        self._same = frozenset({"this", "that", "is", "that's", "it's"})
        self._several = frozenset({"two", "three", "four", "five"})
        self._reach = {"with": _COMES_WITH, "over": _GOES_OVER, "underneath": _GOES_OVER}
        self._telling = frozenset(classes["being"]) | {"has", "have"}
        self._titles = titles
        self._caller = caller
        self._turned = Remembered(lambda hearing: tuple(self._once(hearing, list(self._turned_to(hearing)))))

    def find(self, hearing: Hearing, dish: Dish, dishes: Sequence[Dish]) -> list[str]:
        """Names of the components in the order in which the talk turns to them.

        What the dish comes with is one where other foods go into it; in a dish that is put together, as a platter or a
        sandwich, all that is cooked apart, if it is more than one thing.
        """
        taken = {stem(part.split()[-1]) for other in dishes for part in other.parts} | {dish.head}
        taken |= {word for other in dishes if other is not dish for word in other.keywords}
        coming = self._coming(hearing, dish, dishes) - self._used_up
        turned = [thing for thing in self._turned(hearing) if thing.noun not in taken]
        made = [thing.noun for thing in turned if self._comes_made(hearing, thing, coming)]
        listed = self._listed(hearing, dish)
        coming |= listed
        apart: list[str] = []
        if listed or dish.head in self._put_together | self._sweet:
            groups = self._cooked_apart | (self._sweet_groups if dish.head in self._sweet else frozenset())
            apart = [thing.noun for thing in turned if self._is_apart(hearing, thing, coming, groups)]
        apart = list(dict.fromkeys(apart))
        nouns = list(dict.fromkeys([*made, *(apart if len(apart) >= _APART else ())]))
        spoken = {thing.noun: " ".join(hearing.speech.words[thing.start : thing.end][-2:]) for thing in turned[::-1]}
        return [self._name(hearing, dish, noun, nouns) or spoken[noun] for noun in nouns]

    def _coming(self, hearing: Hearing, dish: Dish, dishes: Sequence[Dish]) -> frozenset[str]:
        """Nouns of what is named after `with` or `over a mess of`, in the title or where the dish is first spoken of,
        and of what is poured over it (`crumble and custard`)."""
        words = hearing.speech.words
        tail = dish.title.partition(" with ")[2].split()
        titled = {stem(word) for place, word in enumerate(tail) if not self._leads_on(tail, place)}
        following = min((other.start for other in dishes if other.start > dish.start), default=len(words))
        spoken = {
            stem(words[place])
            for start in range(dish.start, min(following, _INTRODUCTION))
            if words[start] in self._reach
            for place in range(start + 1, self._listed_to(hearing, start))
            if not self._leads_on(words, place)
        }
        told = words[dish.start : min(following, _INTRODUCTION)]
        poured = {word for before, word in pairwise(told) if before == "and" and word in self._poured}
        return frozenset(titled | spoken | poured)

    def _listed(self, hearing: Hearing, dish: Dish) -> frozenset[str]:
        """Nouns of what is named after `there's three parts` where the dish is introduced."""
        words = hearing.speech.words
        found: set[str] = set()
        for place in range(dish.start, min(dish.start + _INTRODUCTION, len(words))):
            if words[place] in self._parts and words[place - 1] in self._several:
                found.update(map(stem, words[place + 1 : place + 1 + _COMES_WITH]))
        return frozenset(found)

    def _listed_to(self, hearing: Hearing, start: int) -> int:
        """Where ends what is named after the `with` or `over` at `start`: soon, or where something is told of it."""
        words = hearing.speech.words
        end = min(start + self._reach[words[start]], hearing.clauses.sentence(start)[1])
        return next((place for place in range(start, end) if words[place] in self._telling), end)

    def _leads_on(self, words: Sequence[str], place: int) -> bool:
        """The bread of `bread stuffing`: it only tells what kind of thing comes next."""
        return place + 1 < len(words) and self._titles.dish_words.longest(words, place + 1) is not None

    def _turned_to(self, hearing: Hearing) -> Iterator[_Thing]:
        """Foods and words for dishes that the talk turns to; words for parts are found by how often they come."""
        covered: set[int] = set()
        things: list[_Thing] = []
        for food, usage in zip(hearing.foods, hearing.usages, strict=True):
            covered.update(range(food.start, food.end))
            if usage.status not in {ALTERNATIVE, ASIDE} and self._is_turned_to(hearing, food.head):
                noun = stem(food.name.split()[-1])
                things.append(_Thing(food.head, food.end, noun, self._group.get(food.food, "")))
        for head in self._titles.heads(hearing):
            if head.payload != "part" and head.end - 1 not in covered and self._caller.turns(hearing, head.start):
                things.append(_Thing(head.start, head.end, stem(hearing.speech.words[head.end - 1]), _DISH_WORD))
        return iter(sorted(things, key=lambda thing: thing.start))

    def _once(self, hearing: Hearing, things: Sequence[_Thing]) -> Iterator[_Thing]:
        """The things without another name for the one before: the sirloin of `the beef this is sirloin`."""
        words = hearing.speech.words
        for before, thing in zip((None, *things), things, strict=False):
            between = words[before.end : thing.start] if before is not None else ()
            if not between or not self._same.issuperset(between):
                yield thing

    def _is_turned_to(self, hearing: Hearing, place: int) -> bool:
        """Whether the talk turns to a food, as words of turning tell, or `for the rice` at the start of a sentence, or
        `the pork is` or `the pork a pound` there."""
        words, sentence = hearing.speech.words, hearing.clauses.sentence(place)[0]
        if self._caller.turns(hearing, place) or words[sentence:place] == ("for", "the"):
            return True
        following = words[place + 1 : place + 2]
        told = bool(following) and (following[0] in self._amount_lead)
        return told and place == sentence + 1 and words[sentence] in self._own

    def _comes_made(self, hearing: Hearing, thing: _Thing, coming: frozenset[str]) -> bool:
        return thing.noun in coming and thing.group in self._made and self._goes_into(hearing, thing) >= _MADE_OF

    def _is_apart(self, hearing: Hearing, thing: _Thing, coming: frozenset[str], groups: frozenset[str]) -> bool:
        goes_into = self._goes_into(hearing, thing)
        if thing.noun in coming:
            return goes_into > 0
        return thing.group in groups and goes_into >= _MADE_OF

    @staticmethod
    def _goes_into(hearing: Hearing, thing: _Thing) -> int:
        """How many foods are measured right after the talk turned to it."""
        return len(
            {
                item.food
                for item in hearing.measured
                if 0 <= item.quantity.start - thing.end <= _MADE_WITHIN and not item.quantity.article
            }
        )

    def _name(self, hearing: Hearing, dish: Dish, noun: str, nouns: Sequence[str]) -> str:
        """`pork sausage` of `eggs with pork sausage`: the noun with the word before it, where it was named first;
        empty where it was not."""
        for words in (dish.title.split(), hearing.speech.words[:_INTRODUCTION]):
            for at, word in enumerate(words):
                if stem(word) == noun:
                    plain = at == 0 or stem(words[at - 1]) in nouns or words[at - 1] in self._plain
                    return word if plain else f"{words[at - 1]} {word}"
        return ""
