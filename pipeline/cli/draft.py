"""`stillroom draft`: transcripts to records and recipe cards."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

import click

from pipeline.cli.drafting import Done, Failed, Job, Settings, Tools, make, plan, run
from pipeline.cli.records import KITCHENS, not_carried_out
from pipeline.files import make_folder


@click.command()
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path("recipes"),
    show_default=True,
    help="Folder for the results; made where missing.",
)
@click.option(
    "--measures",
    type=click.Choice(KITCHENS),
    help="Whose cups, pints and spoons are meant, where the recording does not tell.",
)
@click.option("--html", is_flag=True, help="Also write NAME.html, a page to read or print.")
@click.option("--force", is_flag=True, help="Replace results that exist with other content.")
@click.option("--json", "as_json", is_flag=True, help="Print the record of the one FILE and write nothing.")
@click.pass_context
def command(
    ctx: click.Context, files: tuple[str, ...], out: Path, measures: str | None, html: bool, force: bool, as_json: bool
) -> None:
    """Write the recipe cards of one or more transcripts.

    Each FILE becomes NAME.record.json, the full record, and NAME.md, the card to read. `-` reads standard input. What
    people decided, in NAME.amendments.toml beside the record, is carried out again.

    \b
    Example:
      stillroom draft monday.srt tuesday.vtt --html --out cards
      stillroom draft monday.srt --json > monday.record.json

    Exit status: 0 done, 1 some files failed, 2 nothing could be done.
    """
    tools = ctx.obj or Tools()
    jobs = plan(files)
    settings = Settings(out=out, html=html, force=force, measures=measures)
    if as_json:
        _print_record(jobs, tools=tools, settings=settings)
        return
    make_folder(out)
    results = tuple(_watched(jobs, run(jobs, tools=tools, settings=settings)))
    ctx.exit(_report(results))


def _print_record(jobs: tuple[Job, ...], *, tools: Tools, settings: Settings) -> None:
    if len(jobs) != 1 or settings.html:
        raise click.UsageError("--json prints one record: give it one FILE, and no --html")
    done = make(jobs[0], tools=tools, measures=settings.measures, out=settings.out)
    _warn(done)
    click.echo(done.episode.to_json().encode(), nl=False)


def _watched(jobs: tuple[Job, ...], results: Iterable[Done | Failed]) -> Iterable[Done | Failed]:
    if len(jobs) == 1 or not sys.stderr.isatty():
        return results
    from rich.console import Console
    from rich.progress import track

    return track(results, "Drafting", total=len(jobs), console=Console(stderr=True), transient=True)


def _warn(done: Done) -> None:
    """Doubtful places of the input, and decisions that the new draft has no place for."""
    from pipeline.cli.summary import warnings

    for line in (*warnings(done.transcript), *not_carried_out(done.episode, file=done.transcript.file)):
        click.echo(line, err=True)


def _report(results: tuple[Done | Failed, ...]) -> int:
    from pipeline.cli.summary import show

    done = tuple(result for result in results if isinstance(result, Done))
    failed = tuple(result for result in results if isinstance(result, Failed))
    for result in done:
        _warn(result)
    if done:
        show(done)
    if len(results) > 1 and failed:
        click.echo(f"Not done, {len(failed)} of {len(results)} files:", err=True)
    for failure in failed:
        click.echo(f"stillroom: {' '.join(str(failure.fault).split())}", err=True)
    return 0 if not failed else 1 if done else 2
