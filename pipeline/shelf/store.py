"""One file: opened for reading or for writing, made where asked for, brought to the version of this program."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from pipeline.errors import StoreError
from pipeline.shelf.faults import is_refusal, telling

MIGRATIONS = Path(__file__).with_name("migrations")
APPLICATION = 0x5374526D
_WAIT_SECONDS = 10.0
_CACHE_KIB = 32_000
_MAPPED_BYTES = 1 << 28


class Store:
    """An open store. Made by `reading` or `writing`; use it in a `with` block, from one thread."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_: object) -> None:
        self._connection.close()

    def all(self, sql: str, values: tuple[object, ...] = ()) -> list[Any]:
        """All rows of a query. Raises StoreError."""
        with telling(self.path):
            return self._connection.execute(sql, values).fetchall()

    def each(self, sql: str, values: tuple[object, ...] = ()) -> Iterator[Any]:
        """The rows of a query as they come. Raises StoreError."""
        with telling(self.path):
            yield from self._connection.execute(sql, values)

    def one(self, sql: str, values: tuple[object, ...] = ()) -> Any:
        """The first value of the first row; None where there is none. Raises StoreError."""
        with telling(self.path):
            row = self._connection.execute(sql, values).fetchone()
        return None if row is None else row[0]

    def run(self, sql: str, values: tuple[object, ...] = ()) -> int:
        """Run a statement; the id of the row it added, if any. Raises StoreError."""
        with telling(self.path):
            return self._connection.execute(sql, values).lastrowid or 0

    def run_each(self, sql: str, rows: Iterator[tuple[object, ...]] | list[tuple[object, ...]]) -> None:
        """Run a statement once for each row of values. Raises StoreError."""
        with telling(self.path):
            self._connection.executemany(sql, rows)

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """All that is written inside the block, or nothing of it. Raises StoreError."""
        self.run("BEGIN IMMEDIATE")
        try:
            yield
            self.run("COMMIT")
        except BaseException:
            if self._connection.in_transaction:
                self._connection.rollback()
            raise

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """All that is read inside the block is as it stands at one moment, whoever writes meanwhile."""
        if self._connection.in_transaction:
            yield
            return
        self.run("BEGIN")
        try:
            yield
        finally:
            self._connection.rollback()

    def copy_to(self, target: Path) -> None:
        """Copy the whole store, as it stands at one moment, over the file `target`. Raises StoreError."""
        with telling(target):
            copy = sqlite3.connect(target)
            try:
                self._connection.backup(copy)
            finally:
                copy.close()


def reading(path: Path) -> Store:
    """Open the store at `path` to ask questions only; it may be written by another program meanwhile.

    Raises StoreError where there is none, or it is damaged, or of another version.
    """
    _must_exist(path)
    with telling(path):
        store = Store(path, _connect_reading(path))
        for setting in ("query_only = 1", f"cache_size = -{_CACHE_KIB}", f"mmap_size = {_MAPPED_BYTES}"):
            store.run(f"PRAGMA {setting}")
        version = _version(store)
    newest = _newest(MIGRATIONS)
    if version < newest:
        raise StoreError(
            f"is of an older version ({version}, this program has {newest}); `stillroom shelf rebuild` brings it up",
            file=str(path),
        )
    return store


def writing(path: Path, *, make: bool = False, migrations: Path = MIGRATIONS) -> Store:
    """Open the store at `path` to read and write, brought to the newest version; `make` it where it is missing.

    Raises StoreError where that cannot be done.
    """
    if not make:
        _must_exist(path)
    fresh = not path.exists() or path.stat().st_size == 0
    with telling(path):
        store = Store(path, sqlite3.connect(path, timeout=_WAIT_SECONDS, isolation_level=None))
        try:
            _settle(store, fresh=fresh, migrations=migrations)
        except BaseException:
            store.__exit__()
            raise
    return store


def is_store(path: Path) -> bool:
    """Whether the file at `path` is a store of this program, whatever its version."""
    try:
        with Store(path, sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as store:
            return bool(store.one("PRAGMA application_id") == APPLICATION)
    except (StoreError, sqlite3.Error):
        return False


def _settle(store: Store, *, fresh: bool, migrations: Path) -> None:
    version = 0 if fresh else _version(store, migrations)
    store.run("PRAGMA journal_mode = WAL")
    for setting in ("synchronous = FULL", "foreign_keys = 1", f"cache_size = -{_CACHE_KIB}"):
        store.run(f"PRAGMA {setting}")
    if version < _newest(migrations):
        _migrate(store, migrations)


def _migrate(store: Store, migrations: Path) -> None:
    """Run each migration that the store has not had, each in a transaction of its own."""
    for number, file in _numbered(migrations):
        with store.transaction():
            if _held(store) < number:
                _apply(store, number, file.read_text(encoding="utf-8"))


def _apply(store: Store, number: int, script: str) -> None:
    for statement in _statements(script):
        store.run(statement)
    store.run(f"PRAGMA application_id = {APPLICATION}")
    store.run(f"PRAGMA user_version = {number}")


def _statements(script: str) -> Iterator[str]:
    held = ""
    for line in script.splitlines(keepends=True):
        held += line
        if held.strip() and sqlite3.complete_statement(held):
            yield held
            held = ""


def _version(store: Store, migrations: Path = MIGRATIONS) -> int:
    """The version of a store; raises StoreError where the file is no store, or one of a newer program."""
    application, version, newest = store.one("PRAGMA application_id"), _held(store), _newest(migrations)
    empty = application == 0 and version == 0 and store.one("SELECT count(*) FROM sqlite_schema") == 0
    if application != APPLICATION and not empty:
        raise StoreError("is the database of another program", file=str(store.path))
    if version > newest:
        raise StoreError(
            f"was written by a newer version of this program (store {version}, known up to {newest});"
            " use that one, nothing was changed",
            file=str(store.path),
        )
    return version


def _held(store: Store) -> int:
    return int(store.one("PRAGMA user_version"))


def _newest(migrations: Path) -> int:
    return max(number for number, _ in _numbered(migrations))


def _numbered(migrations: Path) -> list[tuple[int, Path]]:
    return sorted((int(file.stem), file) for file in migrations.glob("*.sql"))


def _must_exist(path: Path) -> None:
    if not path.is_file():
        raise StoreError("there is no shelf here; `stillroom shelf add` makes one", file=str(path))


def _connect_reading(path: Path) -> sqlite3.Connection:
    """A connection that cannot write; where the folder cannot be written, and nobody writes, one without a journal."""
    place = path.resolve().as_uri()
    connection = sqlite3.connect(f"{place}?mode=ro", uri=True, timeout=_WAIT_SECONDS, isolation_level=None)
    try:
        connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    except sqlite3.OperationalError as fault:
        connection.close()
        if not is_refusal(fault) or _journal(path).exists():
            raise
        return sqlite3.connect(f"{place}?immutable=1", uri=True, isolation_level=None)
    return connection


def _journal(path: Path) -> Path:
    return path.with_name(f"{path.name}-wal")
