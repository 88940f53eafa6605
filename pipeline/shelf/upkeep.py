"""Is the store whole; a copy of it; its episodes as JSON lines, out and in."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pipeline.errors import OutputError, RecordError, StillroomError, StoreError
from pipeline.shelf.drafting import Failed, Task, inflate, parse_record
from pipeline.shelf.entry import AUDIT, Entry, RecipeEntry, entry_of
from pipeline.shelf.faults import is_damage
from pipeline.shelf.keeping import recipe_columns, text_columns
from pipeline.shelf.store import Store, is_store, reading

if TYPE_CHECKING:
    from pipeline.shelf.drafting import Tools

_LINE = "stillroom-shelf/1"
_EPISODE = (
    "SELECT file, date, rules, duration, record, digest, transcript, amendments, measures, sha256"
    " FROM episode WHERE id = ?"
)
_RECIPE = "SELECT slug, title, start, stop, reviewed, time_low, time_high, id FROM recipe WHERE episode = ? ORDER BY id"
_USES = "SELECT f.key FROM recipe_food u JOIN food f ON f.id = u.food WHERE u.recipe = ?"
_LOADS = (
    "SELECT n.name, l.per, l.low, l.best, l.high, l.at_least FROM recipe_load l JOIN nutrient n ON n.id = l.nutrient"
    " WHERE l.recipe = ?"
)
_HEATS = "SELECT celsius, what FROM recipe_heat WHERE recipe = ?"
_FINDINGS = "SELECT rule, level, text, start FROM recipe_finding WHERE recipe = ? ORDER BY n"


def check(store: Store, tools: Tools) -> Iterator[str | None]:
    """What is wrong with the store, a sentence each; None after each episode that was looked at.

    The file's pages, the links between tables and the word index come first, then every record against its rows.
    """
    yield from _file_faults(store)
    for (number,) in store.all("SELECT id FROM episode ORDER BY id"):
        with store.snapshot():
            faults = list(_episode_faults(store, number, tools))
        yield from faults
        yield None


def backup(path: Path, target: Path) -> None:
    """Copy the store at `path`, which others may be writing to, to `target` in one step.

    Raises OutputError where `target` is something else than an older copy or cannot be written, StoreError where the
    store cannot be read or the copy is not whole. What was at `target` stays until the copy is done.
    """
    if target.exists() and (target.samefile(path) or not is_store(target)):
        raise OutputError("exists and is no copy of a shelf; it was left as it is", file=str(target))
    part = target.with_name(f".{target.name}.part")
    try:
        part.unlink(missing_ok=True)
        with reading(path) as store:
            store.copy_to(part)
        with reading(part) as copy:
            faults = [fault for (fault,) in copy.all("PRAGMA quick_check") if fault != "ok"]
        if faults:
            raise StoreError(f"the copy is not whole: {faults[0]}", file=str(target))
        part.replace(target)
    except OSError as fault:
        raise OutputError(f"cannot be written: {(fault.strerror or 'unknown').lower()}", file=str(target)) from fault
    finally:
        for suffix in ("", "-wal", "-shm"):
            _discard(part.with_name(f"{part.name}{suffix}"))


def export_lines(store: Store) -> Iterator[str]:
    """The episodes as lines of JSON, by name and content, with all that importing them anew needs.

    They are those that are there when the first line is taken.
    """
    with store.snapshot():
        yield from _export_lines(store)


def _export_lines(store: Store) -> Iterator[str]:
    for (number,) in store.all("SELECT id FROM episode ORDER BY file, sha256"):
        ((file, date, _, _, record, _, transcript, amendments, measures, _),) = store.all(_EPISODE, (number,))
        content = inflate(transcript)
        fields = {
            "shelf": _LINE,
            "file": file,
            "date": date,
            "measures": measures,
            "amendments": amendments,
            "transcript": None if content is None else base64.b64encode(content).decode(),
        }
        yield f'{json.dumps(fields, ensure_ascii=False)[:-1]}, "record": {record}}}\n'


def tasks_of_lines(lines: Iterable[bytes], *, file: str) -> Iterator[Task | Failed]:
    """The episodes in lines of JSON as `export_lines` writes them; a line that is none is a failure."""
    for number, line in enumerate(lines, 1):
        label = f"{file}, line {number}"
        if not line.strip():
            continue
        try:
            yield _task(json.loads(line), label)
        except (ValueError, KeyError, TypeError) as fault:
            yield Failed(label, RecordError(f"is no line of a shelf: {fault}", file=file, line=number))


def _task(fields: dict[str, Any], label: str) -> Task:
    if fields["shelf"] != _LINE:
        raise ValueError(f"its form is {fields['shelf']!r}, expected {_LINE!r}")
    content = fields["transcript"]
    return Task(
        label=label,
        file=fields["file"],
        content=None if content is None else base64.b64decode(content, validate=True),
        record=json.dumps(fields["record"], ensure_ascii=False).encode(),
        amendments=fields["amendments"],
        measures=fields["measures"],
        date=fields["date"],
    )


def _file_faults(store: Store) -> Iterator[str]:
    yield from (str(fault) for (fault,) in store.all("PRAGMA integrity_check") if fault != "ok")
    for table, row, parent, _ in store.all("PRAGMA foreign_key_check"):
        yield f"{table}, row {row}: what it belongs to is not in {parent}"
    try:
        store.run("INSERT INTO recipe_words (recipe_words, rank) VALUES ('integrity-check', 1)")
    except StoreError as fault:
        if not is_damage(fault):
            raise
        yield "the index of words does not agree with the recipes"


def _episode_faults(store: Store, number: int, tools: Tools) -> Iterator[str]:
    """Where the record is not what was stored, or the rows are not those it becomes; nothing where it was removed."""
    for row in store.all(_EPISODE, (number,)):
        yield from _faults(store, number, row, tools)


def _faults(store: Store, number: int, row: Any, tools: Tools) -> Iterator[str]:
    file, date, _, _, record, digest, transcript, amendments, measures, sha256 = row
    if hashlib.sha256(record.encode()).digest() != digest:
        yield f"{file}: the record is not the one that was stored"
        return
    content = inflate(transcript)
    if content is not None and hashlib.sha256(content).hexdigest() != sha256:
        yield f"{file}: the transcript is not the one that was stored"
        return
    try:
        entry = entry_of(
            parse_record(record, file=file),
            None if content is None else tools.read(content, file),
            content=content,
            amendments=amendments,
            measures=measures,
            date=date,
        )
    except StillroomError as fault:
        yield f"{file}: {fault}"
        return
    yield from _row_faults(store, number, entry)


def _row_faults(store: Store, number: int, entry: Entry) -> Iterator[str]:
    rows = {row[0]: row for row in store.all(_RECIPE, (number,))}
    for slug in sorted(set(rows).symmetric_difference(recipe.slug for recipe in entry.recipes)):
        yield f"{entry.file}: {slug} is not in both the record and the index"
    for recipe in entry.recipes:
        if recipe.slug in rows and not _agrees(store, rows[recipe.slug], recipe):
            yield f"{entry.file}: the index of {recipe.slug} does not agree with its record"


def _agrees(store: Store, row: Any, recipe: RecipeEntry) -> bool:
    """Whether the rows are those of `recipe`. What the audit found rests on the rules too, and is not compared."""
    key = (row[-1],)
    own = [tuple(asdict(found).values()) for found in recipe.findings if not found.rule.startswith(AUDIT)]
    texts = store.all("SELECT title, foods, method, spoken, moments FROM recipe_text WHERE recipe = ?", key)
    return (
        tuple(row[:-1]) == recipe_columns(recipe)
        and texts == [text_columns(recipe)]
        and {food for (food,) in store.all(_USES, key)} == {use.key for use in recipe.uses}
        and set(store.all(_LOADS, key)) == {tuple(asdict(load).values()) for load in recipe.loads}
        and set(store.all(_HEATS, key)) == set(recipe.heats)
        and [found for found in store.all(_FINDINGS, key) if not found[0].startswith(AUDIT)] == own
    )


def _discard(path: Path) -> None:
    path.unlink(missing_ok=True)
