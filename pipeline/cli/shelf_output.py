"""What the shelf commands share: the option that names the file, figures, and tables that cost nothing to print."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

import click

Cell = str | int | float | bool | None
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_DIGITS = 3
_NOTHING = "–"

shelf_option = click.option(
    "--shelf",
    "path",
    type=click.Path(dir_okay=False, path_type=Path),
    default=Path("stillroom.shelf"),
    show_default=True,
    envvar="STILLROOM_SHELF",
    help="The file of the shelf (or STILLROOM_SHELF).",
)
json_option = click.option("--json", "form", flag_value="json", help="Print JSON.")
csv_option = click.option("--csv", "form", flag_value="csv", help="Print CSV for a spreadsheet.")
per_option = click.option(
    "--per",
    type=click.Choice(["recipe", "serving", "100g"]),
    default="serving",
    show_default=True,
    help="What figures are for.",
)


def per_number(per: str) -> int:
    """The number that the store has for --per."""
    return ("recipe", "serving", "100g").index(per)


def per_words(per: str) -> str:
    """--per in words, as it follows a figure."""
    return "per 100 g" if per == "100g" else f"per {per}"


def figure(value: float) -> str:
    """A figure to read, to three digits."""
    return _rounded(value, round)


def bounds(low: float, high: float, *, is_open: bool) -> str:
    """A range to read, rounded outwards; one without a known upper end says so."""
    return f"at least {_rounded(low, math.floor)}" if is_open else f"{_rounded(low, math.floor)} to {_upper(high)}"


def print_rows(columns: Sequence[str], rows: Iterable[Sequence[Cell]], *, form: str | None, caution: str = "") -> None:
    """Print rows as a table to read, as JSON or as CSV; `caution`, where there is one, stands with them."""
    kept = [list(row) for row in rows]
    if form == "json":
        print_json({"rows": [dict(zip(columns, row, strict=True)) for row in kept], "caution": caution})
    elif form == "csv":
        _print_csv(columns, kept, caution)
    else:
        _print_table(columns, kept)
        if caution:
            click.echo(caution)


def print_json(content: Any) -> None:
    """Print JSON in UTF-8, two-space indent."""
    click.echo(json.dumps(content, indent=2, ensure_ascii=False).encode() + b"\n", nl=False)


def _print_csv(columns: Sequence[str], rows: Sequence[Sequence[Cell]], caution: str) -> None:
    """CSV with the caution in the last column of each row; a cell that a spreadsheet would run is made plain text."""
    import csv
    import io

    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([*columns, "caution"] if caution else columns)
    for row in rows:
        writer.writerow([*map(_harmless, row), *([caution] if caution else [])])
    click.echo(text.getvalue().encode(), nl=False)


def _print_table(columns: Sequence[str], rows: Sequence[Sequence[Cell]]) -> None:
    shown = [[column.replace("_", " ") for column in columns], *([_shown(cell) for cell in row] for row in rows)]
    widths = [max(len(row[place]) for row in shown) for place in range(len(columns))]
    for row in shown:
        click.echo("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())


def _shown(cell: Cell) -> str:
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if cell is None:
        return _NOTHING
    return figure(cell) if isinstance(cell, float) else " ".join(str(cell).split())


def _harmless(cell: Cell) -> Cell:
    return f"'{cell}" if isinstance(cell, str) and cell.lstrip(" ").startswith(_FORMULA) else cell


def _upper(value: float) -> str:
    return _rounded(value, math.ceil)


def _rounded(value: float, way: Callable[[float], float]) -> str:
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else _NOTHING
    step = 10.0 ** (math.floor(math.log10(abs(value))) - _DIGITS + 1)
    exact = value / step
    near = round(exact)
    whole = near if abs(exact - near) < 1e-9 else way(exact)
    return f"{whole * step:,.10g}"
