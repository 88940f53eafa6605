"""Bytes to numbered lines of text, and what a reader gives back before times are repaired."""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable
from dataclasses import dataclass

from pipeline.errors import TranscriptError
from pipeline.read.transcript import Problem

EXPECTED = (
    "expected a timed transcript: text with times such as [4:05], 4:05 or 1:04:05 at the start of a line, SubRip, "
    'WebVTT or SubStation Alpha subtitles, or the JSON of a speech recogniser with "segments"'
)
LARGEST = 50_000_000
"""Bytes; ten hours of subtitles with a time on every word are about a tenth of it."""

_LINE_END = re.compile(r"\r\n|\n|\r")
_WIDE_MARKS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


@dataclass(frozen=True, slots=True)
class Source:
    """A file as text: `lines` without their line ends, in the order of the file."""

    name: str
    lines: tuple[str, ...]
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class Spoken:
    """A word as the file has it; `start` and `end` in seconds where given. `turn`: another `speaker` begins here."""

    text: str
    start: float | None = None
    end: float | None = None
    turn: bool = False
    speaker: str | None = None


@dataclass(frozen=True, slots=True)
class Rough:
    """A line as the file has it. `start` is None where it cannot be read, `end` where it is not given.

    `words` is empty where no word carries a time and only one person speaks; else it has every word of `text`. `turn`:
    another speaker begins here.
    """

    number: int
    start: float | None
    end: float | None
    text: str
    speaker: str | None = None
    words: tuple[Spoken, ...] = ()
    turn: bool = False


@dataclass(frozen=True, slots=True)
class Reading:
    """What a reader found: lines in order of the file, and the problems it met."""

    lines: tuple[Rough, ...]
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class Format:
    """A kind of file: how it is known by its content, and how it is read. `has_ends`: its lines carry end times."""

    name: str
    recognises: Callable[[Source], bool]
    read: Callable[[Source], Reading]
    has_ends: bool = True


def decode(raw: bytes, name: str) -> Source:
    """The lines of `raw`: UTF-8 or UTF-16 with a byte-order mark, plain UTF-8, else Windows-1252.

    Raises TranscriptError where `raw` is empty, too large or not text.
    """
    if len(raw) > LARGEST:
        raise TranscriptError(f"larger than {LARGEST // 1_000_000} MB; {EXPECTED}", file=name)
    text, problems = _text(raw, name)
    if "\0" in text:
        raise TranscriptError(f"not a text file; {EXPECTED}", file=name)
    if not text.strip():
        raise TranscriptError(f"empty; {EXPECTED}", file=name)
    return Source(name, tuple(_LINE_END.split(text)), problems)


def _text(raw: bytes, name: str) -> tuple[str, tuple[Problem, ...]]:
    """The text of `raw`. It is damaged Unicode, and not another code, where as many letters can be read as not."""
    wide = raw.startswith(_WIDE_MARKS)
    encoding = "utf-16" if wide else "utf-8-sig"
    try:
        return raw.decode(encoding), ()
    except UnicodeDecodeError as fault:
        line = len(_LINE_END.split(raw[: fault.start].decode(encoding, "replace")))
    mended = raw.decode(encoding, "replace")
    unread = mended.count("\N{REPLACEMENT CHARACTER}")
    if wide or sum(not letter.isascii() for letter in mended) >= 2 * unread:
        return mended, (Problem("text.damaged", f"characters that cannot be read: {unread}", line=line),)
    try:
        text = raw.decode("cp1252")
    except UnicodeDecodeError as fault:
        raise TranscriptError(f"not a text file; {EXPECTED}", file=name) from fault
    return text, (Problem("not-utf-8", "not UTF-8; read as Windows-1252", line=line),)


def seconds(hours: str | None, minutes: str, secs: str, fraction: str | None) -> float | None:
    """The time written as `hours:minutes:secs.fraction`, or None where there is no such time (1:75, 1:60:00)."""
    if int(secs) > 59 or (hours and int(minutes) > 59):
        return None
    whole = (int(hours) if hours else 0) * 3600 + int(minutes) * 60 + int(secs)
    return round(whole + float(f"0.{fraction or 0}"), 3)
