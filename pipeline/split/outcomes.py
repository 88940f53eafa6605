"""What is told of a thing when it is done: how many it feeds and how long it keeps. Of a dish that is nearly always
said, whatever it was called before: `the tagine feeds six`, `and the rusks a month in a jar`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.split.remembered import Remembered

_LONGEST_NAME = 4
_BACK = 9
_BARE = 3
_DAY = 20 * 3600


@dataclass(frozen=True, slots=True)
class Outcome:
    """Words `start` to `end` (exclusive) name what feeds so many or keeps so long; `the` tells of an article before."""

    start: int
    end: int
    the: bool


class OutcomeReader:
    """Compiled words of serving and keeping."""

    def __init__(self, classes: Classes) -> None:
        self._articles = frozenset(classes["outcome-article"])
        self._bounds = frozenset(classes["outcome-bound"])
        self._stop = frozenset(classes["finite-verb"]) | frozenset(classes["outcome-stop"]) | self._bounds
        self._stop |= frozenset(classes["pronoun"]) | frozenset(classes["preposition"])
        self._frames = load_phrases("outcome_frames.csv", ("id", "told", "pattern"), classes)
        self.find = Remembered(self._find)

    def _find(self, hearing: Hearing) -> tuple[Outcome, ...]:
        """What is named so, in order, each place once."""
        told = {outcome.end: outcome for outcome in (*self._counted(hearing), *self._framed(hearing))}
        return tuple(told[end] for end in sorted(told))

    def _counted(self, hearing: Hearing) -> Iterator[Outcome]:
        """The subjects of figures: `the soup [feeds four]`, `the rusks [ten days]`."""
        days = (span.start for span in hearing.times if span.seconds[0] >= _DAY)
        for place in (*(span.start for span in hearing.servings), *days):
            outcome = self._subject(hearing, place)
            if outcome is not None:
                yield outcome

    def _framed(self, hearing: Hearing) -> Iterator[Outcome]:
        """Those followed by a verb of serving or keeping: `the blinis don't keep`, some of them also in the midst of a
        clause (`pot pie keeps`), and not the cabbage of `and cabbage, don't keep it long`."""
        words = hearing.speech.words
        for match in self._frames.everywhere(words):
            outcome = self._named(hearing, self._back(hearing, match.start), match.start)
            several = match.payload["told"] != "several" or words[match.start - 1].endswith("s")
            if outcome is not None and outcome.end == match.start and (outcome.the or several):
                yield outcome
            elif match.payload["told"] == "bare" and words[match.start - 1] not in self._stop:
                yield Outcome(match.start - 1, match.start, False)

    def _subject(self, hearing: Hearing, place: int) -> Outcome | None:
        """The name that begins the clause before a figure, right before it where no article leads it."""
        words, first = hearing.speech.words, max(0, place - _BACK, self._sentence(hearing, place))
        begins = [at + 1 for at in range(place - 1, first - 1, -1) if words[at] in self._bounds] + [first]
        named = [outcome for at in begins if (outcome := self._named(hearing, at, place)) is not None]
        bare = (outcome for outcome in named[:1] if place - outcome.end <= _BARE)
        return next((outcome for outcome in named if outcome.the), next(bare, None))

    def _back(self, hearing: Hearing, end: int) -> int:
        """Where the article stands of a name that ends before word `end`."""
        first = max(self._sentence(hearing, end - 1), end - _LONGEST_NAME - 1)
        near = range(end - 1, first - 1, -1)
        opens = self._articles | self._bounds
        at = next((at for at in near if hearing.speech.words[at] in opens), first - 1)
        return at + (at < first or hearing.speech.words[at] in self._bounds)

    def _named(self, hearing: Hearing, start: int, limit: int) -> Outcome | None:
        """The name that begins at `start`, and ends at a verb or the like, before word `limit`."""
        words = hearing.speech.words
        first = start
        while first < limit and words[first] in self._articles:
            first += 1
        end = first
        while end < limit and words[end] not in self._stop and words[end].isalpha() | ("'" in words[end]):
            end += 1
        return Outcome(first, end, first > start) if first < end <= first + _LONGEST_NAME else None

    @staticmethod
    def _sentence(hearing: Hearing, place: int) -> int:
        return hearing.clauses.sentence(max(0, place))[0]
