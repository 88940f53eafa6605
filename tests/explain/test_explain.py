"""For a moment of a recording: what each rule read there, and what became of it."""

import json
import re

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from pipeline.errors import TranscriptError
from pipeline.explain import explain
from tests.hear.spoken import transcript

SAID = transcript(
    "today we're making a barley soup // so chop two carrots // "
    "add one tablespoon of cumin no make that two teaspoons / there is no celery in this // "
    "add a litre of water // now stir in the carrots // you could use leeks instead // "
    "my gran would fry bacon for ten minutes // simmer it for twenty minutes // and carrots are low in potassium // "
    "bake it at 180 celsius // that was a piece of cake // this serves four people"
)
WHOLE = explain(SAID, at=0.0, around=90.0)
SPOKEN = "".join(f"[{int(line.start) // 60}:{int(line.start) % 60:02d}] {line.text}\n" for line in SAID.lines)


def became(kind, words):
    """What became of the words, from the one reading of them."""
    (found,) = [reading for reading in WHOLE.readings if reading.kind == kind and reading.words == words]
    return found.became


@pytest.mark.parametrize(
    ("kind", "words", "fate"),
    [
        ("amount", "two teaspoons", "used: cumin, 2 teaspoons"),
        ("amount", "one tablespoon of", "superseded by “two teaspoons” at 0:12"),
        ("amount", "a litre of", "used: water, 1 litre"),
        ("food", "cumin", "ingredient cumin of barley soup"),
        ("food", "celery", "set aside: negated, by “no”"),
        ("food", "leeks", "alternative to carrots in barley soup"),
        ("food", "bacon", "set aside: habit, by “my gran”"),
        ("time", "ten minutes", "set aside by “my gran”, “gran would”"),
        ("time", "twenty minutes", "used: time to simmer of barley soup"),
        ("temperature", "180 celsius", "used: oven temperature of barley soup"),
        ("claim", "low in potassium", "used: claim of barley soup"),
        ("servings", "serves four", "used: servings of barley soup"),
        ("not a food", "piece of cake", "set aside"),
    ],
)
def test_each_reading_says_what_became_of_it(kind, words, fate):
    assert became(kind, words) == fate


def test_a_food_named_twice_is_merged_and_says_with_what():
    fates = [reading.became for reading in WHOLE.readings if reading.words == "carrots" and reading.start == 28]
    assert fates == ["ingredient carrots of barley soup, merged with what is said at 0:06"]


def test_a_cue_says_what_it_reaches():
    (cue,) = [reading for reading in WHOLE.readings if reading.kind == "cue" and reading.words == "no"]
    assert (cue.read_as, cue.became) == ("negated, over “celery”", "bears on celery")


def test_a_step_names_the_words_it_was_made_from():
    assert [reading.became for reading in WHOLE.readings if reading.read_as.startswith("Simmer")] == [
        "step 2 of barley soup"
    ]


def test_every_reading_names_its_rule_and_words_of_the_recording():
    spoken = re.sub(r"\s+", " ", " ".join(line.text for line in SAID.lines))
    for reading in WHOLE.readings:
        assert reading.rule
        assert reading.words in spoken


def test_only_the_moment_is_explained():
    moment = explain(SAID, at=17.0)
    assert [line.text for line in moment.lines] == ["there is no celery in this"]
    assert {reading.words for reading in moment.readings if reading.kind != "step"} == {"celery", "no"}


def test_a_moment_in_which_nothing_is_said_is_named():
    with pytest.raises(TranscriptError, match=r"invented\.txt, at 5:00: nothing is said here; the last line"):
        explain(SAID, at=300.0)


def test_the_command_shows_the_lines_and_the_readings(tmp_path):
    file = tmp_path / "soup.txt"
    file.write_text(SPOKEN)
    shown = CliRunner().invoke(main, ["explain", str(file), "--at", "0:17"])
    assert shown.exit_code == 0, shown.output
    assert "soup.txt at 0:17, spoken of: barley soup" in shown.stdout
    assert "0:16 there is no celery in this" in shown.stdout
    told = CliRunner().invoke(main, ["explain", str(file), "--at", "17", "--json"])
    moment = json.loads(told.stdout)
    assert [line["text"] for line in moment["lines"]] == ["there is no celery in this"]
    assert {"celery"} <= {reading["words"] for reading in moment["readings"]}


@pytest.mark.parametrize("time", ["soon", "1:75", "1:61:00", "-3", "", "٣:٠٥"])
def test_a_time_that_is_none_is_wrong_use(tmp_path, time):
    told = CliRunner().invoke(main, ["explain", str(tmp_path / "soup.txt"), "--at", time])
    assert told.exit_code == 2
    assert "expected m:ss, h:mm:ss or seconds" in told.stderr
