"""What `stillroom draft` writes for the samples, held against `samples/expected/`: the same input, the same bytes.

`UPDATE_GOLDEN=1 pytest tests/test_samples.py` stores the results anew: read the difference before it is committed.
The hash of the rules is not compared: a rule that changes no sample need not store them anew.
"""

import os
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from pipeline.version import PROGRAM, rules_version

SAMPLES = Path(__file__).parents[1] / "samples"
EXPECTED = SAMPLES / "expected"
TRANSCRIPTS = sorted(path for path in SAMPLES.iterdir() if path.is_file())
ENDINGS = (".html", ".md", ".record.json")


HASH = re.compile(re.escape(PROGRAM) + r"\+[0-9a-f]{8}")


def comparable(path: Path) -> str:
    """The text of a result, with the version of the rules put for whatever version it was stored by."""
    return HASH.sub(rules_version(), path.read_bytes().decode("utf-8"))


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def results(transcript: Path) -> list[str]:
    return [transcript.stem + ending for ending in ENDINGS]


@pytest.fixture(scope="module", autouse=True)
def drafted(tmp_path_factory):
    """All samples drafted in one run, as a cook would, and stored as the expected ones where that is asked for."""
    folder = tmp_path_factory.mktemp("samples")
    files = [str(path) for path in TRANSCRIPTS]
    run = CliRunner().invoke(main, ["draft", "--html", "--out", str(folder), *files], catch_exceptions=False)
    assert run.exit_code == 0, run.output
    if os.environ.get("UPDATE_GOLDEN"):
        EXPECTED.mkdir(exist_ok=True)
        for path in EXPECTED.iterdir():
            path.unlink()
        for name, content in contents(folder).items():
            (EXPECTED / name).write_bytes(content)
    return folder


@pytest.mark.parametrize("transcript", TRANSCRIPTS, ids=lambda path: path.name)
@pytest.mark.parametrize("ending", ENDINGS)
def test_a_sample_becomes_the_stored_result_byte_for_byte(drafted, transcript, ending):
    name = transcript.stem + ending
    assert (drafted / name).read_text(encoding="utf-8").count(rules_version()) == 1
    assert comparable(drafted / name) == comparable(EXPECTED / name)


def test_no_stored_result_is_without_its_sample():
    assert sorted(contents(EXPECTED)) == sorted(name for path in TRANSCRIPTS for name in results(path))


def test_the_summary_counts_findings_in_the_singular_and_the_plural(tmp_path):
    sample = SAMPLES / "pork-chops-rice-pudding.md"
    summary = CliRunner().invoke(main, ["draft", str(sample), "--out", str(tmp_path)]).stdout
    assert "1 caution, 3 notes, 2 open questions" in summary
