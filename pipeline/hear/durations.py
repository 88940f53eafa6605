"""Spoken lengths of time: how long a step takes, is said to have taken, or how long a dish keeps."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass
from fractions import Fraction

from pipeline.hear.clauses import Clauses
from pipeline.hear.lengths import Length, LengthReader
from pipeline.hear.lexicon import Classes, load_phrases, load_rows, phrase_class, word_class
from pipeline.hear.numbers import Figure, NumberReader
from pipeline.hear.speech import Speech

_BACK = 12
_ON = 5
_MONTH = 2592000
_SHORTEST_SECONDS = 3
_MOST_MINUTES = 100
_HOUR = 3600
_DAY = Fraction(86400)
_AGAIN = 40
_CORRECTED = 8
_NEXT_DISH = 5
_PLACED = 7
_VERB_BACK = 8
_BEGUN_BACK = 4
_PAST_HOUR = 5
_FEWEST_GIVEN = 2
_LIVED_BACK = 6
_LED_BACK = 5
_THE_PAST = phrase_class("the-past")
_PER_WORD = word_class("per-word")
_NEXT_DISH_LEAD = word_class("next-dish-lead")
_PASSED = frozenset({"elapsed", "passed"})
_TO_OR_PAST = frozenset({"to", "past"})
_LONG_TIME = word_class("long-time")
_FIGURE_ARTICLE = word_class("figure-article")


@dataclass(frozen=True, slots=True)
class TimeSpan:
    """Words `start` to `end` (exclusive) say a duration of `low` to `high` `unit`s; `kind` is planned or elapsed."""

    start: int
    end: int
    low: Fraction
    high: Fraction
    unit: str
    seconds: tuple[Fraction, Fraction]
    kind: str
    rule: str


class DurationReader:
    """Compiled words for time."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        self._lengths = LengthReader(numbers, classes)
        self._units = self._lengths.units
        self._openers = self._units.keys() | {"overnight", "all"}
        self._plural_days = frozenset(classes["plural-days"])
        self._scales = {unit: scale for word, (unit, scale) in sorted(self._units.items()) if word == unit}
        self._cues = load_phrases("time_cues.csv", ("id", "kind", "pattern"), classes)
        self._after = load_phrases("time_after.csv", ("id", "kind", "pattern"), classes)
        self._anew = frozenset(classes["time-anew"])
        rows = load_rows("heat_units.csv", ("pattern", "unit"))
        self._degrees = frozenset(row["pattern"] for row in rows)
        self._often = frozenset(classes["often"]) | self._plural_days
        self._begun = frozenset(classes["begun"])
        self._living = frozenset(classes["living"])
        self._not_step = frozenset(classes["not-step-after"])
        self._not_time = frozenset(classes["not-time-after"])
        self._not_day = frozenset(classes["not-day-after"])
        self._follow = frozenset(classes["time-follow"])
        measures = load_rows("units.csv", ("word", "unit", "kind"))
        self._measures = frozenset(row["word"] for row in measures) - self._units.keys()
        verbs = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._cooked = frozenset(row["form"] for row in verbs if row["time_label"])
        self._keeping = frozenset(classes["kept-word"])
        kept = {row["form"] for row in verbs if row["time_label"] in {"store", "freeze", "ferment", "pickle"}}
        self._kept = frozenset(classes["kept-in"]) | kept
        self._stored = frozenset(classes["stored"])
        self._work_of = frozenset(classes["time-of-work"])
        self._corrections = load_phrases("correction_words.csv", ("id", "pattern"), classes)

    def find(self, speech: Speech, clauses: Clauses, blocked: frozenset[int]) -> tuple[TimeSpan, ...]:
        """Durations from left to right. What is no length of a step (`hang on a second`) and what only repeats an
        earlier figure (`i said six minutes`) is left out."""
        words = speech.words
        found: list[TimeSpan] = []
        done = 0
        for place in speech.where(self._numbers.openers(speech.places) | self._openers):
            if place < done or place in blocked:
                continue
            figure = self._numbers.at(words, place)
            length = self._lengths.at(words, place, figure)
            if length is None and figure is not None and figure.end not in blocked:
                length = self._without_unit(words, figure, found, clauses)
            if length is None:
                continue
            span = self._judged(speech, clauses, place, length, found)
            if span is not None:
                echoed = found and found[-1].end == place and self._lengths.is_echoed(words, length)
                if found and (echoed or self._corrects(words, found[-1], place)):
                    found.pop()
                if not (found and self._repeats(words, found[-1], span)):
                    found.append(span)
            done = length.end
        return tuple(found)

    def _corrects(self, words: Sequence[str], last: TimeSpan, place: int) -> bool:
        """`twenty minutes, no, thirty`: the second is said in place of the first."""
        ended = self._after.longest(words, last.end) if last.end < len(words) else None
        if place - last.end > _CORRECTED or (ended is not None and ended.payload["kind"] == "ended"):
            return False
        return any(
            0 <= place - match.end <= 1
            for start in range(last.end, place)
            for match in self._corrections.at(words, start)
        )

    def _repeats(self, words: Sequence[str], last: TimeSpan, span: TimeSpan) -> bool:
        """`it took twenty in the end. twenty minutes, yes`: the same length said again at once."""
        between = words[last.end : span.start]
        return last.seconds == span.seconds and len(between) <= _CORRECTED and self._anew.isdisjoint(between)

    def _without_unit(
        self, words: Sequence[str], figure: Figure, found: Sequence[TimeSpan], clauses: Clauses
    ) -> Length | None:
        """A length of which the unit is known, or was said before."""
        if figure.form not in {"cardinal", "digits", "range"}:
            return None
        place = figure.start
        kinds = self._kinds_beside(words, place)
        length = self._minutes(words, figure, kinds, clauses)
        return self._bare(words, figure, kinds, found, clauses) if length is None and found else length

    def _kinds_beside(self, words: Sequence[str], place: int) -> set[str]:
        """Kinds of the cues that end right before a figure."""
        return {
            match.payload["kind"]
            for start in range(max(0, place - _LED_BACK), place)
            for match in self._cues.at(words, start)
            if match.end == place
        }

    def _minutes(self, words: Sequence[str], figure: Figure, kinds: Set[str], clauses: Clauses) -> Length | None:
        """`give it five`, of which everybody knows that they are minutes."""
        if figure.high < _FEWEST_GIVEN or "minutes" not in kinds or not self._ends(words, figure.end, clauses):
            return None
        return Length(figure.end, figure.low, figure.high, "minute", self._scales["minute"], "time.unit-known")

    def _bare(
        self, words: Sequence[str], figure: Figure, kinds: set[str], found: Sequence[TimeSpan], clauses: Clauses
    ) -> Length | None:
        """A length without its unit after a time was spoken of: `it's been nine`, `ten more`, `no, thirty`; `kinds`
        are those of the cues right before it."""
        place, last = figure.start, found[-1]
        days = last.unit == "day" and place - last.end <= _AGAIN
        if days and ("bare-days" in kinds or self._is_of_next_dish(words, last, figure, clauses)):
            return Length(figure.end, figure.low, figure.high, "day", self._scales["day"], "time.unit-before")
        hot = figure.high >= _MOST_MINUTES or not self._degrees.isdisjoint(words[figure.end : figure.end + 1])
        if hot or words[place - 1] == "of" or (figure.high == 1 and not self._is_one_more(words, figure)):
            return None
        after = self._after.longest(words, figure.end) if figure.end < len(words) else None
        if after is not None and after.payload["kind"] == "bare" and self._ends(words, after.end, clauses):
            kinds.add("again")
        if after is not None and after.payload["kind"] == "placed" and place - last.end <= _PLACED:
            kinds.add("again")
        more = words[figure.end : figure.end + 1] == ("more",)
        end = figure.end + more
        late = "late" in kinds and last.kind == "elapsed"
        if not (_LONG_TIME | self._measures).isdisjoint(words[end : end + 1]):
            return None
        again = more or late or "again" in kinds or self._corrects(words, last, place)
        again = again or ("as-long" in kinds and _is_about_as_long(last, figure))
        end_of_it = after.end if after is not None else end
        between = figure.form == "range" and "again" in kinds and self._ends(words, end, clauses)
        if (
            "bare" not in kinds
            and not between
            and not (again and self._stands_alone(words, last, figure, end_of_it, clauses))
        ):
            return None
        unit = "minute" if any(span.unit == "minute" for span in found) else last.unit
        in_hours = last.unit == "hour" and place - last.end <= _BACK and figure.high < _PAST_HOUR and not more
        unit = last.unit if in_hours or self._corrects(words, last, place) else unit
        unit = "minute" if unit == "hour" and figure.low >= _PAST_HOUR > last.high else unit
        return Length(end, figure.low, figure.high, unit, self._scales[unit], "time.unit-before")

    def _is_one_more(self, words: Sequence[str], figure: Figure) -> bool:
        """`one more`, but not `leave that one`, `another one` or `one sixty seven`."""
        return words[figure.end : figure.end + 1] == ("more",) and figure.form == "cardinal"

    def _is_of_next_dish(self, words: Sequence[str], last: TimeSpan, figure: Figure, clauses: Clauses) -> bool:
        """Whether so many days are said of another dish, and no figure of something else."""
        kept = not self._kept.isdisjoint(words[figure.end : figure.end + 1])
        return self._is_next_dish(words, last, figure.start) and (kept or self._ends(words, figure.end, clauses))

    def _is_next_dish(self, words: Sequence[str], last: TimeSpan, place: int) -> bool:
        """`two days in the fridge and the crumble three`, `and crumble three`, `the crumble three`."""
        between = words[last.end : place]
        at = next((at for at, word in enumerate(between) if word in {"and", "but"}), max(0, len(between) - 2))
        where = between[:at]
        kept = not where or (len(where) <= _NEXT_DISH and not self._kept.union(self._stored).isdisjoint(where))
        led = not _NEXT_DISH_LEAD.isdisjoint(between[at : at + 1])
        return kept and led and 1 < len(between) - at <= _NEXT_DISH

    def _stands_alone(self, words: Sequence[str], last: TimeSpan, figure: Figure, end: int, clauses: Clauses) -> bool:
        """Whether nothing is counted by the figure, and a time was the last that was said in figures."""
        if figure.start - last.end > _AGAIN or last.unit == "day":
            return False
        between = (self._numbers.at(words, place) for place in range(last.end, figure.start))
        if any(other is not None and other.form != "article" and other.low > 1 for other in between):
            return False
        if self._ends(words, end, clauses):
            return True
        second = self._numbers.at(words, end)
        return second is not None and self._measures.isdisjoint(words[second.end : second.end + 1])

    def _ends(self, words: Sequence[str], end: int, clauses: Clauses) -> bool:
        """Whether nothing that is counted follows."""
        return end >= len(words) or words[end] in self._follow or clauses.clause(end)[0] == end

    def _judged(
        self, speech: Speech, clauses: Clauses, start: int, length: Length, told: Sequence[TimeSpan]
    ) -> TimeSpan | None:
        words = speech.words
        seconds = (length.low * length.scale, length.high * length.scale)
        following = words[length.end] if length.end < len(words) else ""
        after = self._after.longest(words, length.end) if following else None
        said_after = after.payload["kind"] if after is not None else ""
        if self._is_no_step(words, start, length, said_after):
            return None
        kinds = self._kinds_before(words, max(0, clauses.sentence(start)[0], start - _BACK), start)
        if not _PASSED.isdisjoint(self._kinds_beside(words, start)):
            kinds["elapsed"] = start
        done = (self._cooked | self._keeping).intersection(words[max(0, start - _VERB_BACK) : start])
        idle = kinds.get("idle") == start and not done
        stalling = length.scale < _HOUR and self._is_stalling(words, start, length.end)
        aside = kinds.get("aside") == start or idle or stalling
        if (aside and length.low == 1) or (kinds.get("every") == start and length.scale < _HOUR / 2):
            return None
        denied = kinds.get("denied", -9) >= start - 1 and words[start - 1] != "yet"
        if kinds.get("restated", -9) >= start - 2 or denied:
            return None
        said = kinds.get("said", -9) >= start - 2
        if said and any(span.seconds[0] <= seconds[0] and seconds[1] <= span.seconds[1] for span in told):
            return None
        if self._is_lived(words, clauses, start, length.end):
            return None
        elapsed = said_after in {"elapsed", "ended", "ago"} or kinds.get("elapsed", -1) > kinds.get("planned", -1)
        factor = length.scale / _DAY if length.unit == "day" else 1
        return TimeSpan(
            start=start,
            end=length.end,
            low=length.low * factor,
            high=length.high * factor,
            unit=length.unit,
            seconds=seconds,
            kind="elapsed" if elapsed else "planned",
            rule=length.rule,
        )

    def _is_no_step(self, words: Sequence[str], start: int, length: Length, said_after: str) -> bool:
        """Whether the words round a length tell that it is of life or too short or long for a step."""
        following = words[length.end] if length.end < len(words) else ""
        if said_after == "lost" or (said_after == "ago" and not self._is_begun(words, start)):
            return True
        if following in _TO_OR_PAST and words[start - 1 : start] == ("it's",):
            return True
        if following == "of" and self._is_of_life(words, length.end + 1):
            return True
        if following in self._not_time or (following in self._not_step and not words[length.end - 1].endswith("s")):
            return True
        if length.unit == "second" and length.high < _SHORTEST_SECONDS:
            return True
        if length.unit == "day" and (following in self._not_day or self._is_rate(words, start)):
            return True
        kept = words[max(0, start - _BACK) : length.end + _ON]
        return length.scale >= _MONTH and self._kept.isdisjoint(kept)

    def _is_stalling(self, words: Sequence[str], start: int, end: int) -> bool:
        """`one minute, one minute`: asks somebody to wait."""
        said, many = tuple(words[start:end]), end - start
        return said in {tuple(words[end : end + many]), tuple(words[max(0, start - many) : start])}

    def _is_of_life(self, words: Sequence[str], place: int) -> bool:
        """`twelve hours of meetings`, but not `ten minutes of simmering` or `of that`."""
        word = words[place] if place < len(words) else ""
        return word not in self._work_of and word not in self._cooked

    def _is_lived(self, words: Sequence[str], clauses: Clauses, start: int, end: int) -> bool:
        """`we drove three hours`, `four hours three times a week`: no step of a recipe."""
        first, last = max(clauses.clause(start)[0], start - _LIVED_BACK), clauses.clause(end - 1)[1]
        if words[start - 1 : start] == ("or",):
            first = start
        rate = any(
            word in self._often and words[at + 1 : at + 2] == ("a",)
            for at, word in enumerate(words[end - 1 : last], end - 1)
        )
        return rate or not self._living.isdisjoint(words[first:start])

    def _is_rate(self, words: Sequence[str], start: int) -> bool:
        """`three days a week`, `two nights a month`, `the last three weeks`: how often, or since when."""
        if words[max(0, start - 2) : start] in _THE_PAST:
            return True
        return start > 0 and words[start] in _PER_WORD and words[start - 1] in self._often

    def _is_begun(self, words: Sequence[str], start: int) -> bool:
        """`these went in fifteen minutes ago`."""
        return not self._begun.isdisjoint(words[max(0, start - _BEGUN_BACK) : start])

    def _kinds_before(self, words: Sequence[str], first: int, start: int) -> dict[str, int]:
        """Kind of cue -> the latest end of one that stands between `first` and the figure at `start`."""
        kinds: dict[str, int] = {}
        for place in range(first, start):
            for match in self._cues.at(words, place):
                ends_at_figure = match.end == start + 1 and words[start] in _FIGURE_ARTICLE
                if match.end <= start or ends_at_figure:
                    kinds[match.payload["kind"]] = max(kinds.get(match.payload["kind"], -1), min(match.end, start))
        return kinds


def _is_about_as_long(last: TimeSpan, figure: Figure) -> bool:
    """`ten minutes, and we've done fifteen`: whether a figure may be the same time as it turned out."""
    return last.low <= 2 * figure.low and figure.high <= 2 * last.high and (last.low, last.high) != figure[2:4]
