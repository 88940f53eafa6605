"""The file of decisions beside a record: read whole or not at all, and added to without touching the rest of it."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from pipeline.errors import RecordError
from pipeline.files import write_text
from pipeline.review.decisions import Amendments, Decision, ReviewGiven

_RECORD = ".record.json"
_HEAD = "What people decided about this record, oldest first. Edit by hand, or with `stillroom amend`."


def amendments_path(record: Path) -> Path:
    """`NAME.amendments.toml` beside `NAME.record.json`."""
    name = record.name
    return record.with_name(f"{name.removesuffix(_RECORD) if name.endswith(_RECORD) else record.stem}.amendments.toml")


def read_amendments(path: Path) -> Amendments:
    """The decisions in the file `path`; none where there is no such file. Raises RecordError that lists all faults."""
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return Amendments()
    except (OSError, UnicodeDecodeError) as fault:
        raise RecordError(f"cannot be read: {fault}", file=str(path)) from fault
    return parse_amendments(text, file=str(path))


def parse_amendments(text: str, *, file: str) -> Amendments:
    """The decisions in `text`; `file` is the name it goes by. Raises RecordError that lists all faults."""
    try:
        return Amendments.model_validate(tomllib.loads(text))
    except tomllib.TOMLDecodeError as fault:
        raise RecordError(f"is no TOML: {fault}", file=file) from fault
    except ValidationError as fault:
        raise RecordError(_faults(fault), file=file, line=_line(fault, text)) from fault


def add_to(path: Path, *, decision: Decision | None = None, review: ReviewGiven | None = None) -> None:
    """Add a decision, a review or both at the end of the file `path`, made where missing; what stands there stays.

    Raises RecordError where the file cannot be read or added to, OutputError where it cannot be written.
    """
    read_amendments(path)
    text = path.read_text(encoding="utf-8") if path.exists() else f"# {_HEAD}\n"
    for key, entry in (("decision", decision), ("review", review)):
        if entry is not None:
            text = f"{text.rstrip()}\n\n{_table(key, entry)}"
    parse_amendments(text, file=str(path))
    write_text(path, text, force=True)


def _table(key: str, entry: BaseModel) -> str:
    """A [[key]] table; what an entry leaves at its default is not written, save for its kind."""
    import tomlkit

    table = tomlkit.table()
    for name, value in _fields(entry).items():
        table.add(name, value)
    rows = tomlkit.aot()
    rows.append(table)
    document = tomlkit.document()
    document.add(key, rows)
    return tomlkit.dumps(document)


def _fields(entry: BaseModel) -> dict[str, Any]:
    values = entry.model_dump(exclude_defaults=True)
    kind = {"kind": entry.kind} if isinstance(entry, Decision) else {}
    fields = {**kind, **values}
    return {name: list(value) if isinstance(value, tuple) else value for name, value in fields.items()}


def _faults(fault: ValidationError) -> str:
    shown = []
    for error in fault.errors():
        at = [str(part + 1) if isinstance(part, int) else part for part in error["loc"]]
        shown.append(f"{' '.join(at)}: {error['msg'].removeprefix('Value error, ')}")
    return "; ".join(shown)


def _line(fault: ValidationError, text: str) -> int | None:
    """The line where the table with the first fault begins."""
    key, *rest = fault.errors()[0]["loc"]
    heads = [number for number, line in enumerate(text.splitlines(), 1) if re.match(rf"\s*\[\[\s*{key}\s*\]\]", line)]
    return heads[rest[0]] if rest and isinstance(rest[0], int) and rest[0] < len(heads) else None
