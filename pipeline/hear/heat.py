"""Spoken temperatures: oven settings, gas marks, readings inside food, oil, water and the fridge."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial

from pipeline.hear.heat_corrected import CorrectedHeats, TakenBack
from pipeline.hear.heat_figures import NOTHING, BareFigure, HeatFigures
from pipeline.hear.heat_likely import LikelyHeats, Moved
from pipeline.hear.heat_spans import HeatSpan, is_settled, off_the_dial, readings, says_again, strangers, unit_told
from pipeline.hear.heat_tables import HeatTables
from pipeline.hear.lexicon import Classes, load_phrases, marked_rules, time_words, word_class
from pipeline.hear.numbers import Figure, NumberReader
from pipeline.hear.speech import Speech
from pipeline.phrases import Match

_WINDOW_BEFORE = 12
_WINDOW_AFTER = 8
_LEAST_BARE = 30
_MILD = 50
_GAS_ON = 5
_LONGEST_CUE = 8
_DONE_ON = 6
_BESIDE = 3
_CLOCK = marked_rules("clock")
_TURNED = marked_rules("turned")
_HUNDREDS_OWN = "hundred's"
_AGAIN = 26
_CORRECTED = 8
_GADGET = "gadget"
_GADGET_GAP = 6
_FRIED_BACK = 24
_KEPT_WARM = 90
_OWN_RANGE = frozenset({"oven", "food", "oil"})
_BAKED_AT = 140
_AS_HOT = 12
_MINE_BACK = 4
_OWNED = word_class("mine-or-yours")
_FOUND = word_class("reading-found")
_THINKING = word_class("thinking-sound")
_STANDS = word_class("reading-stands")
_STANDS_REACH = 4
_READ_LATER = word_class("reading-later")
_CLOSING = word_class("heat-closing")
_AGED = word_class("aged-lead")
_LATER = 160
_NEAR = 20
_BE = frozenset({"is", "was", "are", "were"})
_OLDEST = 110
_UNIT_BACK = 5
_SET_AT = word_class("set-at")
# Four and a quarter, said of an oven, is 425.
_HUNDREDS = frozenset(Fraction(quarters, 4) for quarters in range(9, 20) if quarters % 4)


@dataclass(frozen=True, slots=True)
class Heats:
    """Temperatures from left to right, those that the speaker took back, and the figures that weighing made a
    temperature or none."""

    standing: tuple[HeatSpan, ...]
    taken_back: tuple[TakenBack, ...]
    moved: tuple[Moved, ...]


class HeatReader:
    """Compiled words for heat."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        self._figures = HeatFigures(numbers, classes)
        self._tables = HeatTables.load()
        self._likely = LikelyHeats(self._tables)
        self._units = load_phrases("heat_units.csv", ("pattern", "unit"), classes)
        self._cues = load_phrases("heat_cues.csv", ("id", "of", "pattern"), classes)
        self._times = time_words()
        self._gas = load_phrases("gas_words.csv", ("pattern",), classes)
        self._lead = frozenset(classes["heat-lead"])
        self._minus = frozenset(classes["minus"])
        self._reads = frozenset(classes["reads-heat"])
        self._limits = frozenset(classes["heat-limit"])
        self._less = frozenset(classes["heat-or-less"])
        self._done = frozenset(classes["heat-done"])
        self._ovens = frozenset(classes["oven"])
        self._angles = frozenset(classes["angle"])
        self.corrected = CorrectedHeats(classes)

    def find(self, speech: Speech, blocked: frozenset[int], *, home_unit: str) -> Heats:
        """All temperatures. `home_unit` (F or C) decides where a figure makes sense in both and no other figure
        tells."""
        read, bare, unit = self.bare_figures(speech, blocked, home_unit=home_unit)
        judged, moved = self._likely.judged(speech.words, read, bare, unit)
        standing, taken_back = self.corrected.part(speech.words, judged)
        return Heats(standing, taken_back, moved)

    def bare_figures(
        self, speech: Speech, blocked: frozenset[int], *, home_unit: str
    ) -> tuple[list[HeatSpan], list[BareFigure], str]:
        """The temperatures that are read by rule, all figures without a unit that may be one, and the unit that most
        are in."""
        cues = self._cues.everywhere(speech.words, speech.places)
        found = self._all(speech, blocked, cues, home_unit)
        told = unit_told(found, home_unit)
        if told != home_unit:
            other = self._all(speech, blocked, cues, told)
            fewer = strangers(other, told) <= strangers(found, home_unit)
            found, told = (other, told) if fewer else (found, home_unit)
        if is_settled(found, told):
            found = [self._in_unit(speech.words, cues, span, found, told) for span in found]
        return found, list(self._figures.bare(speech, blocked, found, partial(self._nearest, cues))), told

    def _all(
        self, speech: Speech, blocked: frozenset[int], cues: Sequence[Match[Mapping[str, str]]], home: str
    ) -> list[HeatSpan]:
        words = speech.words
        if _HUNDREDS_OWN in speech.places:
            words = tuple(word.removesuffix("'s") if word == _HUNDREDS_OWN else word for word in words)
        found: list[HeatSpan] = []
        done = 0
        openers = self._minus.union(self._numbers.openers(speech.places), self._gas.openers(speech.places))
        for place in speech.where(openers):
            if place < done:
                continue
            span = None
            if place not in blocked:
                last = found[-1] if found else None
                span = self._at(words, place, cues, home)
                if span is None or not (span.unit_said or span.unit in {home, "gas"}):
                    span = self._again(words, place, last, blocked) or span
                if span is None or span.of == "other":
                    span = self._once_more(words, place, found, span) or span
            if span is not None:
                found.append(span)
            figure = None if span else self._numbers.joined(words, place) or self._numbers.at(words, place)
            done = span.end if span else figure.end if figure and figure.form in {"joined", "cardinal"} else place
        return found

    def _in_unit(
        self,
        words: Sequence[str],
        cues: Sequence[Match[Mapping[str, str]]],
        span: HeatSpan,
        found: Sequence[HeatSpan],
        unit: str,
    ) -> HeatSpan:
        """A temperature that by sense is not in the unit of the others: one of a thing named nearby that is, where
        there is such a thing and it does not say another again."""
        if span.unit_said or span.unit in {unit, "gas"} or span.of == "fridge" or says_again(found, span):
            return span
        celsius = self._tables.celsius(span.value, unit) or 0.0
        for of in (span.of, *self._nearest(cues, span.start, span.end)):
            if of in _OWN_RANGE and self._tables.plausible(span.value, unit, of):
                return replace(span, unit=unit, celsius=celsius, of=of, rule=f"heat.{of}.in-unit")
        return span

    def _again(
        self, words: Sequence[str], place: int, last: HeatSpan | None, blocked: frozenset[int]
    ) -> HeatSpan | None:
        """`you want one sixty five, and this one says one seventy two`: another temperature of the same thing."""
        if last is None or place - last.end > _AGAIN:
            return None
        joined = self._figures.joined(words, place)
        told = self._is_reading(words, place, last) or (last.unit == "gas" and place - last.end <= _GAS_ON)
        told = told or self._is_for_another(words, place, last)
        figure = joined or (self._numbers.at(words, place) if told else None)
        least = _LEAST_BARE if last.of != "fridge" else 0
        if figure is None or figure.form not in {"cardinal", "digits", "joined"} or figure.low < least:
            return None
        if self._figures.counts_other(words, figure):
            return None
        if figure.end in blocked and self._numbers.at(words, figure.end) is None:
            return None
        unit = self._unit_again(figure.low, last)
        if unit is None:
            return None
        celsius = self._tables.celsius(figure.low, unit) or 0.0
        return HeatSpan(place, figure.end, figure.low, unit, False, celsius, last.of, f"heat.{last.of}.again")

    def _once_more(
        self, words: Sequence[str], place: int, found: Sequence[HeatSpan], span: HeatSpan | None
    ) -> HeatSpan | None:
        """`try again, one sixty eight`, `three fifty, the iron one, three fifty`: what was measured a while before."""
        if span is not None and not span.unit_said:
            lately = [heat for heat in found if place - heat.end <= _AGAIN and heat.value == span.value]
            same = next((heat for heat in lately if heat.unit == span.unit), None)
            if same is not None:
                return replace(span, of=same.of, rule=f"heat.{same.of}.again")
        eaten = next((heat for heat in reversed(found) if heat.of == "food"), None)
        figure = self._figures.joined(words, place) or self._numbers.at(words, place)
        if eaten is None or figure is None or place - eaten.end > _LATER or figure.end >= len(words):
            return None
        near = abs(figure.low - eaten.value) <= _NEAR and figure.form in {"cardinal", "digits", "joined"}
        told = words[place - 1] in _READ_LATER and words[figure.end] in _CLOSING
        told = told or (place - eaten.end <= _AGAIN and self._is_reading(words, place, eaten))
        if not near or not told or figure.low < _LEAST_BARE or self._figures.counts_other(words, figure):
            return None
        celsius = self._tables.celsius(figure.low, eaten.unit) or 0.0
        return HeatSpan(place, figure.end, figure.low, eaten.unit, False, celsius, "food", "heat.food.later")

    def _is_for_another(self, words: Sequence[str], place: int, last: HeatSpan) -> bool:
        """`two hundred, and a hundred and eighty if it blows`: the heat of another oven."""
        figure = self._numbers.at(words, place) if last.of == "oven" and place - last.end <= _CORRECTED else None
        return figure is not None and figure.low >= _BAKED_AT and words[figure.end : figure.end + 1] == ("if",)

    def _unit_again(self, value: Fraction, last: HeatSpan) -> str | None:
        """The unit of another temperature of the same thing: the one before, or the other where both are as hot. A
        fridge that is spoken of may be too warm."""
        kind = {"oven": "baking", "fridge": "warm fridge"}.get(last.of, last.of)
        units = ["C", "F"] if last.unit == "gas" else [last.unit]
        other = "C" if last.unit == "F" else "F"
        alike = abs((self._tables.celsius(value, other) or 0.0) - last.celsius) <= _AS_HOT
        units += [other] * (alike and last.of != "fridge")
        return next((unit for unit in units if self._tables.plausible(value, unit, kind)), None)

    def _is_reading(self, words: Sequence[str], place: int, last: HeatSpan) -> bool:
        """`it says`, of meat `this one's at` or `I've got`, and of a fridge `mine was at`."""
        if last.of == "fridge":
            return not _OWNED.isdisjoint(words[max(last.end, place - _MINE_BACK) : place])
        while place - 1 > last.end and words[place - 1] in _THINKING:
            place -= 1
        if words[place - 1] in self._reads or (last.of == "food" and words[place - 1] in _FOUND):
            return True
        if last.of == "food" and place - last.end <= _STANDS_REACH and words[place - 1] in _STANDS:
            return True
        be = words[place - 2 : place - 1]
        stands = bool(be) and (be[0] in _BE or be[0].endswith("'s"))
        return last.of == "food" and words[place - 1] == "at" and stands

    def _at(
        self, words: Sequence[str], place: int, cues: Sequence[Match[Mapping[str, str]]], home: str
    ) -> HeatSpan | None:
        gas = self._gas.longest(words, place)
        if gas is not None and gas.end < len(words):
            mark = self._numbers.at(words, gas.end)
            while mark is not None and mark.form == "range":
                mark = self._numbers.at(words[: mark.end - 1], gas.end)
            if mark is not None and mark.form in {"cardinal", "digits", "part"}:
                return self._gas_span(place, mark)
        minus = words[place] in self._minus and place + 1 < len(words)
        first = place + minus
        figure = self._figures.joined(words, first) or self._numbers.at(words, first)
        if figure is None or figure.form not in {"cardinal", "digits", "joined", "range"}:
            return None
        unit = self._units.longest(words, figure.end) if figure.end < len(words) else None
        said = unit.payload["unit"] if unit else self._unit_before(words, first)
        end = unit.end if unit else figure.end
        if (not said and self._figures.counts_other(words, figure)) or self._turns(words, unit):
            return None
        if not said and figure.form == "cardinal" and words[first - 1] in _AGED and figure.high < _OLDEST:
            return None
        value = -figure.high if minus else figure.high
        near = self._nearest(cues, place, end) or self._unnamed(words, end, figure)
        mild = _KEPT_WARM if near[:1] == ["oven"] else _MILD
        led = self._lead.union(self._reads)
        if not said and abs(value) < mild and led.isdisjoint(words[first - 1 : first]) and first > 0:
            return None
        if not said and near[:1] == ["oven"] and words[first - 1] in _SET_AT and value in _HUNDREDS:
            value *= 100
        if not said and value < _LEAST_BARE and not self._cold(words, place, end, value, near):
            return None
        if near[:1] == ["food"] and set(near) <= {"food", "other"} and self._is_fried(cues, place):
            return self._span(place, end, value, said, near[:1], home, fried=True)
        sure = near[:1] == ["oven"] and not self._ovens.isdisjoint(words[max(0, first - _BESIDE) : first])
        return self._span(place, end, value, said, near, home, sure=sure)

    def _unit_before(self, words: Sequence[str], place: int) -> str:
        """`if yours is in celsius, that's one ninety`: F or C where the unit is named right before; else empty."""
        for at in range(place - 1, max(0, place - _UNIT_BACK), -1):
            unit = self._units.longest(words, at) if len(words[at]) > 1 else None
            if unit is not None:
                return unit.payload["unit"] if unit.payload["unit"] in {"F", "C"} else ""
            if words[at] not in self._lead:
                break
        return ""

    def _unnamed(self, words: Sequence[str], end: int, figure: Figure) -> list[str]:
        """What is as hot where nothing was named: an oven for some time, or food that is done."""
        if self._takes_time(words, end, figure):
            return ["oven"]
        done = figure.form == "joined" and not self._done.isdisjoint(words[end : end + _DONE_ON])
        return ["food"] * done

    def _takes_time(self, words: Sequence[str], end: int, figure: Figure) -> bool:
        """`four hundred for twenty minutes`, said of no thing but hot enough to bake at."""
        length = self._numbers.at(words, end + 1) if words[end : end + 1] == ("for",) and end + 1 < len(words) else None
        hot = figure.form in {"cardinal", "joined"} and figure.low >= _BAKED_AT
        return hot and length is not None and not self._times.isdisjoint(words[length.end : length.end + 1])

    def _turns(self, words: Sequence[str], unit: Match[Mapping[str, str]] | None) -> bool:
        """`a forty five degree angle`."""
        return unit is not None and not self._angles.isdisjoint(words[unit.end : unit.end + 1])

    def _cold(self, words: Sequence[str], place: int, end: int, value: Fraction, near: Sequence[str]) -> bool:
        """`the fridge below five`, `five or under`, `the freezer at minus eighteen`: too small for all else."""
        if value <= 0:
            return near[:1] == ["freezer"]
        or_less = words[end : end + 1] == ("or",) and not self._less.isdisjoint(words[end + 1 : end + 2])
        return near[:1] == ["fridge"] and (or_less or words[place - 1] in self._limits)

    @staticmethod
    def _is_fried(cues: Sequence[Match[Mapping[str, str]]], place: int) -> bool:
        """Whether oil was spoken of a while before."""
        first = bisect_left(cues, place - _FRIED_BACK, key=lambda cue: cue.start)
        return any(
            cue.payload["of"] == "oil" for cue in cues[first : bisect_left(cues, place, key=lambda cue: cue.start)]
        )

    def _gas_span(self, place: int, mark: Figure) -> HeatSpan | None:
        celsius = self._tables.celsius(mark.low, "gas")
        if celsius is None:
            return None
        return HeatSpan(place, mark.end, mark.low, "gas", True, celsius, "oven", "heat.gas-mark")

    def _nearest(self, cues: Sequence[Match[Mapping[str, str]]], start: int, end: int) -> list[str]:
        """Kinds of thing named near the figure, the nearest first; a named thing before the bare word heat."""
        near: list[tuple[bool, int, bool, str]] = []
        first = bisect_left(cues, start - _WINDOW_BEFORE - _LONGEST_CUE, key=lambda cue: cue.start)
        for cue in cues[first : bisect_left(cues, end + _WINDOW_AFTER + 1, key=lambda cue: cue.start)]:
            gap = start - cue.end if cue.end <= start else cue.start - end
            limit = _WINDOW_BEFORE if cue.end <= start else _WINDOW_AFTER
            limit = 0 if cue.payload["id"] in _CLOCK else limit
            if 0 <= gap <= limit:
                gadget = cue.payload["of"] == _GADGET
                of = "food" if gadget else cue.payload["of"]
                far = _GADGET_GAP * (gadget or cue.payload["id"] in _TURNED)
                near.append((of == "other", gap + far, of != NOTHING, of))
        return [of for *_, of in sorted(near)]

    def _span(
        self,
        start: int,
        end: int,
        value: Fraction,
        said: str,
        near: list[str],
        home: str,
        *,
        fried: bool = False,
        sure: bool = False,
    ) -> HeatSpan | None:
        if near[:1] == [NOTHING]:
            return None
        if not said and not near:
            return None
        units = [said] if said in {"F", "C"} else [home, "C" if home == "F" else "F"]
        units.sort(key=lambda unit: value < 0 and unit != "C")
        meant = readings([kind for kind in near if kind != NOTHING], units, bool(said))
        if sure:
            meant = [*((unit, "baking", "oven") for unit in units), *meant]
        if fried:
            meant = [(unit, kind, kind) for unit in units for kind in ("food", "oil")]
        for unit, kind, of in meant:
            if self._tables.plausible(value, unit, kind) and not (kind == "baking" and off_the_dial(value, unit)):
                celsius = self._tables.celsius(value, unit) or 0.0
                rule = f"heat.{of}.{'said' if said in {'F', 'C'} else 'by-sense'}"
                return HeatSpan(start, end, value, unit, said in {"F", "C"}, celsius, of, rule)
        if not said:
            return None
        celsius = self._tables.celsius(value, units[0]) or 0.0
        return HeatSpan(start, end, value, units[0], said != "degrees", celsius, "other", "heat.said")
