"""Episode -> Markdown."""

from __future__ import annotations

import re

from pipeline.publish.build import card_view
from pipeline.publish.outline import Block, Heading, Item, Items, Paragraph, Table, outline
from pipeline.record import Episode

_MARKS = re.compile(r"([\\`*_\[\]<>|#~&])")
_LIST_START = re.compile(r"^(\d+(?=[.)](?:\s|$))|[-+=])")


def card_markdown(episode: Episode) -> str:
    """The recipe cards of `episode` as Markdown; what the speakers said cannot act as markup."""
    return "\n\n".join(_block(block) for block in outline(card_view(episode))) + "\n"


def _block(block: Block) -> str:
    match block:
        case Heading(level, text):
            return f"{'#' * level} {_plain(text)}"
        case Paragraph(text, aside):
            return f"> {_plain(text)}" if aside else _plain(text)
        case Items(items, numbers):
            marks = [f"{number}." for number in numbers] or ["-"] * len(items)
            return "\n".join(f"{mark} {_item(item)}" for mark, item in zip(marks, items, strict=True))
        case Table():
            return _table(block)


def _item(item: Item) -> str:
    lead = f"**{_plain(item.lead)}** " if item.lead else ""
    tail = f" — {_plain(item.tail)}" if item.tail else ""
    at = f" ({item.at})" if item.at else ""
    return f"{lead}{_plain(item.text)}{tail}{at}"


def _table(table: Table) -> str:
    rows = [" | ".join(_plain(cell) for cell in cells) for cells in (table.header, *table.rows)]
    rule = " | ".join(["---", *["---:"] * (len(table.header) - 1)])
    lines = "\n".join(f"| {row} |" for row in (rows[0], rule, *rows[1:]))
    return f"**{_plain(table.caption)}**\n\n{lines}"


def _plain(text: str) -> str:
    """`text` on one line with every character that Markdown would read as a mark escaped."""
    escaped = _MARKS.sub(r"\\\1", " ".join(text.split()))
    return _LIST_START.sub(lambda start: f"{start[1]}\\" if start[1].isdigit() else f"\\{start[1]}", escaped)
