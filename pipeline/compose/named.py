"""The words that name one dish of an episode and no other."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from pipeline.hear.lexicon import load_dish_words
from pipeline.split.dishes import Dish, ends_in, stem

_SHORTEST_NOUN = 4
_Words = Callable[[Dish], frozenset[str]]


@dataclass(frozen=True, slots=True)
class Named:
    """A dish by index, and whether only a component of it was named."""

    dish: int
    part: bool


@dataclass(frozen=True, slots=True)
class DishFoods:
    """Of a dish the nouns of all its foods, the words that its meat or fish goes by (chicken, bird, meat), those that
    the meat or fish of its title goes by, and what it is called for what it is made of (dough, pudding). It is `sweet`
    where it is of fruit or set like a custard and its title tells of no meat: any meat is of another."""

    nouns: frozenset[str]
    meats: frozenset[str]
    titled: frozenset[str]
    made: frozenset[str] = frozenset()
    sweet: bool = False


class DishNames:
    """The words that name one dish of an episode. `loose` holds all words of titles as well; `themes` what names a dish
    only where the talk is about it: the chicken of chicken skewers, the meat where one dish has any; `foods` the nouns
    of what only one dish holds, `subjects` all of these."""

    def __init__(self, dishes: Sequence[Dish], foods: Sequence[DishFoods] = ()) -> None:
        self._nouns = _names(dishes, (_heads,))
        self.strict = _names(dishes, (_heads, _parts, _sides, _endings))
        self.themes = {**_themes(dishes, foods), **self.strict}
        self.loose = {**_names(dishes, (_keywords,)), **self.themes}
        self.foods = dict(
            _single([(noun, Named(at, False)) for at, own in enumerate(foods) for noun in sorted(own.nouns)])
        )
        self.subjects = {**self.foods, **self.loose}

    def before(self, words: Sequence[str], first: int, end: int) -> Named | None:
        """The dish named last, by any word of its title, in words `first` to `end` (exclusive)."""
        place = self.last(words, first, end)
        return None if place is None else self.called(stem(words[place]), self.loose)

    def after(self, words: Sequence[str], first: int, end: int) -> Named | None:
        """The dish named first, by any word of its title, in words `first` to `end` (exclusive)."""
        found = (self.called(stem(word), self.loose) for word in words[first:end])
        return next((named for named in found if named is not None), None)

    def last(self, words: Sequence[str], first: int, end: int) -> int | None:
        """The last word that names a dish, by any word of its title, in words `first` to `end` (exclusive)."""
        places = reversed(range(max(0, first), min(end, len(words))))
        return next((place for place in places if self.called(stem(words[place]), self.loose)), None)

    def called(self, key: str, names: Mapping[str, Named]) -> Named | None:
        """What a word names, or the noun that it is a compound of: oatcakes where one dish is cakes."""
        if key in names:
            return names[key]
        return next((named for head, named in self._nouns.items() if ends_in(key, head)), None)


def _names(dishes: Sequence[Dish], kinds: Sequence[_Words]) -> Mapping[str, Named]:
    """Word -> what it names. Nouns of dishes come first, whole and then by their last part: bread for cornbread."""
    found: dict[str, Named] = {}
    for kind in kinds:
        part = kind in {_parts, _sides}
        words = [(word, Named(at, part)) for at, dish in enumerate(dishes) for word in sorted(kind(dish))]
        found.update({word: named for word, named in _single(words) if word not in found})
    return found


def _themes(dishes: Sequence[Dish], foods: Sequence[DishFoods]) -> Mapping[str, Named]:
    """The words of a title, and the meats, that are of one dish and no food of another; but the fish is that of the
    title where one title has any."""
    words: list[tuple[str, Named]] = []
    titled: list[tuple[str, Named]] = []
    for at, (dish, own) in enumerate(zip(dishes, foods, strict=False)):
        others = frozenset().union(*(other.nouns | other.meats for other in foods if other is not own))
        words += [(word, Named(at, False)) for word in sorted((dish.keywords | own.meats) - others | own.made)]
        titled += [(word, Named(at, False)) for word in sorted(own.titled)]
    return {**dict(_single(words)), **dict(_single(titled))}


def _single(words: Iterable[tuple[str, Named]]) -> list[tuple[str, Named]]:
    said = list(words)
    counts = [word for word, _ in said]
    return [(word, named) for word, named in said if counts.count(word) == 1]


def _heads(dish: Dish) -> frozenset[str]:
    return frozenset({dish.head})


def _parts(dish: Dish) -> frozenset[str]:
    return frozenset(stem(part.split()[-1]) for part in dish.parts)


def _sides(dish: Dish) -> frozenset[str]:
    """What a dish comes with, by its title: the salsa of chicken with salsa."""
    _, _, beside = dish.title.partition(" with ")
    return frozenset({stem(beside.split()[-1])}) if beside else frozenset()


def _keywords(dish: Dish) -> frozenset[str]:
    return dish.keywords


def _endings(dish: Dish) -> frozenset[str]:
    ends = (dish.head[at:] for at in range(1, len(dish.head) - _SHORTEST_NOUN + 1))
    return _dish_nouns().intersection(ends)


@cache
def _dish_nouns() -> frozenset[str]:
    """Words that are the name of some dish."""
    return frozenset(row["words"] for row in load_dish_words() if row["kind"] != "part")
