"""Numbers that are servings only where a dish stands beside them: `the crumble six`, `four for the stew`."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from pipeline.hear.clauses import Clauses
from pipeline.hear.lexicon import Classes, load_phrases, phrase_class
from pipeline.hear.numbers import Figure
from pipeline.hear.portions import whole
from pipeline.hear.speech import Speech

_MOST_LINKS = 7
_MOST = 60
_AHEAD = 3
_SAME_BACK = 14
_FOR = phrase_class("enough-for")
_IS_FOR = phrase_class("is-for")
BARE, OPEN = "servings.tied.number-dish", "servings.tied.dish-number-dish"
_NEAR = "servings.tied.dish-number"
_VERB, _SAME = "servings.tied.dish-does-number", "servings.tied.the-same"


class _Said(Protocol):
    """What was said of servings before."""

    @property
    def end(self) -> int: ...
    @property
    def low(self) -> Fraction: ...
    @property
    def high(self) -> Fraction: ...
    @property
    def reckoned(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class Tied:
    """Words `start` to `end` (exclusive) hold a number; the dish that it is of is named in word `start - 1`, or where
    `ahead` is not 0, in one of so many words from `end` on. Where it is not `enough`, servings of another dish must be
    near."""

    start: int
    end: int
    low: Fraction
    high: Fraction
    ahead: int
    rule: str
    enough: bool


class TiedReader:
    """Compiled words that tie a number to the name of a dish."""

    def __init__(self, classes: Classes) -> None:
        self._links = frozenset(classes["servings-link"])
        self._leads = frozenset(classes["servings-lead"])
        self._follow = frozenset(classes["servings-follow"])
        self._verbs = frozenset(classes["servings-for-verb"])
        self._measures = frozenset(classes["not-people"])
        self._fillers = frozenset(classes["servings-filler"])
        self._helpings = frozenset(classes["served-in"]) | frozenset(classes["helping"])
        self._sizes = frozenset(classes["size"])
        self._ahead = load_phrases("servings_ahead.csv", ("id", "kind", "pattern"), classes)
        self._same = load_phrases("servings_same.csv", ("id", "kind", "pattern"), classes)

    def find(self, speech: Speech, clauses: Clauses, figures: Sequence[Figure], blocked: Set[int]) -> list[Tied]:
        """Every number that may be servings of a dish named beside it, in order."""
        found: list[Tied] = []
        for figure in figures:
            if figure.start in blocked or not whole(figure) or not 1 < figure.low <= figure.high <= _MOST:
                continue
            ahead = self._after(speech, clauses, figure)
            paired = self._before(speech, clauses, figure, counts=figure.end in blocked)
            found += ahead or [*paired, *self._bare(speech, clauses, figure)]
        return found

    def same(self, speech: Speech, said: Sequence[_Said]) -> list[Tied]:
        """`the soup feeds four and so does the bread`: numbers that are said again of another dish."""
        found: list[Tied] = []
        for match in self._same.everywhere(speech.words, speech.places):
            before = [one for one in said if match.start - _SAME_BACK <= one.end <= match.start and not one.reckoned]
            if before:
                ahead = _AHEAD if match.payload["kind"] == "ahead" else 0
                start = match.start if ahead else self._linked(speech.words, match.start)
                found.append(Tied(start, match.end, before[-1].low, before[-1].high, ahead, _SAME, True))
        return found

    def _after(self, speech: Speech, clauses: Clauses, figure: Figure) -> list[Tied]:
        """`four for the stew`, `six bowls of the soup`."""
        ahead = self._ahead.longest(speech.words, figure.end) if figure.end < len(speech) else None
        if ahead is None:
            return []
        kind = ahead.payload["kind"]
        if kind != "enough" and not self._is_led(speech.words, clauses, figure.start):
            return []
        return [Tied(figure.start, ahead.end, figure.low, figure.high, _AHEAD, ahead.payload["id"], kind != "near")]

    def _bare(self, speech: Speech, clauses: Clauses, figure: Figure) -> list[Tied]:
        """`sixteen bars`."""
        if figure.end == len(speech) or not self._is_led(speech.words, clauses, figure.start):
            return []
        end = figure.end + (speech.words[figure.end] in self._sizes)
        return [Tied(figure.start, end, figure.low, figure.high, 1, BARE, False)]

    def _before(self, speech: Speech, clauses: Clauses, figure: Figure, *, counts: bool) -> list[Tied]:
        """`the stew i'd say five`, `the crumble does six`, `that's soup for four`; whoever is spoken to then where it
        `counts` nothing: `the squash is for four, rose`."""
        words = speech.words
        start = self._linked(words, figure.start)
        meant = words[start : figure.start] in _IS_FOR and words[figure.end : figure.end + 1] != ("or",)
        if meant and not counts and not self._measures.intersection(words[figure.end : figure.end + 1]):
            return [Tied(start, figure.end, figure.low, figure.high, 0, _VERB, True)]
        if not self._ends(speech, clauses, figure):
            return [Tied(start, figure.end, figure.low, figure.high, 0, OPEN, False)]
        told = words[start : figure.start] in _FOR and start > 1 and words[start - 2] in self._leads
        verb = words[figure.start - 1] in self._verbs
        return [Tied(start, figure.end, figure.low, figure.high, 0, _VERB if verb else _NEAR, verb or told)]

    def _is_led(self, words: Sequence[str], clauses: Clauses, place: int) -> bool:
        while place > 1 and words[place - 1] in self._fillers:
            place -= 1
        place -= words[place - 1] == "it" and words[place - 2] in self._leads
        return clauses.clause(place)[0] == place or words[place - 1] in self._leads

    def _ends(self, speech: Speech, clauses: Clauses, figure: Figure) -> bool:
        """Whether nothing is counted by the figure: the words go on otherwise, or a verb of feeding leads."""
        if figure.end == len(speech) or clauses.clause(figure.end)[0] == figure.end:
            return True
        place = self._served(speech.words, figure.end)
        if place == len(speech) or clauses.clause(place)[0] == place:
            return True
        following = speech.words[place]
        if place > figure.end:
            return following in self._follow
        goes_on = following in self._follow or speech.words[figure.start - 1] in self._verbs
        return goes_on and following not in self._measures

    def _served(self, words: Sequence[str], place: int) -> int:
        """The word after what is counted: after `little dishes`, `bits`; `place` where nothing is."""
        end = place
        while end < len(words) and words[end] in self._sizes:
            end += 1
        return end + 1 if end < len(words) and words[end] in self._helpings else place

    def _linked(self, words: Sequence[str], place: int) -> int:
        """The first of the words such as `i'd say that'll do` before `place`."""
        start = place
        while place - start < _MOST_LINKS and start > 1 and words[start - 1] in self._links:
            start -= 1
        return start
