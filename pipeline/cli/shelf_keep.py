"""`stillroom shelf check`, `backup`, `export` and `remove`."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from pipeline.cli.shelf_output import shelf_option
from pipeline.errors import OutputError, StoreError
from pipeline.shelf.keeping import remove
from pipeline.shelf.store import reading, writing


@click.command(name="check")
@shelf_option
@click.pass_context
def check_(ctx: click.Context, path: Path) -> None:
    """Check that the shelf is whole and that what is searched agrees with its records.

    \b
    Example:
      stillroom shelf check

    Exit status: 0 in order, 1 there are faults, 2 it cannot be read.
    """
    from pipeline.shelf.drafting import Tools
    from pipeline.shelf.upkeep import check

    faults = episodes = 0
    with writing(path) as store:
        for found in check(store, Tools()):
            episodes += found is None
            if found is not None:
                faults += 1
                click.echo(found)
    click.echo(f"{episodes} episodes, {faults} faults." if faults else f"{episodes} episodes, all in order.")
    ctx.exit(1 if faults else 0)


@click.command(name="backup")
@click.argument("target", type=click.Path(dir_okay=False, path_type=Path))
@shelf_option
def backup_(target: Path, path: Path) -> None:
    """Copy the shelf to the file TARGET; it may be in use meanwhile. An older copy at TARGET is replaced.

    \b
    Example:
      stillroom shelf backup copies/stillroom.shelf
    """
    from pipeline.shelf.upkeep import backup

    backup(path, target)
    click.echo(f"{target} written")


@click.command(name="export")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="File to write; otherwise it is printed.")
@shelf_option
def export_(path: Path, out: Path | None) -> None:
    """Write all episodes as lines of JSON: records, transcripts and people's decisions, with nothing lost.

    \b
    Example:
      stillroom shelf export --out shelf.jsonl
    """
    from pipeline.shelf.upkeep import export_lines

    with reading(path) as store:
        if out is None:
            for line in export_lines(store):
                sys.stdout.buffer.write(line.encode())
            return
        part = out.with_name(f".{out.name}.part")
        try:
            with part.open("wb") as file:
                file.writelines(line.encode() for line in export_lines(store))
                file.flush()
                os.fsync(file.fileno())
            part.replace(out)
        except OSError as fault:
            part.unlink(missing_ok=True)
            raise OutputError(f"cannot be written: {(fault.strerror or 'unknown').lower()}", file=str(out)) from fault
    click.echo(f"{out} written")


@click.command(name="remove")
@click.argument("files", nargs=-1, required=True, metavar="FILE...")
@shelf_option
def remove_(files: tuple[str, ...], path: Path) -> None:
    """Take the episodes out whose transcript was called FILE, without its folder, or has the SHA-256 FILE.

    \b
    Example:
      stillroom shelf remove monday.srt
    """
    with writing(path) as store, store.transaction():
        for file in files:
            rows = store.all("SELECT id, sha256 FROM episode WHERE file = ?1 OR sha256 = ?1", (file,))
            if not rows:
                raise StoreError(f"no episode is called {file!r}; nothing was removed", file=str(path))
            if len(rows) > 1:
                which = ", ".join(sha256 for _, sha256 in rows)
                raise StoreError(f"{len(rows)} episodes are called {file!r}; say which: {which}", file=str(path))
            remove(store, rows[0][0])
    click.echo(f"{len(files)} removed")
