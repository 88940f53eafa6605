"""The commands load, check, meal and fit on a record."""

from __future__ import annotations

import csv
import io
import json

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from pipeline.record import Episode, Source
from tests.load.conftest import TABLE, dish, line, serves, unweighed

CAUTION = "Not medical advice; limits are individual."
MASH = dish(
    line("potato-raw", 540, 600, 700, name="potatoes", component="mash"),
    line("milk-whole", 200, component="mash"),
    line("table-salt", 6),
    servings=serves(4, 4, 5),
    id="mash",
    title="Mash with nutmeg",
)
GRAVY = dish(
    line("chicken-broth", 400), unweighed("soy-sauce").model_copy(update={"name": "=soy"}), id="gravy", title="-Gravy"
)


@pytest.fixture
def stillroom(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("STILLROOM_FOODS", raising=False)
    source = Source(file="show.srt", sha256="0", format="srt", duration=60)
    episode = Episode(source=source, rules="1", caution=CAUTION, recipes=(MASH, GRAVY))
    (tmp_path / "show.record.json").write_text(episode.to_json(), encoding="utf-8")

    def run(*arguments):
        return CliRunner().invoke(main, arguments, catch_exceptions=False)

    return run


@pytest.mark.parametrize("form", [(), ("--json",), ("--csv",)])
@pytest.mark.parametrize(
    "command",
    [("load",), ("check",), ("check", "--target", "sodium=2g/day"), ("meal",), ("meal", "--target", "sodium=2g/day"),
     ("fit", "--target", "sodium=2g/day")],
)  # fmt: skip
def test_every_output_carries_the_caution_and_calls_nothing_safe_or_allowed(stillroom, command, form):
    result = stillroom(*command, "show.record.json", *form)
    assert result.exit_code == 0
    assert CAUTION in result.stdout
    for word in ("safe", "allowed"):
        assert word not in result.stdout.lower()


def test_a_load_shows_servings_components_lines_and_what_renal_teams_look_at(stillroom):
    text = stillroom("load", "show.record.json").stdout
    for part in ("Mash with nutmeg (serves 4–5)", "By component", "potatoes", "Remer and Manz", "Frassetto"):
        assert part in text


def test_unsaid_servings_are_marked_and_asked_for_first(stillroom):
    text = stillroom("load", "show.record.json:gravy").stdout
    assert "nobody said how many it serves" in text
    assert "Ask first: how many does it serve?" in text
    assert "at least" in text
    assert "Not counted" in text
    assert "nobody said" not in stillroom("load", "show.record.json:gravy", "--servings", "3").stdout


@pytest.mark.parametrize("wanted", ["1", "mash", "MASH", "mash with nutmeg"])
def test_a_dish_is_named_by_number_id_or_title(stillroom, wanted):
    found = json.loads(stillroom("load", f"show.record.json:{wanted}", "--json").stdout)
    assert [one["id"] for one in found["dishes"]] == ["mash"]
    assert found["dishes"][0]["load"]["per_recipe"]["sodium_mg"]["best"] == pytest.approx(
        6 * TABLE.get("table-salt").figures["sodium_mg"] / 100 + 2 * 43 + 6 * 6
    )


@pytest.mark.parametrize("command", ["load", "check", "meal", "fit"])
def test_cells_of_a_table_are_no_formulas(stillroom, command):
    aim = ("--target", "sodium=1g/meal") if command in {"fit", "check"} else ()
    text = stillroom(command, "show.record.json", "--csv", *aim).stdout
    header, *rows = csv.reader(io.StringIO(text))
    assert rows
    assert header[-1] == "caution"
    for cell in (cell for row in rows for cell in row if cell):
        assert cell[0] not in "=+@"
        assert cell[0] != "-" or float(cell) < 0
    if command == "load":
        assert "'=soy" in text
        assert "'-Gravy" in text


def test_verdicts_name_their_limit_their_source_and_what_decides(stillroom):
    result = stillroom("check", "show.record.json:1", "--target", "sodium=590mg/meal", "--json")
    (verdict,) = json.loads(result.stdout)["meals"][0]["verdicts"]
    assert (verdict["verdict"], verdict["decided_by"]) == ("depends", "how many it serves")
    text = stillroom("check", "show.record.json:1", "--group", "haemodialysis", "--weight", "60").stdout
    for part in ("33% of the day", "Body weight 60 kg", "KDOQI 2020", "no number", "under"):
        assert part in text


def test_without_a_target_there_is_no_verdict(stillroom):
    text = stillroom("check", "show.record.json:1").stdout
    assert "No target was chosen" in text
    assert "verdict " not in text.replace("no verdict", "")


def test_the_share_of_a_meal_is_a_setting_that_is_shown(stillroom):
    result = stillroom("check", "show.record.json:1", "--target", "sodium=2g/day", "--meal-share", "0.4", "--json")
    found = json.loads(result.stdout)
    assert "40% of the day" in found["basis"]
    assert found["meals"][0]["verdicts"][0]["limit"]["at_most"] == [pytest.approx(800)] * 2


def test_a_meal_adds_up_one_serving_of_each_dish(stillroom):
    meal, mash, gravy = (
        json.loads(stillroom("meal", *names, "--json").stdout)["sums"]["potassium_mg"]["best"]
        for names in (
            ("show.record.json:1", "show.record.json:2"),
            ("show.record.json:1",),
            ("show.record.json:2",),
        )
    )
    assert meal == pytest.approx(mash + gravy)


def test_a_fit_shows_each_change_with_before_and_after(stillroom):
    result = stillroom("fit", "show.record.json:1", "--target", "sodium=300mg/meal", "--json")
    (found,) = json.loads(result.stdout)["dishes"]
    assert found["found"]
    assert found["changes"][0]["before"]["sodium_mg"] > 300 >= found["changes"][-1]["after"]["sodium_mg"]
    text = stillroom("fit", "show.record.json:1", "--target", "sodium=1mg/meal").stdout
    assert "nothing in the list will do" in text


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("load", "gone.record.json"), "gone.record.json: cannot be read"),
        (("load", "bad.json"), "bad.json: is not an episode record"),
        (("load", "show.record.json:9"), "has no dish '9'; its dishes are 1 mash, 2 gravy"),
        (("check", "show.record.json", "--target", "zest=1g/day"), "no nutrient 'zest'"),
        (("check", "show.record.json", "--group", "haemodialysis"), "weight in kg must be given"),
        (("fit", "show.record.json"), "choose what the dish should fit"),
        (("load", "show.record.json", "--servings", "0"), "0.0 is not in the range"),
    ],
)
def test_wrong_use_and_bad_files_end_in_status_2_with_one_message(stillroom, tmp_path, arguments, message):
    (tmp_path / "bad.json").write_text("{}")
    result = stillroom(*arguments)
    assert (result.exit_code, result.stdout) == (2, "")
    assert message in result.stderr
