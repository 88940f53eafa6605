"""The JSON of a speech recogniser: `segments` of `start`, `end`, `text`, and `words` of `word`, `start`, `end`."""

from __future__ import annotations

import json
import re
from bisect import bisect_right
from collections.abc import Sequence

from pipeline.errors import TranscriptError
from pipeline.read.plain import plain
from pipeline.read.source import EXPECTED, Reading, Rough, Source, Spoken
from pipeline.read.transcript import Problem
from pipeline.read.words import aligned

LATEST = 3_600_000
"""Seconds; a thousand hours, the most that stamped text can write."""

_OPENS = re.compile(r"""\s*(?:\{(?![0-9])|\[\s*(?:[\[{\]"]|$))""")
_SPACE = re.compile(r"[ \t\n\r]*")
_DECODER = json.JSONDecoder()


def recognises(source: Source) -> bool:
    """Whether the file opens like JSON, of whatever shape."""
    return _OPENS.match(next(line for line in source.lines if line.strip())) is not None


def read(source: Source) -> Reading:
    """One line a segment; raises TranscriptError for malformed JSON and for JSON of another shape."""
    text = "\n".join(source.lines)
    try:
        segments = _segments(_Cursor(text))
        feeds = [feed.start() for feed in re.finditer("\n", text)]
        problems: list[Problem] = []
        lines = [
            _line(segment, f"segments[{index}]", bisect_right(feeds, place) + 1, problems)
            for index, (place, segment) in enumerate(segments)
        ]
    except json.JSONDecodeError as fault:
        said = f"malformed JSON at column {fault.colno}: {fault.msg}; {EXPECTED}"
        raise TranscriptError(said, file=source.name, line=fault.lineno) from fault
    except _ShapeError as fault:
        said = f"JSON of another shape: {fault.message}; {EXPECTED}"
        raise TranscriptError(said, file=source.name, line=fault.line) from fault
    except (ValueError, RecursionError) as fault:
        said = f"JSON with a number too long or lists nested too deep; {EXPECTED}"
        raise TranscriptError(said, file=source.name) from fault
    return Reading(tuple(lines), tuple(problems))


class _ShapeError(Exception):
    """JSON of another shape; `line` is the place in the file."""

    def __init__(self, message: str, line: int) -> None:
        super().__init__(message, line)
        self.message = message
        self.line = line


class _Cursor:
    """A place in JSON text, always at something that is no white space."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.place = 0
        self._move(0)

    @property
    def line(self) -> int:
        return self.text.count("\n", 0, self.place) + 1

    def _move(self, place: int) -> None:
        space = _SPACE.match(self.text, place)
        self.place = space.end() if space else place

    def take(self, mark: str) -> bool:
        """Whether `mark` stands here; if so it is passed."""
        found = self.text.startswith(mark, self.place)
        if found:
            self._move(self.place + 1)
        return found

    def need(self, mark: str) -> None:
        """Pass `mark`; raises JSONDecodeError where something else stands."""
        if not self.take(mark):
            raise json.JSONDecodeError(f"expected {mark!r}", self.text, self.place)

    def more(self, close: str) -> bool:
        """Pass the comma before another member, or the end of the list or object."""
        if self.take(","):
            return True
        self.need(close)
        return False

    def value(self) -> object:
        """Pass a whole value."""
        found, after = _DECODER.raw_decode(self.text, self.place)
        self._move(after)
        return found

    def finish(self) -> None:
        """Raises JSONDecodeError where anything is left."""
        if self.place < len(self.text):
            raise json.JSONDecodeError("something follows the end", self.text, self.place)


def _segments(cursor: _Cursor) -> list[tuple[int, object]]:
    """Each segment with the place of its first character, which decoding the file whole would not give."""
    top = cursor.line
    if not cursor.take("{"):
        raise _ShapeError(f'the top level is {_kind(cursor.value())}, not an object with "segments"', top)
    found: list[tuple[int, object]] | None = None
    more = not cursor.take("}")
    while more:
        name = cursor.value()
        cursor.need(":")
        if name != "segments":
            cursor.value()
        elif cursor.take("["):
            found = _members(cursor)
        else:
            raise _ShapeError(f"segments is {_kind(cursor.value())}, not a list", cursor.line)
        more = cursor.more("}")
    cursor.finish()
    if found is None:
        raise _ShapeError('the object at the top has no "segments"', top)
    return found


def _members(cursor: _Cursor) -> list[tuple[int, object]]:
    found: list[tuple[int, object]] = []
    more = not cursor.take("]")
    while more:
        found.append((cursor.place, cursor.value()))
        more = cursor.more("]")
    return found


def _kind(value: object) -> str:
    names = {dict: "an object", list: "a list", str: "text", bool: "true or false", type(None): "null"}
    return names.get(type(value), "a number")


def _line(segment: object, path: str, number: int, problems: list[Problem]) -> Rough:
    if not isinstance(segment, dict):
        raise _ShapeError(f"{path} is {_kind(segment)}, not an object", number)
    start = _time(segment, "start", path, number)
    if start is None:
        raise _ShapeError(f"{path}.start is missing, expected seconds", number)
    end = _time(segment, "end", path, number)
    if start < 0:
        problems.append(Problem("time.negative", f"the start {start:g} is before 0:00; read as 0:00", line=number))
    text = plain(_text(segment, "text", path, number) or "")
    speaker = _text(segment, "speaker", path, number)
    pieces = _words(segment, path, number)
    words = aligned(text, pieces)
    if words is None and pieces:
        said = "its words are not those of its text; the text was kept"
        problems.append(Problem("words.differ", said, line=number, time=max(start, 0.0)))
    return Rough(number, max(start, 0.0), end, text, speaker, words or ())


def _words(segment: dict[str, object], path: str, number: int) -> Sequence[Spoken]:
    words = segment.get("words")
    if words is None:
        return ()
    if not isinstance(words, list):
        raise _ShapeError(f"{path}.words is {_kind(words)}, not a list", number)
    return [_word(word, f"{path}.words[{index}]", number) for index, word in enumerate(words)]


def _word(word: object, path: str, number: int) -> Spoken:
    if not isinstance(word, dict):
        raise _ShapeError(f"{path} is {_kind(word)}, not an object", number)
    text = _text(word, "word", path, number)
    if text is None:
        raise _ShapeError(f"{path}.word is missing, expected text", number)
    return Spoken(plain(text), _time(word, "start", path, number), _time(word, "end", path, number))


def _time(holder: dict[str, object], name: str, path: str, number: int) -> float | None:
    value = holder.get(name)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _ShapeError(f"{path}.{name} is {_kind(value)}, expected seconds", number)
    if not abs(value) <= LATEST:
        raise _ShapeError(f"{path}.{name} is no time in a recording, expected seconds", number)
    return float(value)


def _text(holder: dict[str, object], name: str, path: str, number: int) -> str | None:
    value = holder.get(name)
    if value is not None and not isinstance(value, str):
        raise _ShapeError(f"{path}.{name} is {_kind(value)}, expected text", number)
    return value
