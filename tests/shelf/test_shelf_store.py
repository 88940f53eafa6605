"""The file: its version, and what happens where it cannot be opened, read or written."""

import multiprocessing
import os
import resource
import shutil
import signal
import sqlite3
import stat
import tempfile
import time
from pathlib import Path

import pytest

from pipeline.errors import StoreError
from pipeline.shelf import store as stores
from pipeline.shelf.finding import find
from pipeline.shelf.question import Question
from pipeline.shelf.store import MIGRATIONS, reading, writing
from pipeline.shelf.upkeep import check, export_lines

from .kitchen import TOOLS, add, dish, episode, record_task, spoken_task

NOBODY = 65534


def sound(path: Path) -> int:
    """The number of episodes of a store that is found to be in order."""
    with writing(path) as store:
        found = list(check(store, TOOLS))
    assert [fault for fault in found if fault] == []
    return len(found)


@pytest.fixture
def filled(place):
    """The path of a closed store with one episode."""
    with writing(place) as store:
        add(store, spoken_task("one.txt", "lemon stew of salmon"))
    return place


def test_a_new_store_is_a_wal_file_of_the_newest_version_that_holds_to_its_keys(tmp_path):
    with writing(tmp_path / "new.shelf", make=True) as store:
        names = ("journal_mode", "foreign_keys", "user_version", "synchronous")
        assert [store.one(f"PRAGMA {name}") for name in names] == ["wal", 1, len(list(MIGRATIONS.glob("*.sql"))), 2]
        with pytest.raises(StoreError, match="FOREIGN KEY"):
            store.run("INSERT INTO recipe_heat (recipe, celsius, what) VALUES (9, 1, 'oven')")


def test_a_store_is_not_made_by_asking(tmp_path):
    for way in (reading, writing):
        with pytest.raises(StoreError, match="there is no shelf here"):
            way(tmp_path / "none.shelf")
    assert list(tmp_path.iterdir()) == []


def test_migrations_run_in_order_and_one_that_fails_leaves_the_store_as_it_was(filled, tmp_path):
    newer = tmp_path / "migrations"
    newer.mkdir()
    first = MIGRATIONS / "001.sql"
    (newer / "001.sql").write_text(first.read_text())
    (newer / "002.sql").write_text("CREATE TABLE two (n INTEGER);\nINSERT INTO two VALUES (2);\n")
    (newer / "003.sql").write_text("CREATE TABLE three (n INTEGER);\nINSERT INTO four VALUES (2);\n")
    with pytest.raises(StoreError, match="no such table: four"):
        writing(filled, migrations=newer)
    raw = sqlite3.connect(filled)
    assert raw.execute("PRAGMA user_version").fetchone() == (2,)
    assert raw.execute("SELECT name FROM sqlite_schema WHERE name IN ('two', 'three')").fetchall() == [("two",)]
    (newer / "003.sql").write_text("CREATE TABLE three (n INTEGER);\n")
    with writing(filled, migrations=newer) as store:
        rows = store.all("SELECT n, (SELECT count(*) FROM three), (SELECT count(*) FROM episode) FROM two")
        assert rows == [(2, 0, 1)]


def test_a_store_of_a_newer_version_is_left_alone(filled):
    raw = sqlite3.connect(filled)
    raw.execute("PRAGMA user_version = 999")
    raw.close()
    before = filled.read_bytes()
    for way in (reading, writing):
        with pytest.raises(StoreError, match="was written by a newer version"):
            way(filled)
    assert filled.read_bytes() == before


def test_a_store_of_an_older_version_is_not_read_before_it_is_brought_up(filled, tmp_path, monkeypatch):
    newer = tmp_path / "migrations"
    newer.mkdir()
    (newer / "001.sql").write_text((MIGRATIONS / "001.sql").read_text())
    (newer / "002.sql").write_text("CREATE TABLE two (n INTEGER);\n")
    monkeypatch.setattr(stores, "MIGRATIONS", newer)
    with pytest.raises(StoreError, match="is of an older version"):
        reading(filled)


