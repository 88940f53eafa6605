"""Where the language files (`models/`) and the tables (`data/`) lie, in a checkout and in an installed package."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path

from pipeline.errors import RulesError

_PACKAGE = Path(__file__).resolve().parent


def _folder(name: str) -> Path:
    installed = _PACKAGE / name
    return installed if installed.is_dir() else _PACKAGE.parent / name


def models_path(*parts: str) -> Path:
    """Path of a file or folder under `models/`."""
    return _folder("models").joinpath(*parts)


def data_path(*parts: str) -> Path:
    """Path of a file or folder under `data/`."""
    return _folder("data").joinpath(*parts)


def read_rows(path: Path, columns: tuple[str, ...]) -> Iterator[tuple[int, dict[str, str]]]:
    """Rows of a CSV file as (line number, {column: text}); every cell stripped.

    Raises RulesError where the file is missing, the header is not exactly `columns`, or a row has another
    number of cells.
    """
    try:
        file = path.open(newline="", encoding="utf-8")
    except OSError as fault:
        raise RulesError(f"cannot be read: {fault.strerror}", file=path.name) from fault
    with file:
        reader = csv.reader(file)
        header = tuple(next(reader, ()))
        if header != columns:
            raise RulesError(f"header is {','.join(header)!r}, expected {','.join(columns)!r}", file=path.name, line=1)
        for cells in reader:
            if len(cells) != len(columns):
                raise RulesError(
                    f"{len(cells)} cells, expected {len(columns)} ({','.join(columns)})",
                    file=path.name,
                    line=reader.line_num,
                )
            yield reader.line_num, {column: cell.strip() for column, cell in zip(columns, cells, strict=True)}
