"""What a worker does: from bytes to the rows of an episode. All that crosses to a worker and back can be pickled."""

from __future__ import annotations

import os
import signal
import threading
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing import parent_process
from typing import TYPE_CHECKING, Protocol

import pipeline
from pipeline.errors import RecordError, StillroomError
from pipeline.shelf.entry import Entry, entry_of

if TYPE_CHECKING:
    from pipeline.read.transcript import Transcript
    from pipeline.record import Episode

MARK = b'"stillroom-episode/'
_HEAD = 400


class Drafter(Protocol):
    """A function that turns a transcript into its record."""

    def __call__(self, transcript: Transcript, *, measures: str | None) -> Episode: ...


def _read(content: bytes, name: str) -> Transcript:
    return pipeline.read_bytes(content, file=name)


@dataclass(frozen=True, slots=True)
class Tools:
    """The functions a worker calls, all of them at the top of a module; a test hands in its own."""

    read: Callable[[bytes, str], Transcript] = _read
    draft: Drafter = pipeline.draft_episode


@dataclass(frozen=True, slots=True)
class Task:
    """One episode to make ready. `label` is what messages call it.

    With `record` (JSON) it is taken as it is, else drafted from `content`, the transcript's bytes. `amendments` is
    the text of the file of decisions.
    """

    label: str
    file: str
    content: bytes | None = None
    record: bytes | None = None
    amendments: str | None = None
    measures: str | None = None
    date: str | None = None


@dataclass(frozen=True, slots=True)
class Failed:
    """A task that could not be done, and why."""

    label: str
    fault: StillroomError


def prepare(task: Task, tools: Tools) -> Entry | Failed:
    """The rows of the episode of `task`; a fault of the file comes back, so that the others go on."""
    try:
        return _prepared(task, tools)
    except StillroomError as fault:
        return Failed(task.label, fault)


def parse_record(text: bytes | str, *, file: str) -> Episode:
    """The episode record in `text`; raises RecordError that says what is wrong with it."""
    from pydantic import ValidationError

    from pipeline.record import Episode

    try:
        return Episode.model_validate_json(text)
    except ValidationError as fault:
        first = fault.errors()[0]
        place = ".".join(str(part) for part in first["loc"]) or "the file"
        raise RecordError(f"is not an episode record: {place}: {first['msg']}", file=file) from fault


def is_record(content: bytes) -> bool:
    """Whether the bytes of a file begin as an episode record does."""
    head = content[:_HEAD].lstrip(b"\xef\xbb\xbf \t\r\n")
    return head.startswith(b"{") and MARK in head


def inflate(transcript: bytes | None) -> bytes | None:
    """The transcript's bytes from their stored form."""
    return None if transcript is None else zlib.decompress(transcript)


def start_worker() -> None:
    """Settle a worker process: the key that stops the program is for its parent, whose end is its own end too."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_follow_parent, daemon=True).start()


def _follow_parent() -> None:
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _prepared(task: Task, tools: Tools) -> Entry:
    transcript = tools.read(task.content, task.file) if task.content is not None else None
    if task.record is not None:
        episode = parse_record(task.record, file=task.label)
    elif transcript is not None:
        episode = _amended(tools.draft(transcript, measures=task.measures), task)
    else:
        raise RecordError("holds neither a transcript nor a record", file=task.label)
    return entry_of(
        episode,
        transcript,
        content=task.content,
        amendments=task.amendments,
        measures=task.measures,
        date=task.date,
    )


def _amended(episode: Episode, task: Task) -> Episode:
    if not task.amendments:
        return episode
    from pipeline.foods.table import FoodTable
    from pipeline.review.amending import amend
    from pipeline.review.amendments import parse_amendments

    held = parse_amendments(task.amendments, file=f"amendments of {task.file}")
    return amend(episode, held, table=FoodTable.load())
