"""Whose times and temperatures were said: the dish that the figure is for, that was named last before it or that the
talk was on, else the one spoken of."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import pairwise

from pipeline.compose.callings import Callings
from pipeline.compose.figure_talk import SHARED_BACK, FigureTalk, FigureWords
from pipeline.compose.lines import Lines
from pipeline.compose.named import DishNames
from pipeline.compose.time_lengths import about_as_long, is_kept
from pipeline.foods.table import FoodTable
from pipeline.hear.durations import TimeSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.lexicon import Classes, word_class
from pipeline.split.dishes import Dish, Topic, stem
from pipeline.split.outline import Outline
from pipeline.split.ways import DishWays

_OVEN_WAYS = word_class("oven-way")
_KEPT_ON = 20
_SAID_ON = 32
_COME_TO = 25
_READ = 14
_LOAF_CELSIUS = 88
_EGG = "egg"


class Owners:
    """Compiled words that tell whose a figure is."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self._baked = frozenset(map(stem, classes["baked-dish"]))
        self._ways = DishWays(table)
        self._callings = Callings(table, classes)
        self._told_by = FigureWords(classes)

    def settings(self, hearing: Hearing, outline: Outline, lines: Lines) -> Settings:
        """The dish of every time and temperature of an episode."""
        foods = [
            self._callings.foods(dish, [line for line in lines.lines if line.dish == at])
            for at, dish in enumerate(outline.dishes)
        ]
        names = DishNames(outline.dishes, foods)
        dishes = range(len(outline.dishes))
        return Settings(
            names,
            FigureTalk(self._told_by, hearing, names),
            outline,
            baked=[at for at in dishes if self._is_baked(outline.dishes[at])],
            bakeable=[at for at in dishes if self._is_bakeable(outline.dishes[at], at)],
            meaty=[at for at in dishes if foods[at].meats and not foods[at].sweet],
            eggy=[at for at in dishes if _EGG in foods[at].nouns],
        )

    def _is_baked(self, dish: Dish) -> bool:
        return not self._baked.isdisjoint((dish.head, *dish.keywords, *map(stem, dish.title.split())))

    def _is_bakeable(self, dish: Dish, at: int) -> bool:
        """Whether an oven may be for the dish: it is cooked so, or nothing is known of it."""
        ways = self._ways.of(dish, Topic(at))
        return not ways or not _OVEN_WAYS.isdisjoint(ways)


