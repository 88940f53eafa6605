"""kill -9 at random moments: the store opens, is in order, and holds every episode that was told finished."""

import multiprocessing
import os
import signal
import sqlite3
import time
from random import Random

import pytest

from pipeline.shelf.adding import Crew, keep_all, tasks_again
from pipeline.shelf.store import writing
from pipeline.shelf.upkeep import backup, export_lines, tasks_of_lines

from .kitchen import LATER, TOOLS, Inline, add, spoken_task
from .test_shelf_store import sound

FORK = multiprocessing.get_context("fork")
EPISODES = 25
COPIES = 12
KILLS = 9


def adding(path, tell):
    """Add episodes to the store, telling each that is finished."""
    with writing(path, make=True) as store:
        tasks = [spoken_task(f"new-{n}.txt", f"stew {n} of salmon and butter at 180") for n in range(EPISODES)]
        for done in keep_all(store, tasks, Crew(Inline(), 1, TOOLS)):
            tell(done.label)


def rebuilding(path, tell):
    """Draft all episodes again."""
    with writing(path) as store:
        for done in keep_all(store, tasks_again(store, every=True), Crew(Inline(), 1, LATER), anew=True):
            tell(done.label)


def importing(path, tell):
    """Take in lines that were written before."""
    with writing(path, make=True) as store:
        lines = path.with_name("lines.jsonl").read_bytes().splitlines()
        for done in keep_all(store, tasks_of_lines(lines, file="x"), Crew(Inline(), 1, TOOLS)):
            tell(done.label)


def backing_up(path, tell):
    """Copy the store over an older copy, again and again."""
    for number in range(COPIES):
        backup(path, path.with_name("copy.shelf"))
        tell(str(number))


def killed(work, path, after, pause):
    """Run `work` in a process that is killed `pause` seconds after it told so much finished; all that it told.

    Where it came to its end before that, as on a busy machine, it does it once more.
    """
    read, write = os.pipe()
    process = FORK.Process(target=_telling, args=(work, path, write))
    process.start()
    os.close(write)
    with os.fdopen(read) as told:
        first = [told.readline() for _ in range(after)]
        time.sleep(pause)
        os.kill(process.pid, signal.SIGKILL)
        process.join()
        if process.exitcode != -signal.SIGKILL:
            return killed(work, path, after, pause)
        return [line.strip() for line in (*first, *told)]


def _telling(work, path, write):
    work(path, lambda label: os.write(write, f"{label}\n".encode()))


@pytest.fixture
def stocked(place):
    """A store with episodes, a copy of it, and its lines."""
    with writing(place) as store:
        add(store, *(spoken_task(f"old-{n}.txt", f"cake {n} of egg") for n in range(EPISODES)))
        place.with_name("lines.jsonl").write_text("".join(export_lines(store)).replace("old-", "in-"))
    backup(place, place.with_name("copy.shelf"))
    return place


@pytest.mark.parametrize(
    ("work", "most", "longest"),
    [(adding, EPISODES, 0.01), (rebuilding, EPISODES, 0.01), (importing, EPISODES, 0.01), (backing_up, COPIES, 0.05)],
)
def test_a_kill_at_any_moment_loses_nothing_that_was_finished(stocked, work, most, longest):
    random = Random(work.__name__)
    before = {path: path.read_bytes() for path in stocked.parent.glob("*.shelf")}
    told_in_all = 0
    for _ in range(KILLS):
        for path, content in before.items():
            for suffix in ("", "-wal", "-shm"):
                path.with_name(f"{path.name}{suffix}").unlink(missing_ok=True)
            path.write_bytes(content)
        told = killed(work, stocked, random.randrange(most // 2), random.uniform(0, longest))
        told_in_all += len(told)
        assert sound(stocked) >= EPISODES
        assert sound(stocked.with_name("copy.shelf")) == EPISODES
        files = dict(sqlite3.connect(stocked).execute("SELECT file, rules FROM episode"))
        if work in (adding, rebuilding):
            assert set(told) <= set(files)
        if work is rebuilding:
            assert all(files[label] == "later" for label in told)
        if work is importing:
            assert len(files) >= len(told)
    assert told_in_all > 0


def test_after_a_kill_the_same_command_finishes_the_work(stocked):
    killed(adding, stocked, 3, 0)
    adding(stocked, lambda label: None)
    assert sound(stocked) == 2 * EPISODES


def test_a_kill_while_the_store_is_made_leaves_one_that_can_be_filled(tmp_path):
    random = Random(3)
    path = tmp_path / "new.shelf"
    for _ in range(6):
        for suffix in ("", "-wal", "-shm"):
            path.with_name(f"{path.name}{suffix}").unlink(missing_ok=True)
        told = killed(adding, path, random.randrange(2), random.uniform(0, 0.03))
        adding(path, lambda label: None)
        assert sound(path) == EPISODES >= len(told)