def test_the_database_of_another_program_is_left_alone(tmp_path):
    path = tmp_path / "other.db"
    raw = sqlite3.connect(path)
    raw.execute("CREATE TABLE theirs (n)")
    raw.commit()
    raw.close()
    before = path.read_bytes()
    for way in (reading, writing):
        with pytest.raises(StoreError, match="is the database of another program"):
            way(path)
    assert path.read_bytes() == before


def test_a_file_that_is_no_database_is_left_alone(tmp_path):
    path = tmp_path / "notes.txt"
    path.write_text("buy lemons and a little more of everything\n" * 40)
    for way in (reading, writing):
        with pytest.raises(StoreError, match="is no shelf, or is damaged"):
            way(path)
    assert path.read_text().startswith("buy lemons")


def test_a_damaged_page_is_told(filled):
    with writing(filled) as store:
        add(store, *(spoken_task(f"{n}.txt", f"stew {n} of salmon") for n in range(40)))
        page = store.one("SELECT rootpage FROM sqlite_schema WHERE name = 'recipe'")
        size = store.one("PRAGMA page_size")
        store.run("PRAGMA wal_checkpoint(TRUNCATE)")
    with filled.open("r+b") as file:
        file.seek((page - 1) * size)
        file.write(b"\xff" * size)
    with reading(filled) as store, pytest.raises(StoreError, match="is damaged; nothing was changed"):
        find(store, Question(reviewed=True), limit=5)
    with writing(filled) as store, pytest.raises(StoreError, match="is damaged"):
        list(check(store, TOOLS))


def test_what_is_read_in_one_snapshot_is_of_one_moment(filled):
    with writing(filled) as store, reading(filled) as reader:
        with reader.snapshot():
            assert reader.one("SELECT count(*) FROM episode") == 1
            add(store, spoken_task("two.txt", "plain cake of egg"))
            assert len(find(reader, Question(), limit=5).hits) == 1
        assert len(find(reader, Question(), limit=5).hits) == 2


