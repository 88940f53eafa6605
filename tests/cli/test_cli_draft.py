"""`stillroom draft`: what is written, printed and refused, and the exit status."""

import json
import os
from pathlib import Path
from typing import get_args

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from pipeline.cli.drafting import Tools
from pipeline.cli.records import KITCHENS
from pipeline.measure.registry import kitchens
from pipeline.read.transcript import Problem
from pipeline.record import Episode
from pipeline.review.decisions import Measures

SAMPLES = Path(__file__).parents[2] / "samples"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_transcript_becomes_a_record_and_a_card_in_the_folder_recipes(stillroom, write, tmp_path):
    write("monday.srt")
    result = stillroom("draft", "monday.srt")
    assert result.exit_code == 0
    assert names(tmp_path / "recipes") == ["monday.md", "monday.record.json"]
    record = Episode.model_validate_json((tmp_path / "recipes" / "monday.record.json").read_bytes())
    assert record.source.file == "monday.srt"
    assert (tmp_path / "recipes" / "monday.md").read_text(encoding="utf-8").startswith("# Stuffed marrow")


def test_the_page_is_written_when_asked_for(stillroom, write, tmp_path):
    write("monday.srt")
    assert stillroom("draft", "monday.srt", "--html", "--out", "a/b").exit_code == 0
    assert names(tmp_path / "a" / "b") == ["monday.html", "monday.md", "monday.record.json"]


def test_the_summary_names_dishes_load_open_matters_files_and_the_caution(stillroom, write):
    write("monday.srt")
    summary = stillroom("draft", "monday.srt").stdout
    assert "monday.srt: 2 dishes" in summary
    assert "Stuffed marrow with barley (0:21–20:04)" in summary
    assert "serves 4–6 (inferred); 7 ingredients, 1 amount not said, 5 steps" in summary
    assert "sodium at least 153 mg (67 to 346 or more), potassium 691 mg (350 to 882)" in summary
    assert "1 stop, 1 caution, 1 note, 2 open questions" in summary
    assert "recipes/monday.record.json written; recipes/monday.md written" in summary
    assert "Not medical advice" in summary


def test_json_prints_the_record_alone_and_writes_nothing(stillroom, write, tmp_path):
    write("monday.srt")
    result = stillroom("draft", "monday.srt", "--json")
    assert result.exit_code == 0
    assert json.loads(result.stdout)["source"]["file"] == "monday.srt"
    assert result.stderr == ""
    assert names(tmp_path) == ["monday.srt"]


def test_a_hyphen_reads_standard_input(stillroom):
    result = stillroom("draft", "-", "--json", input="spoken words")
    assert json.loads(result.stdout)["rules"] == "spoken words"


@pytest.mark.parametrize("extra", [["tuesday.srt"], ["--html"]])
def test_json_is_for_one_record_only(stillroom, write, extra):
    write("monday.srt")
    write("tuesday.srt")
    result = stillroom("draft", "monday.srt", "--json", *extra)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "--json prints one record" in result.stderr


@pytest.mark.parametrize("measures", [*KITCHENS, None])
def test_measures_reach_the_library(stillroom, write, kitchen, measures):
    write("monday.srt")
    stillroom("draft", "monday.srt", *(["--measures", measures] if measures else []))
    assert kitchen.measures == [measures]


def test_the_measures_one_may_choose_are_the_kitchens_there_are():
    assert sorted(KITCHENS) == sorted(kitchens())
    assert sorted(KITCHENS) == sorted(get_args(Measures))


DECIDED = """
[[decision]]
kind = "servings"
recipe = "plum-crumble"
servings = "5"
who = "N. Hale"
when = 2026-05-03
why = "asked the cook"

[[decision]]
kind = "drop"
recipe = "plum-crumble"
line = "leek"
who = "N. Hale"
when = 2026-05-03
why = "misheard"
"""


@pytest.mark.parametrize("as_json", [False, True])
def test_what_people_decided_is_carried_through_a_new_draft_and_what_has_no_place_told(
    stillroom, write, tmp_path, as_json
):
    write("monday.srt")
    write("recipes/monday.amendments.toml", DECIDED)
    result = stillroom("draft", "monday.srt", *["--json"] * as_json)
    assert result.exit_code == 0
    assert "monday.srt: not carried out: left out leek: there is no line 'leek' in plum-crumble" in result.stderr
    text = result.stdout if as_json else (tmp_path / "recipes" / "monday.record.json").read_text(encoding="utf-8")
    crumble = Episode.model_validate_json(text).recipes[1]
    assert crumble.servings is not None
    assert crumble.servings.best == 5


def test_a_record_that_was_amended_is_unchanged_by_a_new_draft(stillroom, write, tmp_path):
    write("monday.srt")
    stillroom("draft", "monday.srt", "--html")
    who = ("--who", "N. Hale", "--why", "asked the cook", "--when", "2026-05-03")
    record = "recipes/monday.record.json"
    assert stillroom("amend", record, "--recipe", "plum-crumble", "--servings", "5", *who).exit_code == 0
    again = stillroom("draft", "monday.srt", "--html")
    assert again.exit_code == 0
    assert again.stdout.count("unchanged") == 3


def test_decisions_that_cannot_be_read_stop_the_draft_of_that_file(stillroom, write, tmp_path):
    write("monday.srt")
    write("recipes/monday.amendments.toml", "no toml")
    result = stillroom("draft", "monday.srt")
    assert result.exit_code == 2
    assert result.stderr.startswith("stillroom: recipes/monday.amendments.toml: is no TOML")
    assert not (tmp_path / "recipes" / "monday.record.json").exists()


