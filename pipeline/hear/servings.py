"""How many a dish feeds, where the speaker says so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from pipeline.hear.clauses import Clauses
from pipeline.hear.lexicon import Classes, Row, load_phrases, load_rows, phrase_class
from pipeline.hear.numbers import Figure, NumberReader
from pipeline.hear.portions import ALONE, TOLD, PortionReader, Yielded, whole
from pipeline.hear.speech import Speech
from pipeline.hear.tied import TiedReader
from pipeline.phrases import Match

_PIECES, _COMPANY, _PLATES = range(1, 4)
_MAKING_REACH = 6
_MOST_FILLERS = 3
_ASKED_BACK = 5
_SCALED_BACK, _SCALED_ON = 6, 6
_GREETED_BACK = 2
_TOLD_BACK = 5
_FEWEST_DONE = 2
_MOST = 60
_AGAIN = 12
_SIGNED = 6
_FOR, _SIGNED_RULES = "servings.meal.for", "servings.signed."
_HOSTING = phrase_class("feed-or-serve")
_GROWN = phrase_class("grown-ups")
_REALLY = phrase_class("servings-anew")
_OF_THEM = phrase_class("of-them")
_TENS = 9
_OR_IT = ("or", "it")
_AND_ME = phrase_class("and-me")
_PEOPLE = phrase_class("people-of")
_NOT = "not"
_SINGLE = "one"
_AGAIN_RULES = "servings.again."


@dataclass(frozen=True, slots=True)
class ServingsSpan:
    """Words `start` to `end` (exclusive) say `low` to `high` servings. `strength` orders what is said for one dish:
    feeding four people is worth more than making four bowls. Where `ahead`, the dish is named in so many words from
    `end` on."""

    start: int
    end: int
    low: Fraction
    high: Fraction
    strength: int
    rule: str
    ahead: int = 0

    @property
    def reckoned(self) -> bool:
        """Whether the number was made of what was said, and not said."""
        return self.strength <= _COMPANY

    @property
    def company(self) -> bool:
        """Whether only those who are there were counted."""
        return self.strength == _COMPANY

    @property
    def plates(self) -> bool:
        """Whether plates or cups were counted, and nobody said that they are filled."""
        return self.strength == _PLATES

    @property
    def in_pieces(self) -> bool:
        """Whether the number is that of pieces, or was made of them."""
        return self.strength <= _PIECES


class ServingsReader:
    """Compiled words for servings."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        self._before = load_phrases("servings_before.csv", ("id", "basis", "pattern"), classes)
        self._after = load_phrases("servings_after.csv", ("id", "basis", "pattern"), classes)
        self._strengths = {
            row["basis"]: int(row["strength"]) for row in load_rows("servings_bases.csv", ("basis", "strength"))
        }
        self._measures = frozenset(classes["not-people"])
        self._makes = frozenset(classes["plating"])
        self._fillers = frozenset(classes["servings-filler"])
        self._follow = frozenset(classes["servings-follow"])
        self._condition = frozenset(classes["servings-condition"])
        self._elsewhere = frozenset(classes["not-served"])
        self._joining = frozenset(classes["subject-start"])
        self._scaling = frozenset(classes["servings-scaling"])
        self._vessels = frozenset(classes["served-with"])
        self._children = frozenset(classes["little-people"])
        self._past = frozenset(classes["servings-past"])
        self._greeting = frozenset(classes["not-served-before"])
        self._doing = frozenset(classes["servings-do"])
        self._doers = frozenset(classes["servings-doer"])
        self._hosts = frozenset(classes["servings-hosts"])
        self._asked = frozenset(classes["servings-asked"])
        self._portion_lead = frozenset(classes["portion-lead"])
        self._signs = frozenset(classes["meal-sign"])
        verbs = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._not_meal = frozenset(classes["meal-not"]).union(row["form"] for row in verbs if row["time_label"])
        self._portions = PortionReader(numbers, classes)
        self._tied = TiedReader(classes)

    def find(self, speech: Speech, clauses: Clauses, blocked: frozenset[int]) -> tuple[ServingsSpan, ...]:
        """Statements of servings in order. Words in `blocked` are said of foods, times and heat."""
        figures = self._numbers.everywhere(speech.words, speech.places)
        found = [
            self._span(made.start, made.end, _basis(made), made.portions, made.portions, made.rule)
            for made in self._portions.find(speech, figures, blocked)
        ]
        for match in self._before.everywhere(speech.words, speech.places):
            figure = self._figure_after(speech.words, match.end)
            if figure is not None and self._counts_people(speech, clauses, match, figure, blocked):
                found.append(
                    self._span(
                        match.start, figure.end, match.payload["basis"], figure.low, figure.high, match.payload["id"]
                    )
                )
        for figure in figures:
            after = self._after.longest(speech.words, figure.end) if figure.end < len(speech) else None
            if after is None or not whole(figure) or figure.start in blocked:
                continue
            if self._meant(speech, clauses, figure, after):
                row = after.payload
                found.append(self._span(figure.start, figure.end, row["basis"], figure.low, figure.high, row["id"]))
        found = [
            self._stretched(speech.words, self._put_right(speech.words, span))
            for span in found
            if not self._is_scaled(speech, clauses, span)
        ]
        found.sort(key=lambda span: span.start)
        again = (at for at, span in enumerate(found) if span.rule.startswith(_AGAIN_RULES))
        dropped = {at for at in again if not _follows(found[:at], found[at])}
        dropped |= {at for at, span in enumerate(found) if _is_joke(speech.words, found[:at], span)}
        return tuple(span for at, span in enumerate(found) if at not in dropped)

    def _is_scaled(self, speech: Speech, clauses: Clauses, span: ServingsSpan) -> bool:
        """`for eight people you can double it`: servings of another amount than today's."""
        first, end = clauses.sentence(span.start)
        nearby = speech.words[max(first, span.start - _SCALED_BACK) : min(end, span.end + _SCALED_ON)]
        return not self._scaling.isdisjoint(nearby)

    def tied(
        self, speech: Speech, clauses: Clauses, blocked: frozenset[int], found: Sequence[ServingsSpan]
    ) -> tuple[ServingsSpan, ...]:
        """Further numbers in order, which are servings only of a dish that is named beside them."""
        said = {place for span in found if not span.reckoned for place in range(span.start, span.end)}
        figures = self._numbers.everywhere(speech.words, speech.places)
        return tuple(
            replace(
                self._span(tied.start, tied.end, "portions" if tied.enough else "tied", tied.low, tied.high, tied.rule),
                ahead=tied.ahead,
            )
            for tied in (*self._tied.find(speech, clauses, figures, blocked | said), *self._tied.same(speech, found))
        )

    def _span(self, start: int, end: int, basis: str, low: Fraction, high: Fraction, rule: str) -> ServingsSpan:
        return ServingsSpan(start, end, low, high, self._strengths[basis], rule)

    def _put_right(self, words: Sequence[str], span: ServingsSpan) -> ServingsSpan:
        """`they say it serves six but it's eight`: the second."""
        place = span.end + 1
        if words[span.end : place] != ("but",) or words[place : place + 1] not in _REALLY:
            return span
        figure = self._figure_after(words, place + 1)
        following = words[figure.end : figure.end + 1] if figure is not None else ()
        if figure is None or not whole(figure) or not self._measures.isdisjoint(following):
            return span
        return replace(span, end=figure.end, low=figure.low, high=figure.high)

    def _stretched(self, words: Sequence[str], span: ServingsSpan) -> ServingsSpan:
        """`four people or five if they're small`, `four five`: the second is the most; `two adults and three
        children` are five."""
        next_up = self._numbers.at(words, span.end) if span.end < len(words) else None
        if next_up is not None and next_up.form != "article" and next_up.low == span.high + 1:
            return replace(span, end=next_up.end, high=next_up.high)
        place = span.end + (words[span.end : span.end + 1] in _PEOPLE)
        place += words[place : place + 1] == ("us",)
        place += words[place : place + 1] in _GROWN
        if words[place : place + 2] in _AND_ME:
            return replace(span, end=place + 2, low=span.low + 1, high=span.high + 1)
        if words[place : place + 1] not in {("or",), ("and",)} or place + 1 >= len(words):
            return span
        figure = self._figure_after(words, place + 1)
        if words[place] == "and":
            counts = (
                figure is not None
                and whole(figure)
                and not self._children.isdisjoint(words[figure.end : figure.end + 1])
            )
            if figure is None or not counts:
                return span
            return replace(span, end=figure.end, low=span.low + figure.low, high=span.high + figure.high)
        if figure is None or not span.high < figure.low <= 2 * span.high or not whole(figure):
            return span
        following = words[figure.end : figure.end + 1]
        ends = not following or following[0] in self._follow | self._condition or following[0] == "if"
        return replace(span, end=figure.end, high=figure.high) if ends else span

    def _figure_after(self, words: Sequence[str], place: int) -> Figure | None:
        """The figure after words such as `about` or `the same`."""
        for start in range(place, min(place + _MOST_FILLERS, len(words) - 1) + 1):
            figure = self._numbers.at(words, start) if start < len(words) else None
            if figure is not None and figure.form != "article":
                return figure
            if start < len(words) and words[start] not in self._fillers:
                return None
        return None

    def _counts_people(
        self, speech: Speech, clauses: Clauses, match: Match[Row], figure: Figure, blocked: frozenset[int]
    ) -> bool:
        following = speech.words[figure.end] if figure.end < len(speech) else ""
        paused = figure.end < len(speech) and (speech.pause_before[figure.end] or speech.turn_before[figure.end])
        if figure.start in blocked or (figure.end in blocked and not paused) or not whole(figure):
            return False
        if (following in self._measures and not paused) or self._goes_on(speech.words, figure):
            return False
        lead = speech.words[max(0, match.start - _ASKED_BACK) : match.start]
        verb = speech.words[match.start : match.end]
        if figure.high > _MOST or following in self._condition or self._is_other(verb, lead, figure):
            return False
        if speech.words[figure.end : figure.end + 2] in _OF_THEM and not self._doing.isdisjoint(verb):
            return False
        if match.payload["basis"] == "company" and following in self._elsewhere:
            return False
        if match.payload["basis"] == "signed" and not self._is_signed(speech, clauses, match):
            return False
        if match.payload["basis"] not in {"ends", "signed"} and self._asked.isdisjoint(lead):
            return True
        return following in self._follow or not following or clauses.clause(figure.end)[0] == figure.end

    def _goes_on(self, words: Sequence[str], figure: Figure) -> bool:
        """`you go to one sixty`: no number of people, whose words would be whole."""
        after = (
            self._numbers.at(words, figure.end) if words[figure.start] == _SINGLE and figure.end < len(words) else None
        )
        return after is not None and after.form != "article" and after.low > _TENS

    def _is_signed(self, speech: Speech, clauses: Clauses, match: Match[Row]) -> bool:
        """`that's a good feed for six`, not `leave the dinner for six`: a meal or an amount of it, and no cooking; `in
        the small bowls it comes to five`."""
        end = match.start
        if match.payload["id"].startswith(_SIGNED_RULES):
            return not self._vessels.isdisjoint(speech.words[max(0, end - _SIGNED) : end])
        lead = speech.words[max(clauses.clause(end - 1)[0], end - _SIGNED) : end]
        return not self._signs.isdisjoint(lead) and self._not_meal.isdisjoint(lead)

    def _is_other(self, verb: Sequence[str], lead: Sequence[str], figure: Figure) -> bool:
        """`i do eighty`, `we serve forty at the hall`: what somebody does; `a serving one`: a portion."""
        if not self._doing.isdisjoint(verb):
            return figure.low < _FEWEST_DONE or not self._doers.isdisjoint((*lead[-2:], verb[0]))
        if verb in _HOSTING and not self._hosts.isdisjoint(lead[-1:]):
            return True
        return bool(lead) and verb == ("serving",) and lead[-1] in self._portion_lead

    def _meant(self, speech: Speech, clauses: Clauses, figure: Figure, after: Match[Row]) -> bool:
        """Portions are more than one; plates and mugs count only where the dish makes them."""
        basis = after.payload["basis"]
        following = speech.words[after.end] if after.end < len(speech) else ""
        if basis in {"portions", "company"}:
            lead = speech.words[max(0, figure.start - _TOLD_BACK) : figure.start]
            begun = next((at for at in reversed(range(len(lead))) if lead[at] in self._joining), 0)
            told = (
                lead[-1:] == (_NOT,)
                or not self._greeting.isdisjoint(lead[-_GREETED_BACK:])
                or not self._past.isdisjoint(lead[begun:])
            )
            return figure.low > 1 and following not in self._elsewhere and not told
        if basis == "vessels" and following == "of":
            return False
        if clauses.sentence(figure.start) == (figure.start, after.end):
            return True
        lead = speech.words[max(0, figure.start - _MAKING_REACH) : figure.start]
        return not self._makes.isdisjoint(lead)


def _follows(found: Sequence[ServingsSpan], span: ServingsSpan) -> bool:
    """Whether servings were said just before: `the soup feeds four and the salad also four`."""
    return bool(found) and span.start - found[-1].end <= _AGAIN


def _is_joke(words: Sequence[str], found: Sequence[ServingsSpan], span: ServingsSpan) -> bool:
    """`it feeds four, or it feeds one of my brothers`: the second is said for fun."""
    just = any(0 < span.start - before.end <= len(_OR_IT) for before in found)
    return just and any(words[at : at + len(_OR_IT)] == _OR_IT for at in (span.start - 1, span.start - len(_OR_IT)))


def _basis(made: Yielded) -> str:
    """Pieces of which nobody says how many are a portion are worth least."""
    return "yield" if made.rule in {ALONE, TOLD} else "pieces"
