"""The one form every transcript takes: timed lines of words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Word:
    """A spoken word; `start` and `end` are seconds in the recording."""

    text: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Line:
    """A timed line. `number` is its 1-based place in the file; `words` is empty where no word carries a time.

    Where several people speak in one line of the file, each has a line of this kind with the number and the start of
    that line; when they spoke is then in `words`, interpolated where the file gives no times of words. `turn` says that
    the file marks another speaker here, by a dash or a name.
    """

    number: int
    start: float
    end: float
    text: str
    speaker: str | None = None
    words: tuple[Word, ...] = ()
    turn: bool = False


@dataclass(frozen=True, slots=True)
class Problem:
    """Something doubtful in the input that was read all the same. `time` is seconds, `line` the place in the file."""

    code: str
    message: str
    line: int | None = None
    time: float | None = None


@dataclass(frozen=True, slots=True)
class Transcript:
    """Lines in order of the recording; `format` is the name of the reader; `sha256` is of the file's bytes."""

    file: str
    sha256: str
    format: str
    lines: tuple[Line, ...]
    problems: tuple[Problem, ...] = ()

    @property
    def duration(self) -> float:
        """Seconds from the start of the recording to the end of the last line."""
        return max((line.end for line in self.lines), default=0.0)
