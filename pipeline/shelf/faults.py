"""What SQLite reports, in words that say what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from pipeline.errors import StoreError

_DAMAGED = "is damaged; nothing was changed: go back to a copy made with `stillroom shelf backup`"
_WAYS = {
    sqlite3.SQLITE_BUSY: "is in use by another program; try again when that is done",
    sqlite3.SQLITE_LOCKED: "is in use by another program; try again when that is done",
    sqlite3.SQLITE_FULL: "the disk is full; what was finished before is kept: make room and run the command again",
    sqlite3.SQLITE_IOERR: "the disk cannot be read or written, it may be full; what was finished before is kept",
    sqlite3.SQLITE_READONLY: "cannot be written: the file or its folder is read-only",
    sqlite3.SQLITE_CANTOPEN: "cannot be opened, or its folder cannot be written",
    sqlite3.SQLITE_NOTADB: "is no shelf, or is damaged",
    sqlite3.SQLITE_CORRUPT: _DAMAGED,
}
_PRIMARY = 0xFF


@contextmanager
def telling(path: Path) -> Iterator[None]:
    """Turn what SQLite raises inside the block into one StoreError about the file `path`."""
    try:
        yield
    except sqlite3.Error as fault:
        raise StoreError(_words(fault), file=str(path)) from fault


def is_refusal(fault: sqlite3.Error) -> bool:
    """Whether SQLite could not make the files it needs beside the store."""
    return _code(fault) in {sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY}


def is_damage(fault: StoreError) -> bool:
    """Whether a StoreError that `telling` raised is about content that is not as it must be."""
    return isinstance(fault.__cause__, sqlite3.Error) and _code(fault.__cause__) == sqlite3.SQLITE_CORRUPT


def _words(fault: sqlite3.Error) -> str:
    code = _code(fault)
    if code in _WAYS:
        return _WAYS[code]
    return f"the store cannot be used: {fault}"


def _code(fault: sqlite3.Error) -> int:
    """SQLite's primary result code; 0 where the fault carries none."""
    return getattr(fault, "sqlite_errorcode", 0) & _PRIMARY
