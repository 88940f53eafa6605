"""The text of subtitles: markup, times of words, captions that roll, and changes of speaker within a cue."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from pipeline.read.plain import TAG, plain, resolved
from pipeline.read.source import Rough, Spoken, seconds

_TIME_TAG = r"<(?:(?P<h>[0-9]{1,4}):)?(?P<m>[0-9]{1,3}):(?P<s>[0-9]{2})[.,](?P<f>[0-9]{1,3})>"
_VOICE_TAG = r"<v(?:\.[^\s<>]*)?(?:[ \t](?P<voice>[^<>\n]*))?>"
_MARKUP = re.compile(rf"{_TIME_TAG}|(?P<speaks>{_VOICE_TAG})|(?P<other>{TAG})|\{{\\[^{{}}\n]*\}}")
_DASH = re.compile(r"(?:[-–—]|>>+)(?![-\d])")
_SENTENCE_ENDS = ".!?…"
_CLOSING = "\"'’”)"
_PART = re.compile(r"\s+|\S+")

ROLLING_SHARE = 0.25
"""A file rolls where this share of its cues begins with the last line of the cue before and adds to it. Two cues of
ordinary subtitles hardly ever do; of rolling ones all do, or every second one. Common practice, no source."""
ROLLING_LINES = 4
"""Lines of the cue before that may still be on the screen; broadcast captions roll up by at most this many.
From memory."""
ROLLING_GAP = 1.0
"""Seconds. After a longer pause, a cue that only repeats was said again, and is no caption that stayed. Common
practice, no source."""


@dataclass(frozen=True, slots=True)
class Cue:
    """A cue as the file has it; `texts` are its lines of text with their markup."""

    number: int
    start: float | None
    end: float | None
    texts: tuple[str, ...]
    speaker: str | None = None


@dataclass(frozen=True, slots=True)
class _Parsed:
    """A cue as words; `rows` has the place of the first word of each line of text."""

    cue: Cue
    words: tuple[Spoken, ...]
    rows: tuple[int, ...]


def captions(cues: Iterable[Cue]) -> tuple[Rough, ...]:
    """Rough lines, one a cue; a cue that only repeats rolling captions gives none."""
    parsed = [_parsed(cue) for cue in cues]
    repeats = [0, *(_repeated(before, after) for before, after in pairwise(parsed))]
    growing = sum(0 < count < len(cue.words) for cue, count in zip(parsed, repeats, strict=False))
    rolls = growing > 0 and growing >= ROLLING_SHARE * (len(parsed) - 1)
    return tuple(
        _rough(cue, count if rolls else 0)
        for cue, count in zip(parsed, repeats, strict=False)
        if not (rolls and count and count == len(cue.words))
    )


def _repeated(before: _Parsed, after: _Parsed) -> int:
    """How many words `after` begins with that are the last lines of text of `before`, shown a second time."""
    old = [word.text for word in before.words]
    new = [word.text for word in after.words]
    for row in before.rows[-ROLLING_LINES:]:
        tail = old[row:]
        if tail == new[: len(tail)]:
            return len(tail) if len(tail) in after.rows or _at_once(before.cue, after.cue) else 0
    return 0


def _at_once(before: Cue, after: Cue) -> bool:
    return before.end is not None and after.start is not None and after.start - before.end <= ROLLING_GAP


@dataclass(slots=True)
class _Building:
    start: float | None
    speaker: str | None
    parts: list[str] = field(default_factory=list)


class _Words:
    """The words of a cue as its text is walked; a mark inside a word does not part it."""

    def __init__(self, speaker: str | None) -> None:
        self.built: list[_Building] = []
        self._speaker = speaker
        self._start: float | None = None
        self._glued = False

    def part(self) -> None:
        """The next letter begins a new word."""
        self._glued = False

    def mark(self, mark: re.Match[str]) -> None:
        """Take in a time, a voice, the end of one, or a line break; other markup says nothing."""
        tag = (mark["other"] or "").lower()
        if mark["m"]:
            self._start = seconds(mark["h"], mark["m"], mark["s"], mark["f"])
        elif mark["speaks"] or tag == "</v>":
            self._speaker = plain(mark["voice"] or "") or None
            self.part()
        elif tag.startswith("<br"):
            self.part()

    def add(self, text: str) -> None:
        """Take in text between two marks."""
        for letters in _PART.findall(resolved(text)):
            if letters.isspace():
                self.part()
                continue
            if not self._glued:
                self.built.append(_Building(self._start, self._speaker))
            self.built[-1].parts.append(letters)
            self._glued, self._start = True, None


def _parsed(cue: Cue) -> _Parsed:
    words = _Words(cue.speaker)
    rows: list[int] = []
    for text in cue.texts:
        words.part()
        rows.append(len(words.built))
        for mark, between in _pieces(text):
            if mark:
                words.mark(mark)
            words.add(between)
    spoken = [Spoken("".join(word.parts), word.start, speaker=word.speaker) for word in words.built]
    return _Parsed(cue, tuple(spoken), tuple(row for row in sorted(set(rows)) if row < len(spoken)))


def _pieces(text: str) -> Iterator[tuple[re.Match[str] | None, str]]:
    """The stretches of `text` between marks, each with the mark before it."""
    mark: re.Match[str] | None = None
    place = 0
    for found in _MARKUP.finditer(text):
        yield mark, text[place : found.start()]
        mark, place = found, found.end()
    yield mark, text[place:]


def _rough(parsed: _Parsed, repeated: int) -> Rough:
    """The line of a cue without its first `repeated` words."""
    rows = frozenset(row - repeated for row in parsed.rows)
    words = tuple(_turned(parsed.words[repeated:], rows))
    needed = any(word.start is not None or (place and word.turn) for place, word in enumerate(words))
    cue = parsed.cue
    speaker = words[0].speaker if words else cue.speaker
    text = " ".join(word.text for word in words)
    turn = bool(words) and words[0].turn
    return Rough(cue.number, cue.start, cue.end, text, speaker, words if needed else (), turn)


def _turned(words: Sequence[Spoken], rows: frozenset[int]) -> Iterator[Spoken]:
    """`words` with the marks of a new speaker taken off, and a turn set where one begins.

    A dash is such a mark at the start of a line of text, and after a sentence where the first line opens with one;
    `>>` is one anywhere. A dash before a digit is a minus.
    """
    dialogue = bool(words) and _DASH.match(words[0].text) is not None
    turn, start = False, None
    for place, word in enumerate(words):
        before = words[place - 1] if place else None
        mark = _DASH.match(word.text)
        ended = before is not None and before.text.rstrip(_CLOSING)[-1:] in tuple(_SENTENCE_ENDS)
        if mark and (place in rows or word.text.startswith(">>") or (dialogue and ended)):
            turn, start = True, word.start
            word = replace(word, text=word.text[mark.end() :])
        if word.text:
            changed = before is not None and word.speaker != before.speaker
            yield replace(word, start=start if word.start is None else word.start, turn=turn or changed)
            turn, start = False, None
