"""Episode -> plain text for a terminal or a page of fixed width."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from pipeline.publish.build import card_view
from pipeline.publish.outline import Block, Heading, Item, Items, Paragraph, Table, outline
from pipeline.record import Episode

_NARROWEST = 40
_RULES = (("=", 1), ("-", 2))


def card_text(episode: Episode, width: int = 80) -> str:
    """The recipe cards of `episode` as plain text, lines of at most `width` columns (never under 40)."""
    columns = max(width, _NARROWEST)
    return "\n\n".join(_block(block, columns) for block in outline(card_view(episode))) + "\n"


def _block(block: Block, width: int) -> str:
    match block:
        case Heading(level, text):
            return _heading(level, text, width)
        case Paragraph(text):
            return _wrap(text, width)
        case Items(items, numbers):
            marks = [f"{number}." for number in numbers] or ["-"] * len(items)
            hang = max(len(mark) for mark in marks) + 1
            lines = (_wrap(_item(item), width, mark.ljust(hang)) for mark, item in zip(marks, items, strict=True))
            return "\n".join(lines)
        case Table(caption, header, rows):
            return "\n".join([_wrap(caption, width), *_table(header, rows, width)])


def _heading(level: int, text: str, width: int) -> str:
    title = _wrap(text.upper() if level == 3 else text, width)
    longest = max(len(line) for line in title.splitlines())
    return "\n".join([title, *(sign * longest for sign, ruled in _RULES if ruled == level)])


def _item(item: Item) -> str:
    main = f"{item.lead} {item.text}".strip()
    tail = f" - {item.tail}" if item.tail else ""
    at = f" ({item.at})" if item.at else ""
    return f"{main}{tail}{at}"


def _table(header: tuple[str, ...], rows: Sequence[tuple[str, ...]], width: int) -> Iterable[str]:
    """Columns where they fit, else a sentence a row."""
    grid = list(_grid((header, *rows)))
    if max(map(len, grid)) <= width:
        return grid
    sentences = (
        f"{first}: " + ", ".join(f"{head} {cell}" for head, cell in zip(header[1:], rest, strict=True))
        for first, *rest in rows
    )
    return [_wrap(sentence, width, "- ") for sentence in sentences]


def _grid(rows: Sequence[tuple[str, ...]]) -> Iterable[str]:
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    for row in rows:
        first, *rest = (cell.rjust(size) for cell, size in zip(row, widths, strict=True))
        yield "  ".join([first.strip().ljust(widths[0]), *rest])


def _wrap(text: str, width: int, mark: str = "") -> str:
    filled = textwrap.fill(text, width, initial_indent=mark, subsequent_indent=" " * len(mark))
    return filled or mark
