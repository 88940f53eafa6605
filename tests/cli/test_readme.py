"""The README: it names every command there is, and every example in it does what it says."""

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from pipeline.cli import COMMANDS, main
from pipeline.cli.shelf import COMMANDS as SHELF_COMMANDS

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"^    (?:cat (\S+) \| )?stillroom ([^>\n]+?)(?: > \S+)?$", README, re.MULTILINE)
NEEDS_A_TABLE = "foods import"


def words(example: str) -> list[str]:
    """The arguments of an example, with its patterns of files opened as a shell would."""
    return [
        name
        for word in shlex.split(example)
        for name in (sorted(map(str, Path().glob(word))) if "*" in word else [word])
    ]


def test_the_readme_has_an_example_of_every_command():
    shown = {" ".join(shlex.split(example)[:2]) for _, example in EXAMPLES}
    assert {entry.name for entry in COMMANDS} <= {name.split()[0] for name in shown}
    assert {f"shelf {entry.name}" for entry in SHELF_COMMANDS} <= shown


def test_the_examples_of_the_readme_work_one_after_the_other(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "samples", tmp_path / "samples", ignore=shutil.ignore_patterns("expected"))
    monkeypatch.chdir(tmp_path)
    done = []
    for given, example in EXAMPLES:
        if example.startswith(NEEDS_A_TABLE):
            continue
        spoken = Path(given).read_bytes() if given else None
        result = CliRunner().invoke(main, words(example), input=spoken)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        done.append((example, result.exit_code, result.stderr if result.exit_code else ""))
    assert len(done) > len(COMMANDS)
    assert done == [(example, 0, "") for example, _, _ in done]


@pytest.mark.parametrize("name", re.findall(r"`make (\w+)`|^    make (\w+)", README, re.MULTILINE))
def test_what_the_readme_asks_of_make_is_in_the_makefile(name):
    target = next(filter(None, name))
    assert re.search(rf"^{target}:", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE)
