"""A transcript as one run of words, with what speech has instead of full stops: pauses, turns and lines."""

from __future__ import annotations

import re
from collections.abc import Mapping, Set
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise

from pipeline.phrases import Places, places_of
from pipeline.read.transcript import Line, Transcript
from pipeline.record import Evidence
from pipeline.resources import models_path, read_rows

_WORD = re.compile(r"\d+(?:[.,]\d+)*|[½⅓⅔¼¾⅕⅛⅜⅝⅞]|[^\W\d_]+(?:['’][^\W\d_]+)*|[°%/+]|[.?!;:,\-–—]", re.UNICODE)
_STOPS = frozenset(".?!;:")
_MARKS = _STOPS | frozenset(",-–—")


@dataclass(frozen=True, slots=True)
class Speech:
    """Parallel tuples, one item a word: the word in lower case and in full, and as written, the line it stands in, and
    whether a full stop or a comma follows it, a new speaker begins with it, or a pause of a second comes before it.

    `places` tells where each word stands, so that what turns on a few words need not go through all."""

    transcript: Transcript
    words: tuple[str, ...]
    raw: tuple[str, ...]
    line: tuple[int, ...]
    stop_after: tuple[bool, ...]
    comma_after: tuple[bool, ...]
    turn_before: tuple[bool, ...]
    pause_before: tuple[bool, ...]
    places: Places

    def __len__(self) -> int:
        return len(self.words)

    def line_at(self, word: int) -> Line:
        """The transcript line in which a word stands."""
        return self.transcript.lines[self.line[word]]

    def where(self, words: Set[str]) -> list[int]:
        """The places of some words, in order."""
        return sorted([place for word in words & self.places.keys() for place in self.places[word]])

    def text(self, start: int, end: int) -> str:
        """The speaker's own words `start` to `end` (exclusive)."""
        return " ".join(self.raw[start:end])

    def evidence(self, start: int, end: int, rule: str) -> Evidence:
        """Words `start` to `end` (exclusive) with the times of the lines in which they begin and end."""
        first, last = self.line_at(start), self.line_at(max(start, end - 1))
        return Evidence(start=first.start, end=last.end, words=self.text(start, end), rule=rule)


@cache
def _full() -> Mapping[str, str]:
    """Short forms that speech writes down as words (`fourteen of 'em`) -> the word meant."""
    return {row["word"]: row["full"] for _, row in read_rows(models_path("short_forms.csv"), ("word", "full"))}


@dataclass(frozen=True, slots=True)
class _Spoken:
    """The words heard so far, and the places of those that something goes before or after."""

    words: list[str] = field(default_factory=list)
    raw: list[str] = field(default_factory=list)
    line: list[int] = field(default_factory=list)
    stops: set[int] = field(default_factory=set)
    commas: set[int] = field(default_factory=set)
    turns: set[int] = field(default_factory=set)
    pauses: set[int] = field(default_factory=set)

    def take(self, line: Line, number: int) -> None:
        """Add the words of a line."""
        first, full = len(self.words), _full()
        for match in _WORD.finditer(line.text):
            text = match.group()
            if text in _MARKS:
                if text in _STOPS or not _inside_number(line.text, match.start()):
                    self._close(text, first)
                    continue
                word = "to"
            else:
                word = text.lower().replace("’", "'")
            self.words.append(full.get(word, word))
            self.raw.append(text)
        self.line.extend([number] * (len(self.words) - first))

    def _close(self, mark: str, first: int) -> None:
        """A full stop or a comma counts after a word of the same line, which begins at word `first`."""
        if len(self.words) > first and (mark in _STOPS or mark == ","):
            (self.stops if mark in _STOPS else self.commas).add(len(self.words) - 1)

    def flags(self, places: Set[int]) -> tuple[bool, ...]:
        """For every word whether its place is one of `places`."""
        flags = [False] * len(self.words)
        for place in places:
            flags[place] = True
        return tuple(flags)


def _inside_number(text: str, place: int) -> bool:
    return text[place - 1 : place].isdigit() and text[place + 1 : place + 2].isdigit()


def listen(transcript: Transcript, *, pause_seconds: float = 1.0) -> Speech:
    """All words of a transcript in order. A silence of `pause_seconds` between two lines counts as a pause."""
    spoken = _Spoken()
    before: Line | None = None
    for number, line in enumerate(transcript.lines):
        first = len(spoken.words)
        spoken.take(line, number)
        if len(spoken.words) == first:
            continue
        if before is not None and (line.turn or line.speaker != before.speaker):
            spoken.turns.add(first)
        if before is not None and line.start - before.end >= pause_seconds:
            spoken.pauses.add(first)
        before = line
    return Speech(
        transcript=transcript,
        words=tuple(spoken.words),
        raw=tuple(spoken.raw),
        line=tuple(spoken.line),
        stop_after=spoken.flags(spoken.stops),
        comma_after=spoken.flags(spoken.commas),
        turn_before=spoken.flags(spoken.turns),
        pause_before=spoken.flags(spoken.pauses),
        places=places_of(spoken.words, set(spoken.words)),
    )


def line_starts(speech: Speech) -> tuple[int, ...]:
    """Positions of the words that begin a line."""
    changes = (after for after, (one, two) in enumerate(pairwise(speech.line), 1) if one != two)
    return (0, *changes) if speech.words else ()
