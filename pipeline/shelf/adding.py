"""Files, folders and old episodes into the store, through an Executor; what is finished is kept as it comes."""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, CancelledError, Executor, Future, wait
from dataclasses import dataclass, field, replace
from pathlib import Path

from pipeline.errors import StillroomError, TranscriptError
from pipeline.shelf.drafting import Failed, Task, Tools, inflate, is_record, prepare
from pipeline.shelf.entry import Entry
from pipeline.shelf.keeping import Kept, put
from pipeline.shelf.store import Store
from pipeline.version import rules_version

_SUFFIXES = (".srt", ".vtt", ".ass", ".ssa", ".txt", ".md", ".json")
_RECORD, _AMENDMENTS = ".record.json", ".amendments.toml"
_AHEAD = 3
_PATIENCE_SECONDS = 0.2
_DECIDED = (
    "amendments IS NULL"
    " AND (json_extract(record, '$.review') IS NOT NULL OR json_array_length(record, '$.decisions') > 0)"
)
_HELD = f"SELECT rules, record, amendments, measures, transcript IS NOT NULL, {_DECIDED} FROM episode WHERE sha256 = ?"


@dataclass(frozen=True, slots=True)
class Done:
    """An episode that is in the store; `label` is the file it came from."""

    label: str
    kept: Kept


Outcome = Done | Failed


@dataclass(frozen=True, slots=True)
class Crew:
    """Who does the drafting: an executor, the number of its workers, and the functions they call."""

    executor: Executor
    workers: int
    tools: Tools = field(default_factory=Tools)


def files_in(paths: Iterable[Path]) -> tuple[Path, ...]:
    """The files among `paths` and in the folders among them, each once; in folders, those that may be an episode.

    The cards that were written beside a record are passed over. Raises TranscriptError where a path is missing.
    """
    found: dict[Path, None] = {}
    for path in paths:
        if path.is_dir():
            found.update(dict.fromkeys(sorted(file for file in path.rglob("*") if _may_be_episode(file, path))))
        elif path.exists():
            found[path] = None
        else:
            raise TranscriptError("there is no such file or folder", file=str(path))
    return tuple(found)


def tasks_of(
    store: Store, files: Iterable[Path], *, measures: str | None = None, date: str | None = None
) -> Iterator[Task | Outcome]:
    """For each file what is to be done, or that nothing is: it is there unchanged, or cannot be read.

    A transcript is unchanged where one of the same content, rules, amendments and measures is in the store.
    """
    for file in files:
        try:
            content, amendments = file.read_bytes(), _amendments(file)
        except (OSError, UnicodeDecodeError) as fault:
            reason = getattr(fault, "strerror", None) or str(fault)
            yield Failed(str(file), TranscriptError(f"cannot be read: {reason.lower()}", file=str(file)))
            continue
        if is_record(content):
            yield Task(str(file), file.name, record=content, amendments=amendments, measures=measures, date=date)
        else:
            task = Task(str(file), file.name, content=content, amendments=amendments, measures=measures, date=date)
            yield _unless_held(store, task)


def tasks_again(store: Store, *, every: bool) -> Iterator[Task]:
    """The episodes to draft again: those of other rules, or `every` one.

    A record whose transcript is not in the store cannot be drafted, and one that holds decisions or a review that came
    without the file of decisions would lose them; the rows of such are made anew from the record as it is.
    """
    test = "" if every else "WHERE rules <> ?"
    numbers = store.all(f"SELECT id FROM episode {test} ORDER BY id", () if every else (rules_version(),))
    for (number,) in numbers:
        rows = store.all(
            f"SELECT file, transcript, record, amendments, measures, date, {_DECIDED} FROM episode WHERE id = ?",
            (number,),
        )
        for file, transcript, record, amendments, measures, date, decided in rows:
            yield Task(
                label=str(file),
                file=str(file),
                content=inflate(transcript),
                record=str(record).encode() if transcript is None or decided else None,
                amendments=amendments,
                measures=measures,
                date=date,
            )


