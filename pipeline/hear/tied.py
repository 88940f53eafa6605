"""Numbers that are servings only where a dish stands beside them: `the crumble six`, `four for the stew`."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass
from fractions import Fraction

from pipeline.hear.clauses import Clauses
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.hear.numbers import Figure
from pipeline.hear.portions import whole
from pipeline.hear.speech import Speech

_MOST_LINKS = 7
_MOST = 60
_BEFORE, _VERB = "servings.tied.dish-number", "servings.tied.dish-does-number"
_AFTER, _ENOUGH = "servings.tied.number-dish", "servings.tied.people-dish"


@dataclass(frozen=True, slots=True)
class Tied:
    """Words `start` to `end` (exclusive) hold a number; the dish that it is of is named in word `start - 1`, or where
    `ahead`, from `end` on."""

    start: int
    end: int
    low: Fraction
    high: Fraction
    ahead: bool
    rule: str

    @property
    def enough(self) -> bool:
        """Whether nothing else needs to tell that servings are counted."""
        return self.rule != _BEFORE and self.rule != _AFTER


class TiedReader:
    """Compiled words that tie a number to the name of a dish."""

    def __init__(self, classes: Classes) -> None:
        self._links = frozenset(classes["servings-link"])
        self._leads = frozenset(classes["servings-lead"])
        self._follow = frozenset(classes["servings-follow"])
        self._verbs = frozenset(classes["servings-for-verb"])
        self._measures = frozenset(classes["not-people"])
        self._ahead = load_phrases("servings_ahead.csv", ("id", "kind", "pattern"), classes)

    def find(self, speech: Speech, clauses: Clauses, figures: Sequence[Figure], blocked: Set[int]) -> list[Tied]:
        """Every number that may be servings of a dish named beside it, in order."""
        found: list[Tied] = []
        for figure in figures:
            if figure.start in blocked or not whole(figure) or not 1 < figure.low <= figure.high <= _MOST:
                continue
            ahead = self._ahead.longest(speech.words, figure.end) if figure.end < len(speech) else None
            if ahead is not None and ahead.payload["kind"] == "enough":
                found.append(Tied(figure.start, ahead.end, figure.low, figure.high, True, _ENOUGH))
            elif ahead is not None and self._is_led(speech.words, clauses, figure.start):
                found.append(Tied(figure.start, ahead.end, figure.low, figure.high, True, _AFTER))
            elif self._ends(speech, clauses, figure):
                start = self._linked(speech.words, figure.start)
                rule = _VERB if speech.words[figure.start - 1] in self._verbs else _BEFORE
                found.append(Tied(start, figure.end, figure.low, figure.high, False, rule))
        return found

    def _is_led(self, words: Sequence[str], clauses: Clauses, place: int) -> bool:
        return clauses.clause(place)[0] == place or words[place - 1] in self._leads

    def _ends(self, speech: Speech, clauses: Clauses, figure: Figure) -> bool:
        """Whether nothing is counted by the figure: the words go on otherwise, or a verb of feeding leads."""
        if figure.end == len(speech) or clauses.clause(figure.end)[0] == figure.end:
            return True
        following = speech.words[figure.end]
        goes_on = following in self._follow or speech.words[figure.start - 1] in self._verbs
        return goes_on and following not in self._measures

    def _linked(self, words: Sequence[str], place: int) -> int:
        """The first of the words such as `i'd say that'll do` before `place`."""
        start = place
        while place - start < _MOST_LINKS and start > 1 and words[start - 1] in self._links:
            start -= 1
        return start
