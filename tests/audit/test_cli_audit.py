"""`stillroom audit`: what is printed, written and refused, and the exit status."""

import csv
import io
import json

import pytest
from click.testing import CliRunner

from pipeline.cli import main

SPEECH = """[0:02] hello and welcome today we're making roast chicken legs
[0:08] i have six chicken legs and two tablespoons of oil
[0:14] preheat the oven to 400 degrees fahrenheit
[0:20] and roast the chicken legs for forty minutes
[0:26] pull them out when the thickest part reads 150 degrees fahrenheit and they're done
[0:33] they keep six days in the fridge
"""
QUIET = """[0:02] hello and welcome today we're making tomato salad
[0:08] i have four tomatoes and one tablespoon of olive oil
[0:14] slice the tomatoes and pour over the oil
"""


@pytest.fixture
def stillroom(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "monday.md").write_text(SPEECH, encoding="utf-8")
    return lambda *arguments: CliRunner().invoke(main, arguments, catch_exceptions=False)


def rules(text: str) -> set[str]:
    return {row["rule"] for row in csv.DictReader(io.StringIO(text)) if row["rule"]}


def test_a_transcript_is_listed_with_its_findings_and_the_caution(stillroom):
    result = stillroom("audit", "monday.md")
    assert result.exit_code == 0
    assert "STOP internal-below" in result.stdout
    assert "CAUTION keep-too-long" in result.stdout
    assert "local food-safety rules" in result.stdout


def test_csv_and_json_are_printed_alone(stillroom):
    assert {"internal-below", "keep-too-long"} <= rules(stillroom("audit", "monday.md", "--csv").stdout)
    assert json.loads(stillroom("audit", "monday.md", "--json").stdout)["totals"]["stop"] == 1


def test_page_and_correction_track_are_written_and_not_replaced_unasked(stillroom, tmp_path):
    result = stillroom("audit", "monday.md", "--html", "a.html", "--captions", "c.vtt")
    assert result.exit_code == 0
    assert (tmp_path / "c.vtt").read_text(encoding="utf-8").startswith("WEBVTT\n\n")
    assert "internal-below" in (tmp_path / "a.html").read_text(encoding="utf-8")
    (tmp_path / "c.vtt").write_text("mine", encoding="utf-8")
    assert stillroom("audit", "monday.md", "--captions", "c.vtt").exit_code == 2
    assert (tmp_path / "c.vtt").read_text(encoding="utf-8") == "mine"
    assert stillroom("audit", "monday.md", "--captions", "c.vtt", "--force").exit_code == 0


def test_the_recording_itself_is_never_overwritten(stillroom, tmp_path):
    assert stillroom("audit", "monday.md", "--captions", "monday.md", "--force").exit_code == 2
    assert (tmp_path / "monday.md").read_text(encoding="utf-8") == SPEECH


def test_a_record_is_audited_with_the_transcript_beside_it(stillroom, tmp_path):
    record = stillroom("draft", "monday.md", "--json").stdout
    (tmp_path / "monday.record.json").write_text(record, encoding="utf-8")
    from_record = stillroom("audit", "monday.record.json", "--json")
    assert json.loads(from_record.stdout)["recordings"][0]["heard"] is True
    (tmp_path / "monday.md").write_text(SPEECH + "[0:50] bye\n", encoding="utf-8")
    assert json.loads(stillroom("audit", "monday.record.json", "--json").stdout)["recordings"][0]["heard"] is False


def test_a_folder_gives_totals_the_worst_first_and_names_what_is_left_out(stillroom, tmp_path):
    folder = tmp_path / "week"
    folder.mkdir()
    (folder / "a-quiet.md").write_text(QUIET, encoding="utf-8")
    (folder / "b-monday.md").write_text(SPEECH, encoding="utf-8")
    (folder / "notes.txt").write_text("buy leeks\n", encoding="utf-8")
    result = stillroom("audit", "week")
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    assert lines[0].startswith("2 recordings")
    assert lines[1].startswith("  b-monday.md") and lines[2].startswith("  a-quiet.md")
    assert "left out: notes.txt" in result.stderr


def test_a_file_that_is_no_transcript_fails_alone_or_beside_others(stillroom, tmp_path):
    (tmp_path / "notes.txt").write_text("buy leeks\n", encoding="utf-8")
    assert stillroom("audit", "notes.txt").exit_code == 2
    both = stillroom("audit", "notes.txt", "monday.md")
    assert both.exit_code == 1
    assert "internal-below" in both.stdout
    assert stillroom("audit", "missing.srt").exit_code == 2


def test_a_correction_track_is_for_one_recording(stillroom, tmp_path):
    (tmp_path / "tuesday.md").write_text(QUIET, encoding="utf-8")
    assert stillroom("audit", "monday.md", "tuesday.md", "--captions", "c.vtt").exit_code == 2


def test_an_empty_folder_is_told(stillroom, tmp_path):
    (tmp_path / "empty").mkdir()
    result = stillroom("audit", "empty")
    assert result.exit_code == 2
    assert "no transcript" in result.stderr
