"""What is said near a time or a temperature of the dish that it is of: names before and after it, what it is for, and
what is only beside."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from pipeline.compose.named import DishNames, Named
from pipeline.compose.time_lengths import is_kept
from pipeline.hear.durations import TimeSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.lexicon import Classes, load_phrases, word_class
from pipeline.split.dishes import stem
from pipeline.split.outline import Outline

_NAMED_BACK = 9
_TOLD_BACK = 20
_KEPT_BACK = 26
_CONTRAST_ON = 26
_NAMED_ON = 3
_NAMED_AFTER = 6
_FOR_BACK = 5
_AGAIN = 3
_KEEPS_ON, _HAD_BACK = 2, 4
_ASIDE = 3
_THE = word_class("the-or-your")
_TILL = word_class("till-word")
_BUT_THE = frozenset(("but", word) for word in _THE)
_OTHERS = frozenset({"elsewhere", "habit", "interrupted"})
_WOULD = frozenset({"i'd", "we'd"})
_STILL_BACK, _INSIDE_BACK = 4, 5
_STILL = frozenset({"same", "still"})
SHARED_BACK = 14
_SHARED_ON = 4


class FigureWords:
    """Compiled words that tell whose a figure is."""

    def __init__(self, classes: Classes) -> None:
        self.cues = load_phrases("owner_cues.csv", ("id", "kind", "pattern"), classes)
        self.lead = frozenset(classes["talk-lead"])
        self.own = frozenset(classes["owning-verb"])
        self.keeping = frozenset(classes["shelf-verb"])
        self.oven = frozenset(classes["oven"])
        self.failing = frozenset(classes["keeps-not"])
        self.recalling = frozenset(classes["time-recalling"])


class FigureTalk:
    """Where dishes are named in an episode, and for which figures."""

    def __init__(self, told_by: FigureWords, hearing: Hearing, names: DishNames) -> None:
        self._told_by = told_by
        self._hearing = hearing
        self._names = names
        self._words = hearing.speech.words
        cues = told_by.cues.everywhere(self._words, hearing.speech.places)
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
        """The dish that follows a figure as the one it is for (`350 for the scones`, `200, that's gas 6, for the
        scones`), or that stands so right before it: `the oven up for the scones to 200`."""
        end = self._links.get(self._end_of(span), len(self._words))
        following = (stem(word) for word in self._words[end : end + _NAMED_ON])
        named = next((self._names.strict[word] for word in following if word in self._names.strict), None)
        return named or self._awaited(span.end) or self._for_which(span)

    def _end_of(self, span: TimeSpan | HeatSpan) -> int:
        """The end of a figure, or of the same heat told once more right after it."""
        again = (heat for heat in self._hearing.heats if 0 < heat.start - span.end <= _AGAIN)
        return next((heat.end for heat in again), span.end) if isinstance(span, HeatSpan) else span.end

    def _for_which(self, span: TimeSpan | HeatSpan) -> Named | None:
        """The dish that an oven is for by the words right before a heat."""
        lead = [*self._words[max(0, span.start - _FOR_BACK) : span.start]]
        if not isinstance(span, HeatSpan) or span.of != "oven" or "for" not in lead[:-1]:
            return None
        the, *rest = lead[lead.index("for") + 1 :]
        named = [self._names.loose[key] for key in map(stem, rest) if key in self._names.loose]
        return named[0] if the in _THE and named else None

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
            if named is not None and (led or self._words[place + 1] in self._told_by.failing):
                return named.dish
        return None

    def shares(self, span: TimeSpan | HeatSpan) -> bool:
        """Whether an oven or how long something keeps is said of all dishes: `it does for the pair of them, 190`."""
        if not (is_kept(span) or (isinstance(span, HeatSpan) and span.of == "oven")):
            return False
        return not self._shared.isdisjoint(range(max(0, span.start - SHARED_BACK), span.end + _SHARED_ON))

    def recalls(self, span: TimeSpan | HeatSpan, owned: Mapping[TimeSpan, int]) -> int | None:
        """The dish that had the length before which is only spoken of again: `your twenty minutes were up`."""
        if not isinstance(span, TimeSpan) or self._words[span.start - 1] not in self._told_by.recalling:
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
        return not self._told_by.oven.isdisjoint(self._words[max(first, span.start - _NAMED_BACK) : end])

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
        keeps = kept and (figure - place <= _NAMED_BACK or self._words[place + 1] in self._told_by.keeping)
        return names[key] if keeps or self._leads(place) else None

    def _names_for(self, place: int, figure: int, *, kept: bool) -> Mapping[str, Named]:
        """The names that may be meant at `place`: also any food of one dish where it `keeps` or `has had` so long."""
        end = place + 1 + _KEEPS_ON if kept else figure if figure - place <= _HAD_BACK else place
        told = (self._told_by.keeping if kept else self._told_by.own).intersection(self._words[place + 1 : end])
        return self._names.subjects if told else self._names.themes

    def _is_company(self, place: int) -> bool:
        """`this will do four people with the rotis`, `it goes in next to the roast`: only beside what is spoken of."""
        return place in self._beside

    def _leads(self, place: int) -> bool:
        """Whether the clause is about the word at `place`."""
        first, _ = self._hearing.clauses.clause(place)
        return all(word in self._told_by.lead for word in self._words[first:place])

    def _is_aside(self, place: int, figure: int) -> bool:
        """`while the rice sits`, `the minute the pie's out`: not for the figure, unless the rice has ten minutes."""
        first, _ = self._hearing.clauses.clause(place)
        if self._aside.isdisjoint(range(max(first, place - _ASIDE), place + 1)):
            return False
        between = self._words[place + 1 : figure]
        same = self._hearing.clauses.clause(place) == self._hearing.clauses.clause(figure)
        return not (same and not self._told_by.own.isdisjoint(between))
