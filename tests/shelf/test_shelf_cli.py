"""The commands of the shelf, as they are typed."""

import csv
import io
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from pipeline.cli.shelf import COMMANDS
from pipeline.cli.shelf_output import bounds, figure
from pipeline.errors import StoreError
from pipeline.shelf.store import reading
from pipeline.version import CAUTION

from .kitchen import TOOLS, add, dish, episode, record_task, transcript
from .test_shelf_store import sound

ROOT = Path(__file__).parents[2]
ENDLESS = """
import sys, time
sys.path.insert(0, {tests!r})
from shelf import test_shelf_cli
from shelf.kitchen import TOOLS, draft
from pipeline.cli import main
from pipeline.shelf.drafting import Tools
main(["shelf", "add", {folder!r}, "--shelf", {path!r}, "--workers", "2"], obj=Tools(draft=test_shelf_cli.slow_draft))
"""


def slow_draft(spoken, *, measures=None):
    """A drafter that takes its time."""
    time.sleep(0.03)
    return TOOLS.draft(spoken, measures=measures)


@pytest.fixture
def run(place, shelf):
    """Runs `stillroom shelf ...` on a store of three programmes."""

    def run(*words, status=0):
        result = CliRunner().invoke(main, ["shelf", *words, "--shelf", str(place)], obj=TOOLS)
        assert result.exit_code == status, result.output
        return result

    return run


@pytest.mark.parametrize("entry", COMMANDS, ids=lambda entry: entry.name)
def test_every_command_has_help_and_an_example(entry):
    shown = CliRunner().invoke(main, ["shelf", entry.name, "-h"]).output
    assert f"stillroom shelf {entry.name}" in shown


def test_find_prints_place_range_review_and_caution(run):
    shown = run("find", "lemon", "--without", "eggs", "--under", "potassium=900").stdout
    assert "lemon stew" in shown
    assert "monday-2023-02-01.txt, 2023-02-01, 1:00 to 2:01, said at 1:00; not yet reviewed by a dietitian" in shown
    assert "potassium 320 mg (160 to 640) per serving" in shown
    assert shown.endswith(f"{CAUTION}\n")
    assert "potassium 1,000 mg (at least 500) per serving" in run("find", "dragon").stdout
    assert run("find", "nothing like it").stdout == "No recipe meets all of that.\n"


def test_find_as_json_and_csv(run):
    found = json.loads(run("find", "--sort", "potassium", "--limit", "2", "--json").stdout)
    assert [one["title"] for one in found["recipes"]] == ["plain cake", "apple sorbet"]
    assert (found["more"], found["caution"]) == (True, CAUTION)
    rows = list(csv.DictReader(io.StringIO(run("find", "dragon", "--csv").stdout)))
    assert [(row["potassium_mg_low"], row["potassium_mg_high"], row["caution"]) for row in rows] == [
        ("500.0", "", CAUTION)
    ]


def test_a_cell_that_a_spreadsheet_would_run_is_made_plain(run, shelf):
    add(shelf, record_task(episode(dish("=1+1 pie of milk"), file="+sum.txt")))
    (row,) = csv.DictReader(io.StringIO(run("find", "pie", "--csv").stdout))
    assert (row["title"], row["file"]) == ("'=1+1 pie", "'+sum.txt")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("find", "--with", "foo bar"), "no food or group of foods is called 'foo bar'"),
        (("find", "--under", "potassium"), "'potassium' is no bound, expected one such as potassium=200"),
        (("find", "--heat", "hot"), "'hot' is no range, expected one such as 175..190C"),
        (("find", "--time", "..5parsecs"), "'parsecs' is no unit of time"),
        (("find", "--from", "yesterday"), "'yesterday' is no date"),
        (("show", "none"), "there is no recipe 'none' on this shelf"),
        (("audit", "none"), "there is no audit 'none'; there are claims, internal, stop"),
        (("remove", "none.txt"), "no episode is called 'none.txt'; nothing was removed"),
        (("add", "none.txt"), "none.txt: there is no such file or folder"),
    ],
)
def test_a_fault_is_one_line_and_status_2(run, words, message):
    shown = run(*words, status=2)
    assert message in shown.stderr
    assert shown.stderr.count("\n") == 1


def test_show_and_like(run):
    shown = run("show", "lemon-stew").stdout
    assert "amount not said: salmon" in shown
    assert CAUTION in shown
    assert json.loads(run("show", "lemon-stew", "--json").stdout)["record"] == "stillroom-episode/1"
    assert "lemon stew" in run("like", "plain-cake").stdout


