"""The version of the rules: it follows every file of `models/` and `data/`, wherever the program stands."""

import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from pipeline import resources
from pipeline.version import PROGRAM, rules_version

ROOT = Path(__file__).parents[1]
TELL = "from pipeline.version import rules_version; print(rules_version())"


@pytest.fixture
def told(tmp_path, monkeypatch):
    """A function that tells the version by a copy of the rules, and the folder of the copy."""
    for top in ("models", "data"):
        shutil.copytree(ROOT / top, tmp_path / top)
    monkeypatch.setattr(resources, "_PACKAGE", tmp_path)
    return rules_version.__wrapped__, tmp_path


def test_it_is_the_version_of_the_program_and_a_short_hash():
    assert re.fullmatch(re.escape(PROGRAM) + r"\+[0-9a-f]{8}", rules_version())


def test_the_version_of_the_program_is_that_of_the_package():
    assert f'\nversion = "{PROGRAM}"\n' in (ROOT / "pyproject.toml").read_text()


def test_a_copy_has_the_same_version(told):
    tell, _ = told
    assert tell() == rules_version()


@pytest.mark.parametrize("name", ["models/verbs.csv", "data/safety.csv", "data/foods/foods.csv"])
def test_a_change_of_a_file_changes_it(told, name):
    tell, folder = told
    with (folder / name).open("a") as file:
        file.write(" ")
    assert tell() != rules_version()


def test_a_file_that_comes_or_goes_or_is_renamed_changes_it(told):
    tell, folder = told
    (folder / "models" / "new.csv").write_text("")
    more = tell()
    (folder / "models" / "new.csv").rename(folder / "models" / "newer.csv")
    assert len({rules_version(), more, tell()}) == 3


@pytest.mark.parametrize("name", ["models/__pycache__/x.pyc", "data/.hidden", "models/.cache/x", "data/safety.csv~"])
def test_what_tools_leave_behind_does_not_change_it(told, name):
    tell, folder = told
    (folder / name).parent.mkdir(exist_ok=True)
    (folder / name).write_text("x")
    assert tell() == rules_version()


def test_an_installed_package_has_the_version_of_the_checkout(tmp_path):
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(build, cwd=ROOT, capture_output=True, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    zipfile.ZipFile(wheel).extractall(tmp_path / "site")
    code = f"import sys; sys.path.insert(0, {str(tmp_path / 'site')!r}); {TELL}"
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == rules_version()