def asking(path: Path, seconds: float) -> None:
    """Ask and export again and again; any fault ends this process with a status."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        with reading(path) as store:
            find(store, Question(words=("salmon",)), limit=20)
            list(export_lines(store))


def test_three_readers_ask_while_one_writes_and_removes(filled):
    fork = multiprocessing.get_context("fork")
    readers = [fork.Process(target=asking, args=(filled, 1.0)) for _ in range(3)]
    for reader in readers:
        reader.start()
    with writing(filled) as store:
        while any(reader.is_alive() for reader in readers):
            add(store, *(spoken_task(f"{number}.txt", f"stew {number} of salmon") for number in range(5)))
            with store.transaction():
                store.run("DELETE FROM episode WHERE file <> 'one.txt'")
    assert [reader.exitcode for reader in readers] == [0, 0, 0]
    assert sound(filled) == 1


def test_check_of_a_locked_store_says_so_and_finds_no_fault(filled, monkeypatch):
    monkeypatch.setattr(stores, "_WAIT_SECONDS", 0.05)
    with writing(filled) as store, store.transaction():
        store.run("UPDATE episode SET date = '2020-01-01'")
        with writing(filled) as second, pytest.raises(StoreError, match="is in use by another program"):
            list(check(second, TOOLS))


def test_a_locked_store_can_be_read_and_refuses_a_second_writer_in_one_sentence(filled, monkeypatch):
    monkeypatch.setattr(stores, "_WAIT_SECONDS", 0.05)
    with writing(filled) as store, store.transaction():
        store.run("DELETE FROM episode")
        with reading(filled) as one, reading(filled) as other:
            assert [reader.one("SELECT count(*) FROM episode") for reader in (one, other)] == [1, 1]
        with writing(filled) as second, pytest.raises(StoreError, match="is in use by another program"):
            add(second, spoken_task("two.txt", "plain cake of egg"))
    assert sound(filled) == 0


def test_readers_see_what_was_finished_while_one_writes(filled):
    with writing(filled) as store, reading(filled) as reader:
        for number in range(3):
            add(store, spoken_task(f"more-{number}.txt", f"stew {number} of salmon"))
            assert reader.one("SELECT count(*) FROM episode") == number + 2


def test_a_full_disk_is_told_and_what_was_finished_is_kept(filled):
    with writing(filled) as store:
        pages = store.one("PRAGMA page_count")
        store.run(f"PRAGMA max_page_count = {pages + 12}")
        done = []
        with pytest.raises(StoreError, match="the disk is full"):
            for number in range(400):
                done += add(store, spoken_task(f"{number}.txt", f"stew {number} of salmon"))
    assert sound(filled) == len(done) + 1


def test_a_file_that_may_not_grow_is_told_and_what_was_finished_is_kept(filled):
    before = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    held = resource.getrlimit(resource.RLIMIT_FSIZE)
    done = []
    try:
        resource.setrlimit(resource.RLIMIT_FSIZE, (filled.stat().st_size + 300_000, held[1]))
        with pytest.raises(StoreError, match="the disk"), writing(filled) as store:
            for number in range(400):
                done += add(store, spoken_task(f"{number}.txt", f"stew {number} of salmon"))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, held)
        signal.signal(signal.SIGXFSZ, before)
    assert done
    assert sound(filled) == len(done) + 1


def ask_and_write(path: Path, end: int) -> None:
    """Read the store, then try to write to it, as a user who may not; what came of it goes to `end`."""
    if os.getuid() == 0:
        os.setgid(NOBODY)
        os.setuid(NOBODY)
    with reading(path) as store:
        os.write(end, f"{store.one('SELECT count(*) FROM episode')}\n".encode())
    try:
        with writing(path) as store, store.transaction():
            store.run("DELETE FROM episode")
    except StoreError as fault:
        os.write(end, f"{fault}\n".encode())


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs another user, or a folder that is read-only for this one")
@pytest.mark.skipif(
    os.getuid() == 0 and not all(folder.stat().st_mode & stat.S_IXOTH for folder in MIGRATIONS.parents),
    reason="the other user that root turns into may not enter the folder of this project",
)
def test_a_read_only_folder_can_be_read_and_is_told_when_written(filled):
    folder = Path(tempfile.mkdtemp())
    path = folder / "test.shelf"
    path.write_bytes(filled.read_bytes())
    path.chmod(0o444)
    folder.chmod(0o555)
    read, write = os.pipe()
    try:
        process = multiprocessing.get_context("fork").Process(target=ask_and_write, args=(path, write))
        process.start()
        process.join()
        os.close(write)
        with os.fdopen(read) as told:
            first, second = told.read().splitlines()
    finally:
        folder.chmod(0o755)
        path.chmod(0o644)
    assert first == "1"
    assert "cannot be written" in second or "cannot be opened" in second
    assert sound(path) == 1
    shutil.rmtree(folder)


def test_check_finds_a_record_or_a_row_that_was_changed(filled):
    with writing(filled) as store:
        add(store, record_task(episode(dish("apple sorbet of apple"), file="pilot.txt")))
        for change, told in (
            ("UPDATE recipe SET title = 'other' WHERE id = 1", "the index of lemon-stew does not agree"),
            ("UPDATE recipe_load SET high = 1 WHERE recipe = 1", "the index of lemon-stew does not agree"),
            ("DELETE FROM recipe_food WHERE recipe = 2", "the index of apple-sorbet does not agree"),
            ("DELETE FROM recipe WHERE id = 2", "apple-sorbet is not in both the record and the index"),
            (
                "UPDATE episode SET record = replace(record, 'salmon', 'cod')",
                "the record is not the one that was stored",
            ),
            ("UPDATE episode SET transcript = x'789c030000000001' WHERE id = 1", "the transcript is not the one"),
            ("INSERT INTO recipe_words (recipe_words) VALUES ('delete-all')", "the index of words does not agree"),
        ):
            with pytest.raises(Undone), store.transaction():
                store.run(change)
                assert any(told in found for found in check(store, TOOLS) if found), change
                raise Undone
        assert [found for found in check(store, TOOLS) if found] == []


class Undone(Exception):
    """Ends a transaction without its changes."""


def test_the_tables_are_in_the_package():
    assert (MIGRATIONS / "001.sql").is_file()
    assert os.fspath(MIGRATIONS).startswith(os.fspath(Path(stores.__file__).parent))