def keep_all(
    store: Store,
    tasks: Iterable[Task | Outcome],
    crew: Crew,
    *,
    anew: bool = False,
    stopped: Callable[[], bool] = lambda: False,
) -> Iterator[Outcome]:
    """Make the tasks ready on the crew and put each into the store as it is finished; outcomes in that order.

    An outcome is yielded only when it is safe on the disk, and each that is safe is yielded. A few tasks a worker are
    under way at any time; where `stopped` comes to say so, they are let go. Raises StoreError where the store fails, or
    StillroomError where the workers do; what came before is kept.
    """
    under_way: dict[Future[Entry | Failed], str] = {}
    try:
        for task in tasks:
            if stopped():
                return
            if not isinstance(task, Task):
                yield task
                continue
            under_way[crew.executor.submit(prepare, task, crew.tools)] = task.label
            while len(under_way) >= crew.workers * _AHEAD and not stopped():
                yield from _keep_finished(store, under_way, tools=crew.tools, anew=anew)
        while under_way and not stopped():
            yield from _keep_finished(store, under_way, tools=crew.tools, anew=anew)
    except (BrokenExecutor, CancelledError, pickle.PicklingError) as fault:
        why = f" ({fault})" if str(fault) else ""
        raise StillroomError(f"the workers ended before their time{why}; run the command again") from fault
    finally:
        for future in under_way:
            future.cancel()


def _keep_finished(
    store: Store, under_way: dict[Future[Entry | Failed], str], *, tools: Tools, anew: bool
) -> Iterator[Outcome]:
    """Wait a moment for a result, and keep all that are there in one transaction."""
    finished = wait(under_way, timeout=_PATIENCE_SECONDS, return_when=FIRST_COMPLETED).done
    results = [_result(future, under_way.pop(future)) for future in list(under_way) if future in finished]
    if not results:
        return
    with store.transaction():
        outcomes = [_kept(store, result, tools=tools, anew=anew) for result in results]
    yield from outcomes


def _result(future: Future[Entry | Failed], label: str) -> tuple[str, Entry | Failed]:
    """What a worker made of a file. A fault of the program itself is that file's failure, and the others go on."""
    fault = future.exception()
    if fault is None or isinstance(fault, BrokenExecutor | pickle.PicklingError):
        return label, future.result()
    kind = type(fault).__name__
    return label, Failed(label, StillroomError(f"could not be drafted, by a fault of the program: {kind}: {fault}"))


def _kept(store: Store, made: tuple[str, Entry | Failed], *, tools: Tools, anew: bool) -> Outcome:
    label, result = made
    whole = result if isinstance(result, Failed) else _with_transcript(store, label, result, tools)
    return whole if isinstance(whole, Failed) else Done(label, put(store, whole, anew=anew))


def _with_transcript(store: Store, label: str, entry: Entry, tools: Tools) -> Entry | Failed:
    """The entry with the speech of the transcript that the store has, where it came without and is another record."""
    rows = store.all("SELECT transcript, digest FROM episode WHERE sha256 = ?", (entry.sha256,))
    if entry.transcript is not None or not rows or rows[0][0] is None or rows[0][1] == entry.digest:
        return entry
    task = Task(label, entry.file, inflate(rows[0][0]), entry.record.encode(), entry.amendments, date=entry.date)
    return prepare(task, tools)


def _unless_held(store: Store, task: Task) -> Task | Done:
    """The task, or that it is done: the episode of that transcript is there as it would become."""
    rows = store.all(_HELD, (hashlib.sha256(task.content or b"").hexdigest(),))
    if not rows:
        return task
    rules, record, amendments, measures, whole, decided = rows[0]
    same = rules == rules_version() and task.amendments in {None, amendments} and task.measures in {None, measures}
    same = same or (bool(decided) and task.amendments is None)
    if same and whole:
        return Done(task.label, "unchanged")
    kept = replace(
        task,
        amendments=task.amendments or amendments,
        measures=task.measures or measures,
    )
    return replace(kept, record=str(record).encode()) if same else kept


def _may_be_episode(file: Path, folder: Path) -> bool:
    hidden = any(part.startswith(".") for part in file.relative_to(folder).parts)
    if hidden or file.suffix.lower() not in _SUFFIXES or not file.is_file():
        return False
    return file.suffix.lower() != ".md" or not file.with_name(f"{file.stem}{_RECORD}").exists()


def _amendments(file: Path) -> str | None:
    """The text of the file of decisions beside a record or a transcript; None where there is none."""
    name = file.name.removesuffix(_RECORD) if file.name.endswith(_RECORD) else file.stem
    beside = file.with_name(f"{name}{_AMENDMENTS}")
    return beside.read_text(encoding="utf-8") if beside.is_file() else None