def test_foods_trends_and_audits(run):
    assert run("foods").stdout.splitlines()[1].split() == ["salted", "butter", "2", "2"]
    assert "2023     1        160  320     640   0" in run("trends", "potassium").stdout
    assert "internal" in run("audit").stdout
    assert "plain cake" in run("audit", "stop").stdout


def test_check_backup_export_import_remove(run, tmp_path):
    assert run("check").stdout == "3 episodes, all in order.\n"
    run("backup", str(tmp_path / "copy.shelf"))
    run("export", "--out", str(tmp_path / "x.jsonl"))
    assert run("export").stdout == (tmp_path / "x.jsonl").read_text()
    assert run("import", str(tmp_path / "x.jsonl"), "--workers", "1").stdout == "0 added, 0 updated, 3 unchanged.\n"
    assert run("remove", "pilot.txt", "monday-2023-02-01.txt").stdout == "2 removed\n"
    assert run("check").stdout == "1 episodes, all in order.\n"
    assert sound(tmp_path / "copy.shelf") == 3


def test_check_tells_faults_with_status_1(run, shelf):
    shelf.run("UPDATE recipe SET reviewed = 1 WHERE id = 1")
    assert "monday-2023-02-01.txt: the index of lemon-stew does not agree" in run("check", status=1).stdout


def test_add_tells_what_came_of_the_files(run, tmp_path):
    (tmp_path / "a.txt").write_bytes(transcript("rice of milk"))
    (tmp_path / "b.txt").write_text("[00:01] there is fire\n")
    shown = run("add", str(tmp_path / "a.txt"), str(tmp_path / "b.txt"), "--workers", "1", status=1)
    assert shown.stdout == "1 added, 0 updated, 0 unchanged.\n"
    assert "Not done, 1 of 2:" in shown.stderr
    assert "b.txt: there is a fire in the kitchen" in shown.stderr
    assert run("rebuild", "--workers", "1").stdout == "0 added, 0 updated, 0 unchanged.\n"
    assert run("rebuild", "--all", "--workers", "1").stdout == "0 added, 4 updated, 0 unchanged.\n"


def test_the_key_that_stops_it_keeps_what_is_finished_and_the_next_run_goes_on(tmp_path):
    folder, path = tmp_path / "in", tmp_path / "test.shelf"
    folder.mkdir()
    for number in range(120):
        (folder / f"{number}.txt").write_bytes(transcript(f"stew {number} of milk"))
    code = ENDLESS.format(tests=str(ROOT / "tests"), folder=str(folder), path=str(path))
    process = subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    while process.poll() is None and held(path) < 2:
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGINT)
    shown, told = process.communicate(timeout=30)
    assert process.returncode == 130, told
    assert "Stopped." in told
    assert "Traceback" not in told
    first = sound(path)
    assert shown == f"{first} added, 0 updated, 0 unchanged.\n"
    assert 2 <= first < 120
    again = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert again.stdout == f"{120 - first} added, 0 updated, {first} unchanged.\n"


def held(path):
    """Episodes of a store that may not be there yet."""
    if not path.exists() or path.stat().st_size == 0:
        return 0
    try:
        with reading(path) as store:
            return store.one("SELECT count(*) FROM episode")
    except StoreError:
        return 0


def test_asking_imports_nothing_heavy(place, shelf):
    words = [
        "shelf",
        "find",
        "stew",
        "--with",
        "fish",
        "--under",
        "potassium=900",
        "--time",
        "..2h",
        "--shelf",
        str(place),
    ]
    code = (
        f"import sys\nfrom pipeline.cli import main\nmain({words!r}, standalone_mode=False)\n"
        "heavy = {'pydantic', 'pandas', 'spacy', 'rich', 'rapidfuzz', 'pint', 'numpy'}\n"
        "heavy |= {'concurrent.futures', 'hashlib'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "lemon stew" in done.stdout
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize(
    ("value", "shown"), [(0, "0"), (0.1234, "0.123"), (12.345, "12.3"), (1234.5, "1,230"), (999.9, "1,000")]
)
def test_a_figure_has_three_digits(value, shown):
    assert figure(value) == shown


def test_a_range_is_rounded_outwards():
    assert bounds(1234, 1236, is_open=False) == "1,230 to 1,240"
    assert bounds(1234, 1236, is_open=True) == "at least 1,230"
