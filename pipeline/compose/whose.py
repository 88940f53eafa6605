"""Whose times and temperatures were said: the dish that the figure is for, that was named last before it or that the
talk was on, else the one spoken of."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise

from pipeline.compose.callings import Callings
from pipeline.compose.lines import Lines
from pipeline.compose.named import DishNames, Named
from pipeline.compose.time_lengths import about_as_long, is_kept
from pipeline.foods.table import FoodTable
from pipeline.hear.durations import TimeSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.lexicon import Classes, load_phrases, word_class
from pipeline.split.dishes import Dish, Topic, stem
from pipeline.split.outline import Outline
from pipeline.split.ways import DishWays

_OVEN_WAYS = word_class("oven-way")
_NAMED_BACK = 9
_TOLD_BACK = 20
_KEPT_BACK = 26
_KEPT_ON = 20
_CONTRAST_ON = 26
_NAMED_ON = 3
_NAMED_AFTER = 6
_ASIDE = 3
_SAID_ON = 32
_THE = word_class("the-or-your")
_TILL = word_class("till-word")
_BUT_THE = frozenset(("but", word) for word in _THE)
_OTHERS = frozenset({"elsewhere", "habit", "interrupted"})
_COME_TO = 25
_READ = 14
_WOULD = frozenset({"i'd", "we'd"})
_STILL_BACK, _INSIDE_BACK, _KEEPS_ON, _HAD_BACK = 4, 5, 2, 4
_STILL = frozenset({"same", "still"})
_LOAF_CELSIUS = 88
_EGG = "egg"
_SHARED_BACK, _SHARED_ON = 14, 4


class Owners:
    """Compiled words that tell whose a figure is."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self._baked = frozenset(map(stem, classes["baked-dish"]))
        self._ways = DishWays(table)
        self._callings = Callings(table, classes)
        self.cues = load_phrases("owner_cues.csv", ("id", "kind", "pattern"), classes)
        self.lead = frozenset(classes["talk-lead"])
        self.own = frozenset(classes["owning-verb"])
        self.keeping = frozenset(classes["shelf-verb"])
        self.oven = frozenset(classes["oven"])
        self.failing = frozenset(classes["keeps-not"])
        self.recalling = frozenset(classes["time-recalling"])

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
            _Talk(self, hearing, names),
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


