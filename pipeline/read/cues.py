"""SubRip and WebVTT: which lines are a cue's times and which its text, with the place of each cue in the file.

pysubs2 is not used for these two: it keeps no line numbers, takes a text line with two time tags for the times of a
cue, drops cues whose times it cannot read, and takes WebVTT comments for speech.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from pipeline.read.captions import Cue, captions
from pipeline.read.source import Reading, Source, seconds
from pipeline.read.transcript import Problem

_TIME = r"(?:([0-9]{1,4}):)?([0-9]{1,3}):([0-9]{1,2})(?:[.,]([0-9]{1,3}))?"
_TIMES = re.compile(rf"\s*{_TIME}\s*-->\s*(?:{_TIME})?")
_BROKEN_TIMES = re.compile(r"[-\s0-9:.,]*-->[-\s0-9:.,]*$")
_SETTING = re.compile(r"[A-Za-z0-9]+:\S*")
_ASIDE = re.compile(r"(?:NOTE(?:\s|$)|(?:STYLE|REGION)\s*$)")
_DIGITS = re.compile(r"\s*[0-9]{1,9}\s*")


def recognises_webvtt(source: Source) -> bool:
    """Whether the file opens with the WebVTT header."""
    return re.match(r"WEBVTT(?:\s|$)", source.lines[0]) is not None


def recognises_subrip(source: Source) -> bool:
    """Whether a line holds the two times of a cue."""
    return any(_TIMES.match(line) for line in source.lines)


def read_webvtt(source: Source) -> Reading:
    """The lines of a WebVTT file; notes, styles, regions, settings and identifiers are left out."""
    return _Walk(source, webvtt=True).read()


def read_subrip(source: Source) -> Reading:
    """The lines of a SubRip file, or of WebVTT without its header; numbers of cues are left out."""
    return _Walk(source, webvtt=False).read()


@dataclass(slots=True)
class _Open:
    number: int
    start: float | None
    end: float | None
    texts: list[str] = field(default_factory=list)

    def closed(self) -> Cue:
        return Cue(self.number, self.start, self.end, tuple(self.texts))


class _Walk:
    """One walk down the lines of a file."""

    def __init__(self, source: Source, *, webvtt: bool) -> None:
        self._lines = source.lines
        self._webvtt = webvtt
        self._problems: list[Problem] = []
        self._cues: list[_Open] = []
        self._last_name = ""
        self._begun = False

    def read(self) -> Reading:
        for place in self._kept():
            line = self._lines[place]
            if _is_times(line):
                self._begin(place + 1, line)
            elif self._names_a_cue(place):
                self._last_name = line.strip()
            elif line.strip():
                self._add(place, line)
        return Reading(captions(cue.closed() for cue in self._cues), tuple(self._problems))

    def _kept(self) -> Iterator[int]:
        """Places of the lines that are neither header nor aside (note, style or region)."""
        aside = self._webvtt
        for place, line in enumerate(self._lines):
            if not line.strip() or (aside and _is_times(line)):
                aside = False
            elif self._webvtt and self._after_blank(place) and _ASIDE.match(line):
                aside = True
            if not aside:
                yield place

    def _begin(self, number: int, line: str) -> None:
        self._begun = True
        found = _TIMES.match(line)
        start = seconds(*found.groups()[:4]) if found else None
        end = seconds(*found.groups()[4:]) if found and found[6] is not None else None
        self._cues.append(_Open(number, start, end))
        if start is None:
            self._problems.append(Problem("time.impossible", f"no time can be read in {line.strip()!r}", line=number))
        rest = line[found.end() :] if found else ""
        if not all(map(_SETTING.fullmatch, rest.split())):
            said = "text beside the times; read as the first words of the cue"
            self._problems.append(Problem("text.beside-times", said, line=number, time=start))
            self._cues[-1].texts.append(rest)

    def _names_a_cue(self, place: int) -> bool:
        """Whether the line is the number or the name of the cue whose times stand on the next line."""
        if place + 1 == len(self._lines) or not _is_times(self._lines[place + 1]):
            return False
        line = self._lines[place]
        number = _DIGITS.fullmatch(line) is not None
        if self._after_blank(place):
            return number or (self._webvtt and bool(line.strip()))
        expected = int(self._last_name) + 1 if _DIGITS.fullmatch(self._last_name) else None
        return number and (int(line) == expected or not self._begun)

    def _after_blank(self, place: int) -> bool:
        return place > 0 and not self._lines[place - 1].strip()

    def _add(self, place: int, line: str) -> None:
        number = place + 1
        if not self._cues:
            said = "text before the first time; read as the first words"
            self._problems.append(Problem("time.none-yet", said, line=number))
            self._cues.append(_Open(number, None, None))
        elif self._cues[-1].texts and place and not self._lines[place - 1]:
            said = "text after an empty line; read as part of the cue above"
            self._problems.append(Problem("text.astray", said, line=number, time=self._cues[-1].start))
        self._cues[-1].texts.append(line)


def _is_times(line: str) -> bool:
    return "-->" in line and bool(_TIMES.match(line) or _BROKEN_TIMES.match(line))