class Settings:
    """The dish of every time and temperature of an episode."""

    def __init__(
        self,
        names: DishNames,
        talk: FigureTalk,
        outline: Outline,
        *,
        baked: Sequence[int],
        bakeable: Sequence[int],
        meaty: Sequence[int],
        eggy: Sequence[int],
    ) -> None:
        self.names = names
        self._talk = talk
        self.meaty, self._eggy = meaty, eggy
        self._baked, self._bakeable = baked, bakeable
        self._owner: dict[int, int] = {}
        self._meant: set[int] = set()
        self._recalled: set[int] = set()
        self._named: set[int] = set()
        self._dishes = len(outline.dishes)
        self._all = range(self._dishes)
        self._shared = self._of_all()
        self._heats = [span for span in talk.times_and_heats() if isinstance(span, HeatSpan)]
        self._times: dict[TimeSpan, int] = {}
        visited: tuple[int, int, int] | None = None
        for span in talk.times_and_heats():
            local = talk.spoken_of(span, outline)
            told = self._told_of(span)
            if told is not None:
                visited = (span.end, told, local)
            elif visited is not None and (span.start - visited[0] > _SAID_ON or visited[2] != local):
                visited = None
            elif visited is not None:
                visited = (span.end, visited[1], local)
            owner = visited[1] if visited is not None else local
            if visited is not None:
                self._named.add(span.start)
            if isinstance(span, TimeSpan):
                owner = self._timed(span, owner, outline) if visited is None else owner
                self._times[span] = owner
            self._owner[span.start] = owner
        self._follow_readings()

    def _follow_readings(self) -> None:
        """`that's forty minutes and it says 165 so leave it ten`: figures about a reading inside meat are of the meat,
        unless another dish was named."""
        spans = self._talk.times_and_heats()
        moved: dict[int, int] = {}
        for at, span in enumerate(spans):
            owner = self._owner[span.start]
            if isinstance(span, HeatSpan) and span.of == "food" and self._heated(span) != owner:
                about = [*self._about(spans[at:], owner), *self._about(spans[at::-1], owner)]
                moved |= dict.fromkeys((other.start for other in about), self._heated(span))
        self._owner |= moved
        self._times |= {time: moved[time.start] for time in self._times if time.start in moved}

    def _about(self, spans: Sequence[TimeSpan | HeatSpan], owner: int) -> list[TimeSpan | HeatSpan]:
        """The figures next to the first, one close to the other, that no name but the talk alone gives to its dish."""
        found: list[TimeSpan | HeatSpan] = []
        for last, span in pairwise(spans):
            gap = max(span.start - last.end, last.start - span.end)
            if gap > _READ or span.start in self._named or self._owner[span.start] != owner or is_kept(span):
                break
            found.append(span)
        return found

    def _of_all(self) -> set[int]:
        """Where figures begin that are said of all dishes, the first with the word for it and others of an oven soon
        after."""
        shared: set[int] = set()
        last: TimeSpan | HeatSpan | None = None
        for span in self._talk.times_and_heats():
            oven = isinstance(span, HeatSpan) and span.of == "oven"
            goes_on = last is not None and oven and span.start - last.end <= SHARED_BACK
            if self._dishes > 1 and (self._talk.shares(span) or goes_on):
                shared.add(span.start)
                last = span if oven else last
        return shared

    def _timed(self, span: TimeSpan, owner: int, outline: Outline) -> int:
        """The dish of a time of which no words near it tell: one spent in the oven is of the one dish that is baked,
        unless another may be; one that has passed is of the one dish that was to take about so long, unless the talk
        has just come to another or that is only part of what its own dish was to take."""
        if len(self._baked) == 1 and owner not in self._bakeable and self._talk.in_oven(span):
            return self._baked[0]
        come_to = any(dish != owner for dish in outline.local[max(0, span.start - _COME_TO) : span.start])
        if span.kind != "elapsed" or is_kept(span) or come_to:
            return owner
        planned = [(time, dish) for time, dish in self._times.items() if time.kind == "planned"]
        if self._talk.is_partway(span) and any(dish == owner and time.seconds > span.seconds for time, dish in planned):
            return owner
        due = {dish for time, dish in planned if about_as_long(time, span)}
        return due.pop() if len(due) == 1 and owner not in due else owner

    def _told_of(self, span: TimeSpan | HeatSpan) -> int | None:
        """The dish that words near a figure tell: it is for that dish, repeats a length of it, comes after its name, or
        is how cold it keeps."""
        meant = self._talk.meant(span)
        self._meant |= {span.start} if meant is not None else set()
        recalled = self._talk.recalls(span, self._times)
        if recalled is not None:
            self._recalled.add(span.start)
            return recalled
        named = meant or self._talk.named(span)
        unlike = self._talk.contrasted(span)
        others = [dish for dish in range(self._dishes) if dish != unlike]
        if unlike is not None and len(others) == 1 and (named is None or named.dish == unlike):
            return others[0]
        return named.dish if named is not None else self._kept_at(span)

    def _kept_at(self, span: TimeSpan | HeatSpan) -> int | None:
        """`keep the soup two days, and the fridge should say four degrees`."""
        last = next(reversed(self._times), None)
        if last is None or not is_kept(last) or isinstance(span, TimeSpan) or span.of != "fridge":
            return None
        return self._times[last] if span.start - last.end <= _KEPT_ON else None

    def is_told(self, span: TimeSpan | HeatSpan) -> bool:
        """Whether a figure is said of a dish of the episode, and not again, of another day or of what others do."""
        return span.start not in self._recalled and self._talk.is_told(span)

    def of_time(self, start: int) -> Collection[int]:
        """The dish of the time that begins at word `start`, or all where it is said of all."""
        return self._all if start in self._shared else (self._owner[start],)

    def of_heat(self, heat: HeatSpan) -> Collection[int]:
        """The dish of a temperature, or all that may be baked where an oven is said of all."""
        if heat.start in self._shared:
            return self._baked if len(self._baked) > 1 else self._all
        return {self._heated(heat), *self._talk.company(heat)}

    def _heated(self, heat: HeatSpan) -> int:
        """The one dish of a temperature: an oven belongs to the one dish that is baked, unless another that may be is
        spoken of; the heat inside a food to the one dish with meat or fish, or where no meat is so hot to the one that
        is baked, whoever is spoken of, but of what is set with egg where it was just named."""
        owner = self._owner[heat.start]
        loaf = heat.celsius >= _LOAF_CELSIUS
        inside = self._talk.inside(heat) if heat.of == "food" else None
        named = inside.dish if inside is not None else owner
        if heat.of == "food" and named in self._eggy and (inside is not None or heat.start in self._named):
            return named
        only = {"oven": self._baked, "food": self._baked if loaf else self.meaty}.get(heat.of, [])
        if len(only) != 1 or heat.start in self._meant or (heat.of == "oven" and owner in self._bakeable):
            return owner
        return owner if heat.of == "oven" and self._has_own_later(only[0], heat) else only[0]

    def _has_own_later(self, dish: int, heat: HeatSpan) -> bool:
        """Whether the one dish that is baked comes to an oven later, at another heat or still as hot."""
        own = [span for span in self._heats if span.of == "oven" and self._owner[span.start] == dish]
        return bool(own) and all(
            span.start > heat.start and (span.celsius != heat.celsius or self._talk.is_still(span)) for span in own
        )
