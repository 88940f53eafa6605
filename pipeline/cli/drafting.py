"""The work of `stillroom draft`: which file becomes what, and what came of each."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import pipeline
from pipeline.errors import OutputError, StillroomError
from pipeline.files import Outcome, compare, write_text

if TYPE_CHECKING:
    from pipeline.read.transcript import Transcript
    from pipeline.record import Episode

STANDARD_INPUT = "-"


class Drafter(Protocol):
    """A function that turns a transcript into its record."""

    def __call__(self, transcript: Transcript, *, measures: str | None) -> Episode: ...


@dataclass(frozen=True, slots=True)
class Tools:
    """The library functions that the command calls; a test hands in its own."""

    read: Callable[[Path], Transcript] = pipeline.read_file
    read_bytes: Callable[[bytes, str], Transcript] = lambda content, file: pipeline.read_bytes(content, file=file)
    draft: Drafter = pipeline.draft_episode


@dataclass(frozen=True, slots=True)
class Job:
    """One transcript: the `file` as named on the command line, and the NAME its results go by."""

    file: str
    name: str


@dataclass(frozen=True, slots=True)
class Settings:
    """What the options ask for, the same for all files."""

    out: Path
    html: bool
    force: bool
    measures: str | None


@dataclass(frozen=True, slots=True)
class Done:
    """A transcript whose record was made, with the files that hold it."""

    job: Job
    transcript: Transcript
    episode: Episode
    files: tuple[tuple[Path, Outcome], ...] = ()


@dataclass(frozen=True, slots=True)
class Failed:
    """A transcript that could not be done, and why."""

    job: Job
    fault: StillroomError


def plan(files: Iterable[str]) -> tuple[Job, ...]:
    """The jobs in the order given; raises OutputError where two would write the same files."""
    jobs: dict[str, Job] = {}
    for file in files:
        name = "transcript" if file == STANDARD_INPUT else Path(file).stem
        job = Job(file, name)
        other = jobs.setdefault(name.casefold(), job)
        if other is not job:
            raise OutputError(f"{other.file} and {file} would both be written as {name}.record.json; draft them apart")
    return tuple(jobs.values())


def make(job: Job, *, tools: Tools, measures: str | None, out: Path) -> Done:
    """Read and draft one transcript, writing nothing; raises StillroomError.

    What people decided about its record in the folder `out` is carried out on the new draft.
    """
    if job.file == STANDARD_INPUT:
        transcript = tools.read_bytes(sys.stdin.buffer.read(), "standard input")
    else:
        transcript = tools.read(Path(job.file))
    episode = tools.draft(transcript, measures=measures)
    return Done(job, transcript, _decided(episode, out / f"{job.name}.record.json"))


def _decided(episode: Episode, record: Path) -> Episode:
    """The episode with the decisions that stand in the file beside `record`, as it is where there is no such file."""
    from pipeline.review.amendments import amendments_path, read_amendments

    beside = amendments_path(record)
    if not beside.exists():
        return episode
    from pipeline.foods.table import FoodTable
    from pipeline.review.amending import amend

    return amend(episode, read_amendments(beside), table=FoodTable.load())


def save(done: Done, *, settings: Settings, inputs: Iterable[str]) -> Done:
    """Write the results of `done` into the folder of `settings`; all of them or, where one would be lost, none.

    `inputs` are the transcripts of this run, which no result may replace. Raises OutputError.
    """
    texts = _texts(done, html=settings.html, folder=settings.out)
    sources = {Path(file).resolve() for file in inputs if file != STANDARD_INPUT}
    for path, text in texts.items():
        if path.resolve() in sources:
            raise OutputError("is one of the transcripts and was left as it is; name another --out", file=str(path))
        if compare(path, text) == "different" and not settings.force:
            raise OutputError(
                "exists with other content and was left as it is; use --force to replace it", file=str(path)
            )
    written = tuple((path, write_text(path, text, force=settings.force)) for path, text in texts.items())
    return Done(done.job, done.transcript, done.episode, written)


def run(jobs: Iterable[Job], *, tools: Tools, settings: Settings) -> Iterable[Done | Failed]:
    """Make and save each job in turn; a fault of one does not stop the others."""
    queue = tuple(jobs)
    inputs = tuple(job.file for job in queue)
    for job in queue:
        try:
            done = make(job, tools=tools, measures=settings.measures, out=settings.out)
            yield save(done, settings=settings, inputs=inputs)
        except StillroomError as fault:
            yield Failed(job, fault)


def _texts(done: Done, *, html: bool, folder: Path) -> Mapping[Path, str]:
    from pipeline.publish import card_html, card_markdown

    name, episode = done.job.name, done.episode
    texts = {
        folder / f"{name}.record.json": episode.to_json(),
        folder / f"{name}.md": card_markdown(episode),
    }
    if html:
        texts[folder / f"{name}.html"] = card_html(episode)
    return texts
