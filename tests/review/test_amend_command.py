"""`stillroom amend` and `stillroom review` on files."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pipeline.cli import main
from pipeline.publish import card_markdown
from pipeline.record import Episode
from tests.review.conftest import dish, episode, line

WHO = ("--who", "N. Hale", "--why", "asked the cook", "--when", "2026-05-03")
REVIEW = ("--by", "R. Ode", "--credential", "RD", "--date", "2026-05-04")


@pytest.fixture
def record(tmp_path: Path) -> Path:
    path = tmp_path / "monday.record.json"
    lines = (line("fish-sauce", (6, 20, 32), basis="unsaid"), line("banana-raw", 100))
    path.write_text(episode(dish(*lines)).to_json(), encoding="utf-8")
    return path


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def held(path: Path) -> Episode:
    return Episode.model_validate_json(path.read_bytes())


def test_a_decision_goes_to_the_file_the_record_and_the_card(record):
    card = record.with_name("monday.md")
    card.write_text(card_markdown(held(record)), encoding="utf-8")
    result = run("amend", record, "--line", "fish-sauce", "--amount", "2 tbsp", *WHO)
    assert (result.exit_code, result.stdout) == (0, "Recorded: fish-sauce: 2 tbsp.\n")
    assert 'amount = "2 tbsp"' in record.with_name("monday.amendments.toml").read_text(encoding="utf-8")
    assert held(record).recipes[0].ingredients[0].amount.best == 2
    assert card.read_text(encoding="utf-8") == card_markdown(held(record))
    assert not record.with_name("monday.html").exists()


def test_a_card_that_was_edited_is_left_and_told(record):
    card = record.with_name("monday.md")
    card.write_text("mine\n", encoding="utf-8")
    result = run("amend", record, "--title", "Sunday bake", *WHO)
    assert card.read_text(encoding="utf-8") == "mine\n"
    assert "monday.md was edited and is left as it was." in result.stderr


def test_a_decision_without_a_place_is_refused_and_nothing_is_written(record):
    before = record.read_bytes()
    result = run("amend", record, "--line", "leek", "--drop", *WHO)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "there is no line 'leek' in dish" in result.stderr
    assert record.read_bytes() == before
    assert not record.with_name("monday.amendments.toml").exists()


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--line", "x"), "say one decision at a time"),
        (("--title", "x", "--servings", "4"), "say one decision at a time"),
        (("--line", "fish-sauce", "--amount", "lots"), "'lots' is no amount"),
        (("--drop",), "line: Field required"),
        (("--recipe", "pudding", "--title", "x"), "there is no recipe 'pudding'"),
    ],
)
def test_wrong_use_names_what_is_wrong(record, options, told):
    result = run("amend", record, *options, *WHO)
    assert (result.exit_code, result.stdout) == (2, "")
    assert told in " ".join(result.stderr.split())


def test_a_decision_needs_who_and_why(record):
    result = run("amend", record, "--title", "x", "--why", "y")
    assert result.exit_code == 2
    assert "who: Field required" in result.stderr


def test_what_was_decided_is_listed_and_what_has_no_place_told(record):
    assert run("amend", record).stdout == "Nothing was decided about this record.\n"
    lost = '[[decision]]\nkind = "drop"\nrecipe = "dish"\nline = "leek"\nwho = "N"\nwhen = 2026-05-01\nwhy = "y"\n'
    record.with_name("monday.amendments.toml").write_text(lost, encoding="utf-8")
    result = run("amend", record, "--add", "dill", "--amount", "1 tbsp", "--before", "banana-raw", *WHO)
    assert "Not carried out: left out leek: there is no line 'leek' in dish" in result.stderr
    assert run("amend", record).stdout.splitlines() == [
        "2026-05-01  dish: left out leek (N: y)",
        "            not carried out: there is no line 'leek' in dish",
        "2026-05-03  dish: added dill, 1 tbsp, before banana-raw (N. Hale: asked the cook)",
    ]


def test_a_review_holds_until_the_content_changes(record):
    assert run("review", record).exit_code == 1
    assert run("review", record, *REVIEW).stdout == "Reviewed by R. Ode, RD, on 2026-05-04.\n"
    assert run("review", record).exit_code == 0
    changed = run("amend", record, "--servings", "6", *WHO)
    assert "an earlier one was reviewed by R. Ode, RD, on 2026-05-04, and has changed since." in changed.stderr
    assert run("review", record).exit_code == 1
    assert run("review", record, *REVIEW).exit_code == 0


def test_a_review_is_for_the_content_after_all_decisions_of_the_file(record):
    asked = '[[decision]]\nkind = "title"\nrecipe = "dish"\ntitle = "Sunday"\nwho = "N"\nwhen = 2026-05-01\nwhy = "y"\n'
    record.with_name("monday.amendments.toml").write_text(asked, encoding="utf-8")
    assert run("review", record, *REVIEW).exit_code == 0
    assert held(record).recipes[0].title == "Sunday"
    assert run("review", record).exit_code == 0


@pytest.mark.parametrize("options", [("--by", "R. Ode"), ("--credential", "RD"), ("--by", "", "--credential", "RD")])
def test_a_review_needs_a_name_and_a_credential(record, options):
    result = run("review", record, *options)
    assert result.exit_code == 2
    assert "needs both --by and --credential" in result.stderr


def test_a_file_that_is_no_record_is_named(tmp_path):
    path = tmp_path / "x.record.json"
    path.write_text("{}", encoding="utf-8")
    for command in ("amend", "review"):
        result = run(command, path)
        assert result.exit_code == 2
        assert "is not an episode record" in result.stderr
