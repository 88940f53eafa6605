"""Whose servings, times and temperatures were said: the dish named last before them, else the one spoken of."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from pipeline.hear.hearing import Hearing
from pipeline.split.dishes import Dish, stem
from pipeline.split.outline import Outline

_SHORTEST_NOUN = 4
_NAMED_BACK = 9
_SAID_ON = 20
_Words = Callable[[Dish], frozenset[str]]


@dataclass(frozen=True, slots=True)
class Named:
    """A dish by index, and whether only a component of it was named."""

    dish: int
    part: bool


class DishNames:
    """The words that name one dish of an episode and no other."""

    def __init__(self, dishes: Sequence[Dish]) -> None:
        self._names = _names(dishes, (_heads, _parts, _sides, _endings))
        self._loose = {**_names(dishes, (_keywords,)), **self._names}

    def before(self, words: Sequence[str], first: int, end: int, *, loose: bool = False) -> Named | None:
        """The dish named last in words `first` to `end` (exclusive); `loose` takes all words of titles."""
        names = self._loose if loose else self._names
        return next((names[key] for word in reversed(words[first:end]) if (key := stem(word)) in names), None)


class Settings:
    """The dish of every time and temperature of an episode."""

    def __init__(self, hearing: Hearing, outline: Outline, baked: frozenset[str], meaty: frozenset[int]) -> None:
        self._words = hearing.speech.words
        self._outline = outline
        self._names = DishNames(outline.dishes)
        self._meaty = sorted(meaty)
        self._baked = [
            at for at, dish in enumerate(outline.dishes) if baked & (dish.keywords | {dish.head, *dish.title.split()})
        ]
        spans = [
            *((time.start, time.end) for time in hearing.times),
            *((heat.start, heat.end) for heat in hearing.heats),
        ]
        self._owner: dict[int, int] = {}
        visited: tuple[int, int, int] | None = None
        for start, end in sorted(spans):
            named = self._names.before(self._words, max(0, start - _NAMED_BACK), start)
            local = outline.local[start]
            if named is not None:
                visited = (end, named.dish, local)
            elif visited is not None and (start - visited[0] > _SAID_ON or visited[2] != local):
                visited = None
            elif visited is not None:
                visited = (end, visited[1], local)
            self._owner[start] = visited[1] if visited is not None else local

    def of_time(self, start: int) -> int:
        """The dish of the time that begins at word `start`."""
        return self._owner[start]

    def of_heat(self, start: int, of: str) -> int:
        """The dish of a temperature: an oven belongs to the one dish that is baked, the heat inside a food to the one
        dish with meat or fish, whoever is spoken of."""
        only = {"oven": self._baked, "food": self._meaty}.get(of, [])
        return only[0] if len(only) == 1 else self._owner[start]


def _names(dishes: Sequence[Dish], kinds: Sequence[_Words]) -> Mapping[str, Named]:
    """Word -> what it names. Nouns of dishes come first, whole and then by their last part: bread for cornbread."""
    found: dict[str, Named] = {}
    for kind in kinds:
        part = kind in {_parts, _sides}
        words = [(word, Named(at, part)) for at, dish in enumerate(dishes) for word in sorted(kind(dish))]
        counts = [word for word, _ in words]
        found.update({word: named for word, named in words if counts.count(word) == 1 and word not in found})
    return found


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
    return frozenset(dish.head[at:] for at in range(1, len(dish.head) - _SHORTEST_NOUN + 1))
