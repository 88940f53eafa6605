"""A transcript as one run of words, with what speech has instead of full stops: pauses, turns and lines."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from pipeline.read.transcript import Line, Transcript
from pipeline.record import Evidence
from pipeline.resources import models_path, read_rows

_WORD = re.compile(r"\d+(?:[.,]\d+)*|[½⅓⅔¼¾⅕⅛⅜⅝⅞]|[^\W\d_]+(?:['’][^\W\d_]+)*|[°%/+]|[.?!;:,\-–—]", re.UNICODE)
_STOPS = frozenset(".?!;:")
_SOFT = frozenset(",-–—")


@dataclass(frozen=True, slots=True)
class Speech:
    """Parallel tuples, one item a word: the word in lower case and in full, and as written, the line it stands in, and
    whether a full stop or a comma follows it, a new speaker begins with it, or a pause of a second comes before it."""

    transcript: Transcript
    words: tuple[str, ...]
    raw: tuple[str, ...]
    line: tuple[int, ...]
    stop_after: tuple[bool, ...]
    comma_after: tuple[bool, ...]
    turn_before: tuple[bool, ...]
    pause_before: tuple[bool, ...]

    def __len__(self) -> int:
        return len(self.words)

    def line_at(self, word: int) -> Line:
        """The transcript line in which a word stands."""
        return self.transcript.lines[self.line[word]]

    def text(self, start: int, end: int) -> str:
        """The speaker's own words `start` to `end` (exclusive)."""
        return " ".join(self.raw[start:end])

    def evidence(self, start: int, end: int, rule: str) -> Evidence:
        """Words `start` to `end` (exclusive) with the times of the lines in which they begin and end."""
        first, last = self.line_at(start), self.line_at(max(start, end - 1))
        return Evidence(start=first.start, end=last.end, words=self.text(start, end), rule=rule)


@dataclass(slots=True)
class _Spoken:
    word: str
    raw: str
    line: int
    stop_after: bool = False
    comma_after: bool = False
    turn_before: bool = False
    pause_before: bool = False


@cache
def _full() -> Mapping[str, str]:
    """Short forms that speech writes down as words (`fourteen of 'em`) -> the word meant."""
    return {row["word"]: row["full"] for _, row in read_rows(models_path("short_forms.csv"), ("word", "full"))}


def _words_of(line: Line, number: int) -> list[_Spoken]:
    spoken: list[_Spoken] = []
    for match in _WORD.finditer(line.text):
        text = match.group()
        if text in _STOPS:
            if spoken:
                spoken[-1].stop_after = True
        elif text in _SOFT:
            if _inside_number(line.text, match.start()):
                spoken.append(_Spoken("to", text, number))
            elif spoken:
                spoken[-1].comma_after = spoken[-1].comma_after or text == ","
        else:
            word = text.lower().replace("’", "'")
            spoken.append(_Spoken(_full().get(word, word), text, number))
    return spoken


def _inside_number(text: str, place: int) -> bool:
    return text[place - 1 : place].isdigit() and text[place + 1 : place + 2].isdigit()


def listen(transcript: Transcript, *, pause_seconds: float = 1.0) -> Speech:
    """All words of a transcript in order. A silence of `pause_seconds` between two lines counts as a pause."""
    spoken: list[_Spoken] = []
    before: Line | None = None
    for number, line in enumerate(transcript.lines):
        words = _words_of(line, number)
        if not words:
            continue
        if before is not None:
            words[0].turn_before = line.speaker != before.speaker
            words[0].pause_before = line.start - before.end >= pause_seconds
        before = line
        spoken.extend(words)
    return Speech(
        transcript=transcript,
        words=tuple(word.word for word in spoken),
        raw=tuple(word.raw for word in spoken),
        line=tuple(word.line for word in spoken),
        stop_after=tuple(word.stop_after for word in spoken),
        comma_after=tuple(word.comma_after for word in spoken),
        turn_before=tuple(word.turn_before for word in spoken),
        pause_before=tuple(word.pause_before for word in spoken),
    )


def line_starts(speech: Speech) -> tuple[int, ...]:
    """Positions of the words that begin a line."""
    changes = (after for after, (one, two) in enumerate(pairwise(speech.line), 1) if one != two)
    return (0, *changes) if speech.words else ()
