"""Faults a user can act on; the command line prints one as a single message and exits with status 2."""

from __future__ import annotations


def clock(seconds: float) -> str:
    """Seconds from the start of the recording as `m:ss`, or `h:mm:ss` from one hour on."""
    whole = int(seconds)
    hours, rest = divmod(whole, 3600)
    minutes, secs = divmod(rest, 60)
    return f"{hours}:{minutes:02d}:{secs:02d}" if hours else f"{minutes}:{secs:02d}"


class StillroomError(Exception):
    """Base of all faults with a place: `file`, 1-based `line` and `time` in seconds, each where known."""

    def __init__(
        self, message: str, *, file: str | None = None, line: int | None = None, time: float | None = None
    ) -> None:
        super().__init__(message, file, line, time)
        self.message = message
        self.file = file
        self.line = line
        self.time = time

    def __reduce__(self) -> tuple[object, ...]:
        return _rebuild, (type(self), self.message, self.file, self.line, self.time)

    def __str__(self) -> str:
        place = ", ".join(
            part
            for part in (
                self.file,
                f"line {self.line}" if self.line is not None else None,
                f"at {clock(self.time)}" if self.time is not None else None,
            )
            if part
        )
        return f"{place}: {self.message}" if place else self.message


def _rebuild(
    kind: type[StillroomError], message: str, file: str | None, line: int | None, time: float | None
) -> StillroomError:
    return kind(message, file=file, line=line, time=time)


class TranscriptError(StillroomError):
    """The input is not a transcript that can be read."""


class RulesError(StillroomError):
    """A lexicon, rule or table file of `models/` or `data/` is malformed."""


class RecordError(StillroomError):
    """A file is not an episode record, or a person's decisions about one cannot be read."""


class OutputError(StillroomError):
    """A result cannot be written where it was asked for."""


class StoreError(StillroomError):
    """The back-catalogue cannot be opened, read or written."""
