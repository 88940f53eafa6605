"""`stillroom audit`: the stated settings of recordings, with what is wrong or missing."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipeline.cli.drafting import Tools
from pipeline.errors import OutputError, StillroomError, TranscriptError
from pipeline.files import write_text

if TYPE_CHECKING:
    from rich.console import Console

    from pipeline.audit import Audit
    from pipeline.read.transcript import Transcript
    from pipeline.record import Episode

_RECORD = ".record.json"
_TRANSCRIPTS = frozenset({".ass", ".json", ".md", ".srt", ".ssa", ".txt", ".vtt"})
_MARK = b'"stillroom-episode/'
_HEAD = 200


@click.command()
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path))
@click.option("--csv", "form", flag_value="csv", help="Print a table as CSV, one row a setting and finding.")
@click.option("--json", "form", flag_value="json", help="Print everything as JSON.")
@click.option("--html", type=click.Path(dir_okay=False, path_type=Path), help="Write a page to read or print.")
@click.option(
    "--captions",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write a correction track (WebVTT) to lay over the one recording.",
)
@click.option("--force", is_flag=True, help="Replace files that exist with other content.")
@click.pass_context
def command(
    ctx: click.Context,
    files: tuple[Path, ...],
    form: str | None,
    html: Path | None,
    captions: Path | None,
    force: bool,
) -> None:
    """List stated temperatures and times, with what is wrong.

    FILE is a transcript, a record, or a folder of them. A record is audited with the transcript it was made of where
    that lies beside it; without, what is judged by a missing word is left out.

    \b
    Example:
      stillroom audit monday.srt --captions monday.corrections.vtt
      stillroom audit recordings --html audit.html

    What lies in a folder and is neither transcript nor record is named and left out.

    Exit status: 0 done, whatever was found; 1 some files could not be audited; 2 none could.
    """
    from pipeline.audit import captions as track

    queue = _listed(files)
    if captions and len(queue) != 1:
        raise click.UsageError("--captions is for one recording: give it one FILE")
    audits, faults = _all(queue, ctx.obj or Tools())
    if captions and audits:
        _write(captions, track(audits[0]), files=queue, force=force)
    if html and audits:
        from pipeline.audit import audit_html

        _write(html, audit_html(audits), files=queue, force=force)
    if audits:
        _show(audits, form)
    failed = [fault for file, fault in faults if file in files or not isinstance(fault, TranscriptError)]
    for _, fault in faults:
        start = "stillroom" if fault in failed else "left out"
        click.echo(f"{start}: {' '.join(str(fault).split())}", err=True)
    ctx.exit(0 if audits and not failed else 1 if audits else 2)


def _listed(files: Iterable[Path]) -> tuple[Path, ...]:
    """The files, folders opened: their records, and their transcripts that have no record there."""
    found: dict[Path, None] = {}
    for file in files:
        found |= dict.fromkeys(_within(file) if file.is_dir() else [file])
    if not found:
        raise TranscriptError("there is no transcript and no record in it", file=", ".join(map(str, files)))
    return tuple(found)


def _within(folder: Path) -> list[Path]:
    inside = sorted(path for path in folder.iterdir() if path.is_file() and path.suffix.lower() in _TRANSCRIPTS)
    recorded = {path.name.removesuffix(_RECORD) for path in inside if path.name.endswith(_RECORD)}
    return [path for path in inside if path.name.endswith(_RECORD) or path.stem not in recorded]


def _all(files: Sequence[Path], tools: Tools) -> tuple[list[Audit], list[tuple[Path, StillroomError]]]:
    audits: list[Audit] = []
    faults: list[tuple[Path, StillroomError]] = []
    for file in _watched(files):
        try:
            audits.append(_one(file, tools))
        except StillroomError as fault:
            faults.append((file, fault))
    return audits, faults


def _one(file: Path, tools: Tools) -> Audit:
    from pipeline.audit import audit

    episode = _record(file)
    if episode is not None:
        return audit(episode, _beside(file, episode, tools))
    transcript = tools.read(file)
    return audit(tools.draft(transcript, measures=None), transcript)


def _record(file: Path) -> Episode | None:
    """The record in the file, None where it is none."""
    from pipeline.cli.dishes import read_record

    if file.suffix.lower() != ".json" or not file.is_file():
        return None
    with file.open("rb") as opened:
        head = opened.read(_HEAD)
    return read_record(file) if _MARK in head else None


def _beside(file: Path, episode: Episode, tools: Tools) -> Transcript | None:
    """The transcript that the record names, where it lies in the same folder or the one above and is unchanged."""
    for folder in (file.parent, file.parent.parent):
        path = folder / Path(episode.source.file).name
        if path.is_file() and path != file:
            transcript = tools.read(path)
            if transcript.sha256 == episode.source.sha256:
                return transcript
    return None


def _watched(files: Sequence[Path]) -> Iterable[Path]:
    if len(files) == 1 or not sys.stderr.isatty():
        return files
    from rich.console import Console
    from rich.progress import track

    return track(files, "Auditing", total=len(files), console=Console(stderr=True), transient=True)


def _write(path: Path, text: str, *, files: Iterable[Path], force: bool) -> None:
    if path.resolve() in {file.resolve() for file in files}:
        raise OutputError("is one of the files to audit and was left as it is; name another", file=str(path))
    outcome = write_text(path, text, force=force)
    click.echo(f"{path} {outcome}", err=True)


def _show(audits: Sequence[Audit], form: str | None) -> None:
    from pipeline.audit import audit_csv, audit_json, audit_text

    if form == "csv":
        click.echo(audit_csv(audits).encode(), nl=False)
    elif form == "json":
        click.echo(audit_json(audits).encode(), nl=False)
    elif sys.stdout.isatty():
        _tables(audits)
    else:
        click.echo(audit_text(audits), nl=False)


def _tables(audits: Sequence[Audit]) -> None:
    from rich.console import Console
    from rich.markup import escape

    from pipeline.audit.export import totals, worst_first

    console = Console(highlight=False)
    if len(audits) > 1:
        console.print(escape("\n".join(totals(audits))), end="\n\n")
    for audit in worst_first(audits):
        _table(console, audit)
    for caution in dict.fromkeys(audit.caution for audit in audits):
        console.print(escape(caution))


def _table(console: Console, audit: Audit) -> None:
    from rich import box
    from rich.markup import escape
    from rich.table import Table

    from pipeline.audit.export import counted, first_shown, loose, place
    from pipeline.errors import clock

    table = Table(
        title=escape(f"{audit.file}: {counted(audit)}"), title_justify="left", title_style="bold", box=box.SIMPLE_HEAD
    )
    for heading in ("At", "Setting", "Said", "Finding"):
        table.add_column(heading, overflow="fold")
    firsts = first_shown(audit)
    for at, row in enumerate(audit.settings):
        setting = "\n".join(filter(None, (row.figure, row.also, row.about)))
        found = [_told(audit, number) for number in row.findings if firsts[number] == at] or [row.remark]
        cells = (clock(row.at), setting, f"{row.words}\n{place(row)}", "\n".join(found))
        table.add_row(*(escape(cell) for cell in cells))
    for number in loose(audit):
        one = audit.findings[number]
        said = "\n".join(said.words for said in one.evidence)
        table.add_row(*(escape(cell) for cell in (clock(one.at), one.dish, said, _told(audit, number))))
    console.print(table)
    for reason in audit.reasons:
        console.print(escape(reason.text), style="dim")


def _told(audit: Audit, number: int) -> str:
    one = audit.findings[number]
    return f"{one.level} {one.rule}: {one.text} {one.action} ({'; '.join(one.sources)})"
