"""Markup and character references out of a text, and nothing else."""

from __future__ import annotations

import html
import re

TAG = r"</?[A-Za-z][^<>\n]*>"
"""A tag opens with a letter or a slash right after the bracket: `a < b` is text."""

_TAG = re.compile(TAG)
_BREAK = re.compile(r"<br\s*/?>", re.IGNORECASE)
_REFERENCE = re.compile(r"&(?:#[0-9]{1,7}|#[xX][0-9A-Fa-f]{1,6}|[A-Za-z][A-Za-z0-9]{1,31});")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ufeff]")
_HALF_CHARACTER = re.compile(r"[\ud800-\udfff]")


def resolved(text: str) -> str:
    """`text` with character references resolved; control characters become spaces. Line feeds stay."""
    text = _REFERENCE.sub(lambda reference: html.unescape(reference[0]), text)
    return _HALF_CHARACTER.sub("\N{REPLACEMENT CHARACTER}", _CONTROL.sub(" ", text))


def plain(text: str) -> str:
    """`text` without tags, with references resolved and runs of white space folded to one space."""
    return " ".join(resolved(_TAG.sub("", _BREAK.sub(" ", text))).split())