class _Talk:
    """Where dishes are named in an episode, and for which figures."""

    def __init__(self, owners: Owners, hearing: Hearing, names: DishNames) -> None:
        self._owners = owners
        self._hearing = hearing
        self._names = names
        self._words = hearing.speech.words
        cues = owners.cues.everywhere(self._words, hearing.speech.places)
        self._aside = {cue.end for cue in cues if cue.payload["kind"] == "meanwhile"}
        self._goes_on = {cue.end for cue in cues if cue.payload["kind"] == "before"}
        self._beside = {cue.end for cue in cues if cue.payload["kind"] == "beside"}
        self._modifying = {place for food in hearing.foods for place in range(food.head, food.end - 1)}
        self._shared = {cue.start for cue in cues if cue.payload["kind"] == "both"}
        self._links = {cue.start: cue.end for cue in cues if cue.payload["kind"] == "for"}

    def is_told(self, span: TimeSpan | HeatSpan) -> bool:
        """Whether a figure is said of today's dishes: under no cue for other days or people, unless its own clause,
        after such a cue, names a dish; how long a dish keeps is told wherever it is named after the cue, and how hot
        meat is safe whoever says so."""
        first, _ = self._hearing.clauses.clause(span.start)
        names = self._names.themes if is_kept(span) else self._names.strict
        naming = [place for place in range(first, span.start) if stem(self._words[place]) in names]
        others = _OTHERS - {"habit"} if isinstance(span, HeatSpan) and span.of == "food" else _OTHERS
        scopes = (
            scope
            for scope in self._hearing.over[span.start]
            if scope.kind in others and scope.cue_start < span.end and self._words[scope.cue_start] not in _WOULD
        )
        return all(naming and scope.cue_start < (naming[0] if is_kept(span) else first) for scope in scopes)

    def times_and_heats(self) -> list[TimeSpan | HeatSpan]:
        """All figures in order."""
        return sorted((*self._hearing.times, *self._hearing.heats), key=lambda span: span.start)

    def meant(self, span: TimeSpan | HeatSpan) -> Named | None:
        """The dish that follows a figure as the one it is for: `350 for the scones`."""
        end = self._links.get(span.end, len(self._words))
        following = (stem(word) for word in self._words[end : end + _NAMED_ON])
        named = next((self._names.strict[word] for word in following if word in self._names.strict), None)
        return named or self._awaited(span.end)

    def _awaited(self, place: int) -> Named | None:
        """The dish of the one food that a time is to change: `ten minutes till the squash gives`."""
        till, *the, noun = [*self._words[place : place + _NAMED_ON], "", ""][:_NAMED_ON]
        return self._names.foods.get(stem(noun)) if till in _TILL and set(the) <= _THE else None

    def contrasted(self, span: TimeSpan | HeatSpan) -> int | None:
        """The dish that how long another keeps is held against: `it keeps three days, but the buns you eat today`."""
        first = max(self._hearing.clauses.clause(span.start)[0], span.start - _NAMED_ON)
        if not is_kept(span) or any(stem(word) in self._names.themes for word in self._words[first : span.start]):
            return None
        for place in range(span.end, min(span.end + _CONTRAST_ON, len(self._words) - 1)):
            named = self._names.strict.get(stem(self._words[place]))
            named = None if named is not None and named.part else named
            led = self._words[place - 1] == "but" or self._words[place - 2 : place] in _BUT_THE
            if named is not None and (led or self._words[place + 1] in self._owners.failing):
                return named.dish
        return None

    def shares(self, span: TimeSpan | HeatSpan) -> bool:
        """Whether an oven or how long something keeps is said of all dishes: `it does for the pair of them, 190`."""
        if not (is_kept(span) or (isinstance(span, HeatSpan) and span.of == "oven")):
            return False
        return not self._shared.isdisjoint(range(max(0, span.start - _SHARED_BACK), span.end + _SHARED_ON))

    def recalls(self, span: TimeSpan | HeatSpan, owned: Mapping[TimeSpan, int]) -> int | None:
        """The dish that had the length before which is only spoken of again: `your twenty minutes were up`."""
        if not isinstance(span, TimeSpan) or self._words[span.start - 1] not in self._owners.recalling:
            return None
        return next((dish for time, dish in reversed(list(owned.items())) if time.seconds == span.seconds), None)

    def company(self, heat: HeatSpan) -> Collection[int]:
        """The dish beside which another goes into an oven that is still as hot."""
        still = heat.of == "oven" and self.is_still(heat)
        near = range(max(0, heat.start - _NAMED_BACK), heat.start) if still else ()
        keys = {stem(self._words[place]) for place in near if self._is_company(place)}
        return {self._names.themes[key].dish for key in keys & self._names.themes.keys()}

    def inside(self, heat: HeatSpan) -> Named | None:
        """The dish of the one food that is told to be so hot: `egg is safe at one sixty`."""
        first = max(self._hearing.clauses.clause(heat.start)[0], heat.start - _INSIDE_BACK)
        keys = (stem(self._words[place]) for place in range(heat.start - 1, first - 1, -1))
        return next((self._names.foods[key] for key in keys if key in self._names.foods), None)

    def is_still(self, heat: HeatSpan) -> bool:
        """Whether an oven is as hot as it was before: `same oven still 375`."""
        return not _STILL.isdisjoint(self._words[max(0, heat.start - _STILL_BACK) : heat.start])

    def is_partway(self, span: TimeSpan) -> bool:
        """`that's had ten minutes already`."""
        return self._words[span.end : span.end + 1] == ("already",)

    def in_oven(self, span: TimeSpan) -> bool:
        """Whether the oven is spoken of shortly before a time, or after it in its clause."""
        first, _ = self._hearing.clauses.sentence(span.start)
        _, end = self._hearing.clauses.clause(span.start)
        return not self._owners.oven.isdisjoint(self._words[max(first, span.start - _NAMED_BACK) : end])

    def named(self, span: TimeSpan | HeatSpan) -> Named | None:
        """The dish that is named last before a figure."""
        kept = is_kept(span)
        for place in range(span.start - 1, max(0, span.start - (_KEPT_BACK if kept else _TOLD_BACK)) - 1, -1):
            named = self._names_at(place, span.start, kept=kept)
            if named is not None:
                return named
        return None

    def spoken_of(self, span: TimeSpan | HeatSpan, outline: Outline) -> int:
        """The dish that the clause of a figure names, unless far after it or in passing, else the one talked about."""
        first, end = self._hearing.clauses.clause(span.start)
        local, topic = outline.local[span.start], outline.topics[span.start].dish
        before = outline.topics[max(0, first - 1)].dish
        if not self._goes_on.isdisjoint(range(max(first, span.start - _ASIDE), span.start)):
            return before
        head = outline.dishes[local].head
        naming = [place for place in range(first, end) if stem(self._words[place]) == head]
        about = [place for place in naming if not self._is_aside(place, span.start) and not self._is_company(place)]
        if any(place < span.end + _NAMED_AFTER for place in about):
            return local
        return before if naming and topic == local else topic

    def _names_at(self, place: int, figure: int, *, kept: bool) -> Named | None:
        key, names = stem(self._words[place]), self._names_for(place, figure, kept=kept)
        if key not in names or self._is_aside(place, figure) or self._is_company(place):
            return None
        if key in self._names.strict and (kept or figure - place <= _NAMED_BACK):
            return self._names.strict[key]
        if place in self._modifying:
            return None
        keeps = kept and (figure - place <= _NAMED_BACK or self._words[place + 1] in self._owners.keeping)
        return names[key] if keeps or self._leads(place) else None

    def _names_for(self, place: int, figure: int, *, kept: bool) -> Mapping[str, Named]:
        """The names that may be meant at `place`: also any food of one dish where it `keeps` or `has had` so long."""
        end = place + 1 + _KEEPS_ON if kept else figure if figure - place <= _HAD_BACK else place
        told = (self._owners.keeping if kept else self._owners.own).intersection(self._words[place + 1 : end])
        return self._names.subjects if told else self._names.themes

    def _is_company(self, place: int) -> bool:
        """`this will do four people with the rotis`, `it goes in next to the roast`: only beside what is spoken of."""
        return place in self._beside

    def _leads(self, place: int) -> bool:
        """Whether the clause is about the word at `place`."""
        first, _ = self._hearing.clauses.clause(place)
        return all(word in self._owners.lead for word in self._words[first:place])

    def _is_aside(self, place: int, figure: int) -> bool:
        """`while the rice sits`, `the minute the pie's out`: not for the figure, unless the rice has ten minutes."""
        first, _ = self._hearing.clauses.clause(place)
        if self._aside.isdisjoint(range(max(first, place - _ASIDE), place + 1)):
            return False
        between = self._words[place + 1 : figure]
        same = self._hearing.clauses.clause(place) == self._hearing.clauses.clause(figure)
        return not (same and not self._owners.own.isdisjoint(between))


class Settings:
    """The dish of every time and temperature of an episode."""

    def __init__(
        self,
        names: DishNames,
        talk: _Talk,
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
            goes_on = last is not None and oven and span.start - last.end <= _SHARED_BACK
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