def test_the_same_content_is_left_untouched(stillroom, write, tmp_path):
    write("monday.srt")
    stillroom("draft", "monday.srt")
    card = tmp_path / "recipes" / "monday.md"
    os.utime(card, (1, 1))
    result = stillroom("draft", "monday.srt")
    assert result.exit_code == 0
    assert "recipes/monday.md unchanged" in result.stdout
    assert card.stat().st_mtime == 1


def test_a_card_that_someone_has_edited_is_kept_and_no_part_of_the_set_is_written(stillroom, write, tmp_path):
    write("monday.srt")
    stillroom("draft", "monday.srt")
    card, record = tmp_path / "recipes" / "monday.md", tmp_path / "recipes" / "monday.record.json"
    card.write_text("my own words")
    record.unlink()
    result = stillroom("draft", "monday.srt")
    assert result.exit_code == 2
    assert result.stderr == (
        "stillroom: recipes/monday.md: exists with other content and was left as it is; use --force to replace it\n"
    )
    assert card.read_text() == "my own words"
    assert not record.exists()


def test_force_replaces_what_is_there(stillroom, write, tmp_path):
    write("monday.srt")
    card = write("recipes/monday.md", "my own words")
    assert stillroom("draft", "monday.srt", "--force").exit_code == 0
    assert card.read_text(encoding="utf-8") != "my own words"


def test_a_transcript_is_never_replaced_by_a_card_even_with_force(stillroom, write):
    transcript = write("monday.md")
    result = stillroom("draft", "monday.md", "--out", ".", "--force")
    assert result.exit_code == 2
    assert "is one of the transcripts" in result.stderr
    assert transcript.read_text() == "first version"


def test_two_inputs_of_one_name_are_refused_before_anything_is_written(stillroom, write, tmp_path):
    write("a/monday.srt")
    write("b/Monday.vtt")
    result = stillroom("draft", "a/monday.srt", "b/Monday.vtt")
    assert result.exit_code == 2
    assert result.stderr.startswith("stillroom: a/monday.srt and b/Monday.vtt would both be written")
    assert names(tmp_path) == ["a", "b"]


def test_a_file_that_fails_does_not_stop_the_others_and_is_listed_at_the_end(stillroom, write, tmp_path):
    write("monday.srt")
    write("tuesday.srt", "bad")
    write("wednesday.srt")
    result = stillroom("draft", "monday.srt", "tuesday.srt", "thursday.srt", "wednesday.srt")
    assert result.exit_code == 1
    assert result.stderr.splitlines() == [
        "Not done, 2 of 4 files:",
        "stillroom: tuesday.srt, line 3, at 1:02: is no transcript: no line carries a time",
        "stillroom: thursday.srt: there is no such file",
    ]
    assert len(names(tmp_path / "recipes")) == 4


def test_where_nothing_could_be_done_the_status_is_two(stillroom, write):
    write("monday.srt", "bad")
    result = stillroom("draft", "monday.srt")
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr == "stillroom: monday.srt, line 3, at 1:02: is no transcript: no line carries a time\n"
    assert stillroom("draft", "monday.srt", "--json").exit_code == 2


def test_doubtful_places_are_warned_of_with_file_line_and_time(stillroom, write, kitchen):
    write("monday.srt")
    kitchen.problems = (Problem("time.backwards", "the time runs backwards", line=12, time=184.0),)
    for options in ([], ["--json"]):
        result = stillroom("draft", "monday.srt", *options)
        assert result.exit_code == 0
        assert result.stderr == "warning: monday.srt, line 12, at 3:04: the time runs backwards\n"


def test_many_warnings_of_one_kind_are_cut_short_and_counted(stillroom, write, kitchen):
    write("monday.srt")
    kitchen.problems = (
        *(Problem("time.backwards", "runs backwards", line=n) for n in range(40)),
        Problem("line.empty", "no words", line=50),
    )
    lines = stillroom("draft", "monday.srt").stderr.splitlines()
    assert len(lines) == 7
    assert lines[-1] == "warning: monday.srt: 35 more of this kind (time.backwards)"
    assert "warning: monday.srt, line 50: no words" in lines


def test_a_folder_that_cannot_be_made_is_one_line_and_status_two(stillroom, write):
    write("monday.srt")
    write("taken", "a file")
    result = stillroom("draft", "monday.srt", "--out", "taken/cards")
    assert result.exit_code == 2
    assert result.stderr.startswith("stillroom: taken/cards: the folder cannot be made: ")
    assert len(result.stderr.splitlines()) == 1


def test_the_library_s_own_readers_are_called(kitchen, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    content = (SAMPLES / "swede-and-chicken-pie.srt").read_bytes()
    (tmp_path / "pie.srt").write_bytes(content)
    tools = Tools(draft=kitchen.draft)
    for file, name in (("pie.srt", "pie.srt"), ("-", "standard input")):
        result = CliRunner().invoke(main, ["draft", file, "--json"], obj=tools, input=content, catch_exceptions=False)
        assert (result.exit_code, result.stderr) == (0, "")
        assert json.loads(result.stdout)["source"]["file"] == name
    result = CliRunner().invoke(main, ["draft", "none.srt"], obj=tools, catch_exceptions=False)
    assert result.exit_code == 2
    assert result.stderr.startswith("stillroom: none.srt: ")
