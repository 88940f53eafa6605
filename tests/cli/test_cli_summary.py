"""The summary on a terminal: tables, in which what was said cannot act as markup."""

import sys
from pathlib import Path

from pipeline.cli.drafting import Done, Job
from pipeline.cli.summary import show


def test_a_terminal_gets_tables_with_the_caution_below(kitchen, monkeypatch, capsys):
    transcript = kitchen.read_bytes(b"words", "[bold]monday.srt")
    episode = kitchen.draft(transcript, measures=None)
    done = Done(Job("monday.srt", "monday"), transcript, episode, ((Path("cards/monday.md"), "written"),))
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    monkeypatch.setenv("TERM", "dumb")
    show([done])
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].strip() == "[bold]monday.srt"
    assert any(line.split() == ["Dish", "Serves", "Found", "Per", "serving", "To", "settle"] for line in lines)
    assert any("7 ingredients" in line and "sodium at" in line and "1 stop" in line for line in lines)
    assert "cards/monday.md written" in lines
    assert lines[-1].startswith("Not medical advice.")


def test_a_transcript_without_a_dish_is_told_without_a_caution(kitchen, monkeypatch, capsys):
    transcript = kitchen.read_bytes(b"words", "monday.srt")
    episode = kitchen.draft(transcript, measures=None).model_copy(update={"recipes": ()})
    show([Done(Job("monday.srt", "monday"), transcript, episode)])
    assert capsys.readouterr().out.splitlines()[0] == "monday.srt: 0 dishes"
