"""Faults in tables people edit, gathered so that one run names all of them."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from pipeline.errors import RulesError


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a table: `line` is 1-based, 0 where it is about the whole file; `column` may be empty."""

    file: str
    line: int
    column: str
    message: str

    def __str__(self) -> str:
        column = f"column {self.column}: " if self.column else ""
        return f"{self.file}, line {self.line}: {column}{self.message}" if self.line else f"{self.file}: {self.message}"


@dataclass(slots=True)
class Faults:
    """Collects faults while a table is read; `raise_any` ends the reading."""

    found: list[Fault] = field(default_factory=list)

    def add(self, file: str, line: int, column: str, message: str) -> None:
        """Keep one fault: file, line, column and what is wrong."""
        self.found.append(Fault(file, line, column, message))

    def raise_any(self) -> None:
        """Raise one RulesError that lists every fault, placed at the first; do nothing where there is none."""
        if not self.found:
            return
        first, *others = self.found
        column = f"column {first.column}: " if first.column else ""
        more = "".join(f"; {fault}" for fault in others)
        raise RulesError(f"{column}{first.message}{more}", file=first.file, line=first.line or None)


def rows(path: Path, columns: tuple[str, ...], faults: Faults) -> Iterator[tuple[int, list[str]]]:
    """Rows of a CSV file as (line number, stripped cells in the order of `columns`).

    A missing file, another header or a row of another length becomes a fault; such a row is left out.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as fault:
        faults.add(path.name, 0, "", f"cannot be read: {(fault.strerror or 'unknown fault').lower()}")
        return
    except UnicodeDecodeError as fault:
        faults.add(path.name, 0, "", f"is not UTF-8 text (byte {fault.start})")
        return
    reader = csv.reader(text.splitlines(keepends=True), strict=True)
    try:
        header = tuple(next(reader, ()))
        if header != columns:
            faults.add(path.name, 1, "", f"header is {','.join(header)!r}, expected {','.join(columns)!r}")
            return
        for cells in reader:
            if len(cells) == len(columns):
                yield reader.line_num, [cell.strip() for cell in cells]
            else:
                faults.add(path.name, reader.line_num, "", f"{len(cells)} cells, expected {len(columns)}")
    except csv.Error as fault:
        faults.add(path.name, reader.line_num, "", f"is not CSV: {fault}")


def number(
    text: str, *, file: str, line: int, column: str, faults: Faults, low: float = 0.0, high: float = float("inf")
) -> float | None:
    """The figure in a cell; None where the cell is empty (not known) or, with a fault, is no figure in low..high."""
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        faults.add(file, line, column, f"{text!r} is not a number")
        return None
    if not low <= value <= high:
        faults.add(file, line, column, f"{text} is not between {low:g} and {high:g}")
        return None
    return value
