"""Bytes to a transcript: the format is known by the content, doubtful input is read on and kept as problems."""

from __future__ import annotations

from pathlib import Path

from pipeline.errors import TranscriptError
from pipeline.read.formats import read_content
from pipeline.read.source import EXPECTED, LARGEST
from pipeline.read.transcript import Line, Problem, Transcript, Word
from pipeline.read.words import timed_words

__all__ = ["Line", "Problem", "Transcript", "Word", "read_bytes", "read_file", "timed_words"]


def read_file(path: Path) -> Transcript:
    """The transcript in the file `path`, named without its folder.

    Raises TranscriptError where the file is missing, unreadable, a folder, or no transcript.
    """
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST + 1)
    except IsADirectoryError as fault:
        raise TranscriptError(f"is a folder; {EXPECTED}", file=path.name) from fault
    except OSError as fault:
        raise TranscriptError(f"cannot be read: {fault.strerror}; {EXPECTED}", file=path.name) from fault
    return read_content(raw, path.name)


def read_bytes(raw: bytes, name: str) -> Transcript:
    """The transcript in `raw`, as read from standard input; `name` is what messages call it.

    Raises TranscriptError where it is none.
    """
    return read_content(raw, name)
