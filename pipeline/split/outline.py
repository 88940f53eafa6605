"""The dishes of an episode, their components, and for every word the dish it is about."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.split.admission import Admission
from pipeline.split.best_menu import BestMenu
from pipeline.split.calls import Caller
from pipeline.split.candidates import Candidate
from pipeline.split.company import Company, load_company
from pipeline.split.dish_signs import Followed
from pipeline.split.dish_way import Moved
from pipeline.split.dishes import MAIN, Dish, Doubt, Topic, measured_places, stem
from pipeline.split.kind_words import KindWords
from pipeline.split.menu import MenuReader, Weighed
from pipeline.split.menu_points import Talked, talked_of
from pipeline.split.parts import PartFinder
from pipeline.split.themes import Themes
from pipeline.split.titles import HEAD_WORD, Announcement, TitleReader
from pipeline.split.topics import TopicFollower
from pipeline.split.ways import DishWays

__all__ = ["MAIN", "Dish", "Outline", "Outliner", "Topic", "stem"]

_LEAST = 1
_FEW = 8
_MUCH = 4
_LEAST_IN_DOUBT = 2


@dataclass(frozen=True, slots=True)
class Outline:
    """The dishes, and for every word of the speech its topic.

    `local` holds for every word the dish that its own clause speaks of; `announced` the words that announce dishes;
    where a dish is only called by its noun, none do.
    """

    dishes: tuple[Dish, ...]
    topics: tuple[Topic, ...]
    local: tuple[int, ...]
    announced: tuple[tuple[int, int], ...]


class Outliner:
    """Finds dishes and follows the talk between them."""

    def __init__(self, classes: Classes, table: FoodTable | None = None) -> None:
        self._titles = TitleReader(classes)
        foods = table or FoodTable.load()
        caller = Caller(classes, KindWords(classes, DishWays(foods)))
        self._themes = Themes(classes, foods)
        self._menu = MenuReader(self._titles, classes, foods, caller)
        self._parts = PartFinder(classes, foods, self._titles, caller)
        company = Company(foods, load_company())
        self._follower = TopicFollower(classes, foods, caller, company)
        self._best = BestMenu(classes, foods, self._parts, self._follower, company)
        self._admission = Admission(classes)

    def outline(self, hearing: Hearing) -> Outline:
        """At least one dish, in order of first mention."""
        weighed = self._menu.weigh(hearing, self._titles.find(hearing))
        announcements = self._menu.find(hearing, weighed)
        admitted = self._admitted(hearing, announcements)
        dishes = tuple(self._parts.find(hearing, admitted))
        spans = tuple((item.start, item.end) for item in announcements if item.rule != HEAD_WORD)
        topics = self._follower.follow(hearing, dishes, spans)
        cooked = _cooked(hearing, dishes, topics)
        if len(cooked) < len(dishes):
            dishes = tuple(self._parts.find(hearing, cooked))
            told = {name for dish in dishes for name in dish.keywords}
            spans = tuple((item.start, item.end) for item in announcements if _is_of(item, told))
            topics = self._follower.follow(hearing, dishes, spans)
        starts = {dish.start for dish in dishes}
        kept = [dish for dish in admitted if dish.start in starts]
        best = self._best.choose(hearing, kept, weighed.ranked, self._talked(hearing, weighed), spans)
        if best is not None:
            dishes, topics = best, self._follower.follow(hearing, best, spans)
        return Outline(dishes, topics, self._follower.local(hearing, dishes, topics), spans)

    def followed(self, hearing: Hearing, outline: Outline) -> Followed:
        """How the talk is followed with the dishes of an outline, before it is settled of which each clause is."""
        return self._follower.followed(hearing, outline.dishes, outline.announced)

    def moved(self, hearing: Hearing, outline: Outline) -> tuple[Moved, ...]:
        """The clauses that were settled to be of another dish, and why."""
        return self._follower.moved(hearing, outline.dishes, outline.announced)

    def _talked(self, hearing: Hearing, weighed: Weighed) -> Talked:
        opening = [item.head for item in weighed.opening]
        promised, parted = self._menu.promised(hearing), self._menu.in_parts(hearing)
        return talked_of(hearing, weighed.ranked, opening, promised=promised, parted=parted)

    def candidates(self, hearing: Hearing) -> tuple[tuple[Candidate, Mapping[str, float]], ...]:
        """What may be a dish though nothing announces it, each with its signs."""
        return self._menu.candidates(hearing, self._titles.find(hearing))

    def announced(self, hearing: Hearing) -> tuple[Announcement, ...]:
        """The dishes that set phrases of the opening announce."""
        return tuple(self._menu.opening(hearing, self._titles.find(hearing)))

    def _admitted(self, hearing: Hearing, announcements: Sequence[Announcement]) -> list[Dish]:
        return self._admission.all_of(announcements) or [self._fallback(hearing)]

    def _fallback(self, hearing: Hearing) -> Dish:
        """Nothing was named that may be a dish: the food that is used most."""
        used = [
            food for food, usage in zip(hearing.foods, hearing.usages, strict=True) if usage.status in {"used", "shown"}
        ]
        foods = Counter(food.name for food in used if self._themes.is_main(food)) or Counter(food.name for food in used)
        title = max(foods, key=lambda name: (foods[name], name)) if foods else "untitled dish"
        return Dish(title, stem(title.split()[-1]), 0, (), frozenset({stem(title.split()[-1])}), "title.food")


def _is_of(item: Announcement, names: Set[str]) -> bool:
    """Whether words announce a dish of these names."""
    return item.rule != HEAD_WORD and stem(item.head) in names


def _cooked(hearing: Hearing, dishes: Sequence[Dish], topics: Sequence[Topic]) -> tuple[Dish, ...]:
    """The dishes into which foods go by a measure, a fair share into a doubtful one: others are only talk."""
    used = measured_places(hearing)
    goes_into = Counter(topics[place].dish for place in used)
    share = (len(used) - _FEW) // len(dishes)
    much = min(share, _MUCH)
    least = {Doubt.NONE: min(share, _LEAST), Doubt.SOME: much, Doubt.MUCH: max(_LEAST_IN_DOUBT, much)}
    kept = tuple(dish for at, dish in enumerate(dishes) if goes_into[at] >= least[dish.doubt])
    return kept or tuple(dishes)
