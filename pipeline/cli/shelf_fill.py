"""`stillroom shelf add`, `import` and `rebuild`: episodes into the shelf, drafted by many workers at once."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from pipeline.cli.records import KITCHENS
from pipeline.cli.shelf_output import shelf_option
from pipeline.errors import TranscriptError
from pipeline.shelf.adding import Crew, Outcome, files_in, keep_all, tasks_again, tasks_of
from pipeline.shelf.drafting import Failed, Task, Tools
from pipeline.shelf.executors import cores, executor_of
from pipeline.shelf.stopping import stop_key
from pipeline.shelf.store import Store, writing

_STOPPED = 130

workers_option = click.option(
    "--workers", type=click.IntRange(min=1), help="Worker processes; otherwise one for each core."
)
scheduler_option = click.option(
    "--scheduler", metavar="ADDRESS", help="Let a Dask cluster do the work: tcp://host:8786 (needs stillroom[dask])."
)
measures_option = click.option(
    "--measures",
    type=click.Choice(KITCHENS),
    help="Whose cups, pints and spoons are meant, where the recording does not tell.",
)


@click.command(name="add")
@click.argument("paths", nargs=-1, required=True, metavar="PATH...", type=click.Path(path_type=Path))
@measures_option
@workers_option
@scheduler_option
@shelf_option
@click.pass_context
def add_(
    ctx: click.Context,
    paths: tuple[Path, ...],
    measures: str | None,
    workers: int | None,
    scheduler: str | None,
    path: Path,
) -> None:
    """Draft transcripts and add them to the shelf, or take records as they are. PATH is a file or a folder.

    What is there unchanged is passed over. A file that cannot be read is named at the end, and the others go on. Stop
    with Ctrl-C and run the command again to go on. NAME.amendments.toml beside a file is taken with it. The date of
    an episode is the one in the name of its file.

    \b
    Example:
      stillroom shelf add transcripts/
      stillroom shelf add transcripts/ --scheduler tcp://10.0.0.5:8786

    Exit status: 0 done, 1 some files failed, 2 nothing could be done, 130 stopped.
    """
    files = files_in(paths)
    if not files:
        raise TranscriptError("there is no transcript and no record in there", file=str(paths[0]))
    with writing(path, make=True) as store:
        ctx.exit(_run(store, lambda: tasks_of(store, files, measures=measures), len(files), workers, scheduler))


@click.command(name="import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@workers_option
@shelf_option
@click.pass_context
def import_(ctx: click.Context, file: Path, workers: int | None, path: Path) -> None:
    """Take in the episodes of FILE, lines of JSON as export writes them. What is there already is brought up to them.

    \b
    Example:
      stillroom shelf import shelf.jsonl

    Exit status: 0 done, 1 some lines failed, 2 nothing could be done, 130 stopped.
    """
    from pipeline.shelf.upkeep import tasks_of_lines

    with file.open("rb") as counted:
        count = sum(1 for _ in counted)
    with writing(path, make=True) as store, file.open("rb") as lines:
        ctx.exit(_run(store, lambda: tasks_of_lines(lines, file=str(file)), count, workers, None))


@click.command(name="rebuild")
@click.option("--all", "every", is_flag=True, help="Every episode, not only those of older rules.")
@workers_option
@scheduler_option
@shelf_option
@click.pass_context
def rebuild_(ctx: click.Context, every: bool, workers: int | None, scheduler: str | None, path: Path) -> None:
    """Draft the episodes of older rules anew from the transcripts in the shelf; people's decisions are kept.

    \b
    Example:
      stillroom shelf rebuild

    Exit status: 0 done, 1 some episodes failed and are as they were, 2 nothing could be done, 130 stopped.
    """
    with writing(path) as store:
        count = store.one("SELECT count(*) FROM episode")
        ctx.exit(_run(store, lambda: tasks_again(store, every=every), count, workers, scheduler, anew=True))


def _run(
    store: Store,
    tasks: Callable[[], Iterable[Task | Outcome]],
    count: int,
    workers: int | None,
    scheduler: str | None,
    *,
    anew: bool = False,
) -> int:
    """Do the tasks, tell what came of them; the exit status."""
    from pipeline.shelf.vocabulary import refresh

    refresh(store)
    tools = click.get_current_context().obj
    kept: Counter[str] = Counter()
    failed: list[Failed] = []
    with executor_of(workers=workers or min(cores(), max(count, 1)), scheduler=scheduler) as (pool, hands):
        crew = Crew(pool, hands, tools if isinstance(tools, Tools) else Tools())
        with stop_key() as key:
            _count(keep_all(store, tasks(), crew, anew=anew, stopped=key.pressed), count, kept, failed)
    return _report(kept, failed, stopped=key.pressed())


def _count(outcomes: Iterable[Outcome], count: int, kept: Counter[str], failed: list[Failed]) -> None:
    """Sort the outcomes as they come, so that those before a stop are told too."""
    with _watched(count) as step:
        for outcome in outcomes:
            step()
            if isinstance(outcome, Failed):
                failed.append(outcome)
            else:
                kept[outcome.kept] += 1


@contextmanager
def _watched(count: int) -> Iterator[Callable[[], object]]:
    """A progress bar with rate and time left, on a terminal."""
    if not sys.stderr.isatty():
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        BarColumn(),
        MofNCompleteColumn(),
        TextColumn("{task.fields[rate]:.1f} a second,"),
        TimeRemainingColumn(),
        TextColumn("left"),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task("", total=count, rate=0.0)

        def step() -> None:
            progress.advance(task)
            progress.update(task, rate=progress.tasks[0].finished_speed or progress.tasks[0].speed or 0.0)

        yield step


def _report(kept: Counter[str], failed: list[Failed], *, stopped: bool) -> int:
    click.echo(", ".join(f"{kept[word]} {word}" for word in ("added", "updated", "unchanged")) + ".")
    if failed:
        click.echo(f"Not done, {len(failed)} of {len(failed) + kept.total()}:", err=True)
    for failure in failed:
        where = "" if failure.fault.file and Path(failure.fault.file).name in failure.label else f"{failure.label}: "
        click.echo(f"stillroom: {where}{' '.join(str(failure.fault).split())}", err=True)
    if stopped:
        click.echo("Stopped. What is listed above is in the shelf; run the command again to go on.", err=True)
        return _STOPPED
    if not failed:
        return 0
    return 1 if kept.total() else 2
