"""Tables of a load or a verdict: for a person, as JSON, or as CSV whose cells no spreadsheet takes for a formula."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass

import click

Cell = str | float | None
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_NOTHING = "–"
_WIDE = 120


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table to read: its first column is text, figures are set to the right. `remarks` stand below it."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    remarks: tuple[str, ...] = ()


def show(sheets: Sequence[Sheet], *, cautions: Sequence[str]) -> None:
    """Print the tables and then the cautions, each once, to standard output."""
    from rich import box
    from rich.console import Console
    from rich.markup import escape
    from rich.table import Table

    console = Console(highlight=False, soft_wrap=False)
    if not console.is_terminal:
        console.width = _WIDE
    for sheet in sheets:
        console.print(escape(sheet.title), style="bold")
        table = Table(box=box.SIMPLE_HEAD)
        for place, heading in enumerate(sheet.columns):
            figures = place > 0 and all(_is_figure(row[place]) for row in sheet.rows)
            table.add_column(escape(heading), justify="right" if figures else "left", overflow="fold")
        for row in sheet.rows:
            table.add_row(*map(escape, row))
        if sheet.rows:
            console.print(table)
        for remark in sheet.remarks:
            console.print(f"  {escape(remark)}")
        if sheet.remarks:
            console.print()
    for caution in dict.fromkeys(cautions):
        console.print(escape(caution))


def print_csv(columns: Sequence[str], rows: Sequence[Sequence[Cell]], *, caution: str) -> None:
    """Print rows as CSV with the caution in the last column of each; numbers stay numbers, also below nought."""
    import pandas as pd

    cells = [[*map(_harmless, row), caution] for row in rows]
    frame = pd.DataFrame(cells, columns=[*columns, "caution"], dtype=object)
    click.echo(frame.to_csv(index=False, lineterminator="\n"), nl=False)


def print_json(content: object) -> None:
    """Print JSON in UTF-8, two-space indent."""
    click.echo(json.dumps(content, indent=2, ensure_ascii=False).encode() + b"\n", nl=False)


def figure(value: float | None) -> str:
    """A figure to read: three digits at most; a dash where it is not known."""
    from pipeline.publish.figures import nearest

    return _NOTHING if value is None or math.isnan(value) else nearest(value)


def bounds(low: float, high: float) -> str:
    """A range to read, rounded outwards."""
    from pipeline.publish.figures import lower, upper

    return f"{lower(low)} to {upper(high)}"


def _is_figure(text: str) -> bool:
    return text == _NOTHING or any(sign.isdigit() for sign in text.split(" ")[0])


def _harmless(cell: Cell) -> Cell:
    return f"'{cell}" if isinstance(cell, str) and cell.lstrip(" ").startswith(_FORMULA) else cell
