"""Weighs a menu as a whole: how its dishes were found, how many there are, and how well the talk is told by them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import load_sign_weights
from pipeline.split.choices import Choice
from pipeline.split.dishes import Dish, Topic, measured_places, stem

FOUND, JOINED, LESS, MORE, OTHER = "found", "joined", "less", "more", "other"
_NUMBERS = ("none", "one", "two", "three", "four")
_DONE = frozenset({"outcome", "served"})
_EARLY = 0.08
_MOST_GAIN = 80
_FEW_FOODS = 6


@dataclass(frozen=True, slots=True)
class Menu:
    """Dishes, and how they came about: as they were FOUND, with one JOINED to another as its component, with one LESS,
    one MORE, or an OTHER in the place of one."""

    dishes: tuple[Dish, ...]
    way: str


@dataclass(frozen=True, slots=True)
class Told:
    """How the talk is told with a menu: the topic of every word, the points of the way that was taken, and how well the
    foods go together that get into one dish."""

    topics: Sequence[Topic]
    points: float
    together: float = 0.0


@dataclass(frozen=True, slots=True)
class Talked:
    """What is known of a talk whatever the menu: the likeliest candidate of each noun, the nouns that the opening
    announces, how many dishes are promised (0 where none are), whether the parts of one dish are counted, the words of
    the foods with a measure, and how many words there are."""

    choices: Mapping[str, Choice]
    opening: frozenset[str]
    promised: int
    parted: bool
    used: Sequence[int]
    length: int


def talked_of(
    hearing: Hearing, ranked: Sequence[Choice], opening: Sequence[str], *, promised: int, parted: bool
) -> Talked:
    """What is known of the talk: `ranked` are the candidates, the likeliest first, `opening` the nouns announced."""
    choices = {choice.candidate.name: choice for choice in reversed(ranked)}
    heads = frozenset(map(stem, opening))
    return Talked(choices, heads, promised, parted, measured_places(hearing), len(hearing.speech))


class MenuPoints:
    """What each sign is worth: `models/best_menu.csv`."""

    def __init__(self) -> None:
        self._weights = load_sign_weights("best_menu.csv")

    def before(self, menu: Menu, talked: Talked) -> float:
        """The points of a menu before the talk is followed with it."""
        return self._sum(signs_before(menu, talked))

    def told(self, menu: Menu, talked: Talked, told: Told, first: Told) -> float:
        """What the talk that is followed with a menu adds; `first` is how it is told with the menu that was found."""
        return self._sum(signs_told(menu, talked, told, first))

    def _sum(self, signs: Iterator[tuple[str, float]]) -> float:
        return sum(self._weights.get(sign, 0.0) * value for sign, value in signs)


def signs_before(menu: Menu, talked: Talked) -> Iterator[tuple[str, float]]:
    """Each sign and how often or how strongly it is there: how the menu came about, how many dishes are promised, and
    for every dish the kind of its noun with the number of dishes, whether it has more than one word and is announced in
    the opening, its points by menu.toml, and whether nobody says how many it feeds or how long it keeps."""
    count = len(menu.dishes)
    yield f"way.{menu.way}", 1
    if talked.promised:
        yield "promised.fewer", max(0, talked.promised - count)
        yield "promised.more", max(0, count - talked.promised)
    yield "parted", talked.parted and count > 1
    for dish in menu.dishes:
        announced = dish.head in talked.opening
        choice = talked.choices.get(dish.head)
        yield f"{dish.kind}.{_NUMBERS[min(count, len(_NUMBERS) - 1)]}", 1
        yield f"{dish.kind}.{'words' if ' ' in dish.title else 'word'}", 1
        yield f"{dish.kind}.{'announced' if announced else 'told'}", 1
        yield "early", not announced and dish.start < _EARLY * talked.length
        if choice is not None:
            yield "points", 0.0 if announced else choice.points
            yield "not-done", choice.signs.isdisjoint(_DONE)


def signs_told(menu: Menu, talked: Talked, told: Told, first: Told) -> Iterator[tuple[str, float]]:
    """How much better the talk is told than with the menu that was found, how well foods go together, and how many
    dishes get few foods."""
    goes_into = Counter(told.topics[place].dish for place in talked.used)
    yield "gain", max(-_MOST_GAIN, min(_MOST_GAIN, told.points - first.points)) / 10
    yield "together", told.together
    yield "few-foods", sum(goes_into[at] < _FEW_FOODS for at in range(len(menu.dishes)))
