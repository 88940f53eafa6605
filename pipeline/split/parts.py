"""Finds the components of the dishes: sauces and fillings by their names, and foods that are made or cooked apart."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from pipeline.foods.table import FoodTable
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.hear.usage import ALTERNATIVE, ASIDE
from pipeline.split.calls import Caller
from pipeline.split.dishes import Dish, aside, stem
from pipeline.split.titles import TitleReader

_OFTEN = 2
_MADE_WITHIN = 60
_MADE_OF = 2
_APART = 2
_INTRODUCTION = 160
_JOINING = frozenset({"and", "with", "of", "in"})


class PartFinder:
    """Compiled customs: which component goes with which dish, which dishes are put together from parts."""

    def __init__(self, classes: Classes, table: FoodTable, titles: TitleReader, caller: Caller) -> None:
        rows = load_rows("part_owners.csv", ("part", "dishes", "within"))
        self._owners = {row["part"]: frozenset(row["dishes"].split()) for row in rows}
        self._within = {row["part"]: frozenset(row["within"].split()) for row in rows}
        self._group = {food.id: food.group for food in table}
        self._made = frozenset(classes["made-apart-group"])
        self._cooked_apart = frozenset(classes["apart-group"])
        self._put_together = frozenset(classes["put-together-dish"])
        self._object = frozenset(classes["object-pronoun"])
        self._turned_to = frozenset(classes["turned-to-part"])
        self._counts = load_phrases("dish_counts.csv", ("id", "count", "pattern"), classes)
        self._titles = titles
        self._caller = caller

    def find(self, hearing: Hearing, dishes: Sequence[Dish]) -> list[Dish]:
        """The dishes with their components; where more dishes were promised than announced, components are dishes."""
        named = self._often_named(hearing, list(dishes))
        promised = [self._promised(hearing, named, at) for at in range(len(named))]
        full = [item for several in promised for item in several]
        return [self._with_foods(hearing, dish) for dish in full]

    def _with_foods(self, hearing: Hearing, dish: Dish) -> Dish:
        known = {stem(part.split()[-1]) for part in dish.parts}
        apart = [part for part in self._foods_apart(hearing, dish) if stem(part.split()[-1]) not in known]
        return replace(dish, parts=(*dish.parts, *apart))

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
        missing = self._said_count(hearing) - len(dishes)
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

    def _said_count(self, hearing: Hearing) -> int:
        """How many dishes the introduction says there will be; 0 where it says nothing."""
        said = (match for match in self._counts.everywhere(hearing.speech.words[:_INTRODUCTION]))
        return max((int(match.payload["count"]) for match in said), default=0)

    def _foods_apart(self, hearing: Hearing, dish: Dish) -> list[str]:
        """Foods of the title that are components: made in the episode, or cooked apart and put together at the end."""
        after = dish.title.partition(" with ")[2]
        made = list(self._headed(hearing, after, self._made))
        apart = list(self._headed(hearing, None, self._cooked_apart)) if dish.head in self._put_together else []
        nouns = list(dict.fromkeys([*made, *(apart if len(apart) >= _APART else ())]))
        return [_phrase(dish.title.split(), noun, nouns) for noun in nouns]

    def _headed(self, hearing: Hearing, title: str | None, groups: frozenset[str]) -> Iterator[str]:
        """Nouns of foods, of the title if one is given, that the talk turns to and other foods go into right after."""
        names = None if title is None else {stem(word) for word in title.split()}
        taken: set[str] = set()
        for food, usage in zip(hearing.foods, hearing.usages, strict=True):
            noun = stem(food.name.split()[-1])
            if usage.status in {ALTERNATIVE, ASIDE}:
                continue
            if (names is not None and noun not in names) or noun in taken or self._group.get(food.food) not in groups:
                continue
            if self._caller.turns(hearing, food.head) and self._is_made(hearing, food):
                taken.add(noun)
                yield noun

    def _is_made(self, hearing: Hearing, food: FoodSpan) -> bool:
        places = {
            item.food
            for item in hearing.measured
            if 0 <= item.quantity.start - food.end <= _MADE_WITHIN and not item.quantity.article
        }
        return len(places) >= _MADE_OF


def _phrase(title: Sequence[str], noun: str, nouns: Sequence[str]) -> str:
    """`pork sausage` of `eggs with pork sausage`: the noun with the word before it, unless that is another noun."""
    at = next((place for place, word in enumerate(title) if stem(word) == noun), -1)
    if at < 0:
        return noun
    plain = at == 0 or stem(title[at - 1]) in nouns or title[at - 1] in _JOINING
    return title[at] if plain else f"{title[at - 1]} {title[at]}"
