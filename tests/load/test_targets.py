"""Targets as they are typed and as they stand in files, and the verdicts on a plate."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import pipeline
from pipeline.errors import RulesError
from pipeline.load.plate import plate_of, portion_of, vagueness_of
from pipeline.load.targets import Limit, Target, TargetError, limits_of, of_group, parse_target, read_targets
from pipeline.load.verdicts import side_of, verdicts_of
from pipeline.record import Question
from tests.load.conftest import TABLE, dish, line, serves, unweighed


def meal(*texts: str) -> tuple[Limit, ...]:
    return limits_of([parse_target(text) for text in texts], weight_kg=None, meal_share=0.5)


@pytest.mark.parametrize(
    ("text", "nutrient", "least", "most", "per"),
    [
        ("potassium=2000mg/day", "potassium_mg", None, 2000, "day"),
        ("Potassium <= 2 g/day", "potassium_mg", None, 2000, "day"),
        ("sodium=100mmol/day", "sodium_mg", None, 2299, "day"),
        ("protein=1.0-1.2g/kg/day", "protein_g", 1.0, 1.2, "kg/day"),
        ("energy>=500kcal/meal", "energy_kcal", 500, None, "meal"),
        ("fluid=1000ml/day", "fluid_ml", None, 1000, "day"),
        ("saturated fat=10g/day", "saturated_g", None, 10, "day"),
        ("fat=70g/day", "fat_g", None, 70, "day"),
    ],
)
def test_a_target_as_it_is_typed(text, nutrient, least, most, per):
    target = parse_target(text)
    assert (target.nutrient, target.at_least, target.per) == (nutrient, least, per)
    assert target.at_most == (None if most is None else (pytest.approx(most),) * 2)


@pytest.mark.parametrize(
    "text",
    ["", "potassium", "potassium=lots", "potassium=2000mg", "zest=1g/day", "fluid=1g/day", "protein=1g/kg/meal",
     "sodium=5-2g/day", "sodium>=1-2g/day", "energy=10mmol/day"],
)  # fmt: skip
def test_what_is_no_target_says_how_one_is_written_or_what_there_is(text):
    with pytest.raises(TargetError) as fault:
        parse_target(text)
    assert any(word in str(fault.value) for word in ("such as", "nutrients are", "counted in", "per day", "LOW-HIGH"))


def test_a_figure_per_kg_needs_a_weight_that_is_given():
    target = parse_target("protein=0.8g/kg/day")
    with pytest.raises(TargetError, match=r"protein.*weight in kg must be given"):
        limits_of([target], weight_kg=None, meal_share=0.3)
    (limit,) = limits_of([target], weight_kg=50, meal_share=0.3)
    assert limit.at_most == (pytest.approx(12),) * 2
    assert "50 kg" in limit.how
    assert "30%" in limit.how


def test_a_figure_for_a_meal_takes_no_share_of_the_day():
    (limit,) = limits_of([parse_target("sodium=600mg/meal")], weight_kg=None, meal_share=0.3)
    assert limit.at_most == (600, 600)


@pytest.mark.parametrize("share", [0, -1, 1.1])
def test_a_share_outside_the_day_is_refused(share):
    with pytest.raises(TargetError, match="share of the day"):
        limits_of([], weight_kg=None, meal_share=share)


def test_every_figure_of_the_guidelines_has_a_source_and_says_whether_it_was_read():
    file = read_targets()
    assert len(file.targets) > 60
    assert {target.group for target in file.targets} == set(file.groups)
    assert {target.seen for target in file.targets} <= {"in the source", "restated", "from memory"}
    assert all(target.source and target.seen for target in file.targets)


def test_a_guideline_without_a_number_is_kept_as_adjust():
    file = read_targets()
    for group in ("ckd-no-dialysis", "haemodialysis", "transplant-later"):
        adjusted = {target.nutrient for target in of_group(file, group) if target.adjust}
        assert {"potassium_mg", "phosphorus_mg"} <= adjusted


@pytest.mark.parametrize(
    ("group", "nutrient", "least", "most", "per"),
    [
        ("haemodialysis", "protein_g", 1.0, (1.2, 1.2), "kg/day"),  # KDOQI 2020 guideline 3
        ("haemodialysis", "phosphorus_mg", None, (800, 1000), "day"),  # EBPG 2007
        ("haemodialysis", "fluid_ml", None, (1000, 1000), "day"),  # Dudek, table 21.5
        ("ckd-no-dialysis", "sodium_mg", None, (2300, 2300), "day"),  # KDOQI 2020 guideline 6.5
        ("ckd-no-dialysis", "sodium_mg", None, (2000, 2000), "day"),  # KDIGO 2024 3.3.2.1
        ("peritoneal-dialysis", "potassium_mg", None, (3000, 4000), "day"),  # Dudek, table 21.5
    ],
)
def test_figures_of_the_guidelines(group, nutrient, least, most, per):
    found = [(t.at_least, t.at_most, t.per) for t in of_group(read_targets(), group) if t.nutrient == nutrient]
    assert (least, most, per) in found


def test_an_unknown_group_names_those_there_are():
    with pytest.raises(TargetError, match=r"no group 'dialysis'; the groups are .*haemodialysis"):
        of_group(read_targets(), "dialysis")


OWN = """weight_kg = 62
meal_share = 0.4

[[target]]
nutrient = "potassium"
at_most = 1.8
unit = "g"
per = "day"
source = "agreed at the clinic"
"""


def test_a_dietitian_s_own_file(tmp_path: Path):
    path = tmp_path / "own.toml"
    path.write_text(OWN, encoding="utf-8")
    file = read_targets(path)
    assert (file.weight_kg, file.meal_share) == (62, 0.4)
    assert file.targets == (Target("potassium_mg", None, (1800.0, 1800.0), "day", "agreed at the clinic"),)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('unit = "g"', 'unit = "ml"', "target 1: potassium is counted in mg, not ml"),
        ('per = "day"', 'per = "week"', "target 1: per is 'week'"),
        ("at_most = 1.8", "", "target 1: needs at_least or at_most"),
        ("at_most = 1.8", "at_most = [2, 1]", "target 1: at_least and at_most are numbers that rise"),
        ("at_most = 1.8", "at_most = 'lots'", "target 1: at_least and at_most are numbers that rise"),
        ("at_most = 1.8", "at_top = 1.8", "target 1: at_top not known"),
        ('source = "agreed at the clinic"', "", "target 1: source missing"),
        ("weight_kg = 62", "weight_kg = -1", "weight_kg is -1"),
        ("meal_share = 0.4", "meal_share = ", "is not TOML"),
        ("[[target]]", "[target]", "written as"),
    ],
)
def test_a_fault_of_an_own_file_is_named(tmp_path, old, new, message):
    path = tmp_path / "own.toml"
    path.write_text(OWN.replace(old, new), encoding="utf-8")
    with pytest.raises(RulesError, match=r"own\.toml") as fault:
        read_targets(path)
    assert message in str(fault.value)


@pytest.mark.parametrize(
    ("low", "high", "side"),
    [(10, 90, "under"), (10, 100, "under"), (10, 101, "depends"), (150, 170, "depends"), (201, 300, "over")],
)
def test_sides_of_an_upper_limit_of_100_to_200(low, high, side):
    limit = Limit(parse_target("sodium=1mg/meal"), None, (100, 200), "")
    assert side_of(limit, low, high) == side


@pytest.mark.parametrize(
    ("low", "high", "side"),
    [(1, 9, "under"), (1, 11, "depends"), (10, 20, "between"), (12, 21, "depends"), (21, 22, "over"),
     (12, math.inf, "depends")],
)  # fmt: skip
def test_sides_of_a_range_of_10_to_20(low, high, side):
    assert side_of(Limit(parse_target("protein=10-20g/meal"), 10, (20, 20), ""), low, high) == side


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 100))
def test_a_verdict_is_one_the_whole_range_bears(low, width, most):
    limit = Limit(parse_target("sodium=1mg/meal"), None, (most, most), "")
    side = side_of(limit, low, low + width)
    assert (side == "under") == (low + width <= most)
    assert (side == "over") == (low > most)


def test_a_verdict_that_depends_names_the_widest_line():
    recipe = dish(line("potato-raw", 300, 400, 500), line("milk-whole", 90, 100, 110), servings=serves(2))
    (verdict,) = verdicts_of(plate_of([portion_of(recipe, TABLE)]), meal("potassium=850mg/meal"))
    assert (verdict.side, verdict.decided_by) == ("depends", "how much potato-raw goes in")


def test_a_verdict_that_depends_names_the_question_that_asks_for_it():
    question = Question(text="How many does the mash serve?", about="servings", effect="")
    recipe = dish(line("potato-raw", 400), servings=serves(2, 4, 6), questions=(question,))
    (verdict,) = verdicts_of(plate_of([portion_of(recipe, TABLE)]), meal("potassium=500mg/meal"))
    assert (verdict.side, verdict.decided_by) == ("depends", "How many does the mash serve?")


def test_the_band_tells_the_likely_side_of_a_wide_range():
    lines = [line(food, 50, 100, 200) for food in ("potato-raw", "carrot-raw", "cod-raw", "spinach-raw", "milk-whole")]
    plate = plate_of([portion_of(dish(*lines, servings=serves(1)), TABLE)])
    value, band = plate.sums["potassium_mg"], plate.band["potassium_mg"]
    limit = (band.high + value.high) / 2
    (verdict,) = verdicts_of(plate, meal(f"potassium={limit:.1f}mg/meal"))
    assert (verdict.side, verdict.likely) == ("depends", "under")


def test_what_is_not_known_is_never_under():
    recipe = dish(line("milk-whole", 100), unweighed("table-salt"), servings=serves(1))
    plate = plate_of([portion_of(recipe, TABLE)])
    low, over = verdicts_of(plate, meal("sodium=2000mg/meal", "sodium=20mg/meal"))
    assert (low.side, low.likely, low.decided_by) == ("depends", None, "how much table-salt goes in")
    assert over.side == "over"
    assert vagueness_of(plate, "sodium_mg")[0].about == "table-salt"


def test_a_nutrient_without_any_figure_is_not_known():
    plate = plate_of([portion_of(dish(unweighed("table-salt"), servings=serves(1)), TABLE)])
    (verdict,) = verdicts_of(plate, meal("sodium=2000mg/meal"))
    assert (verdict.side, verdict.value) == ("not known", None)


def test_a_guideline_without_a_number_gets_no_verdict():
    target = Target("potassium_mg", None, None, "day", "a guideline", adjust=True)
    plate = plate_of([portion_of(dish(line("milk-whole", 100)), TABLE)])
    (verdict,) = verdicts_of(plate, limits_of([target], weight_kg=None, meal_share=0.3))
    assert verdict.side == "no number"
    assert "blood level" in target.words()


def test_unsaid_servings_are_assumed_and_marked():
    portion = portion_of(dish(line("milk-whole", 100)), TABLE)
    assert portion.assumed
    assert portion.servings.low < portion.servings.high
    assert not portion_of(dish(line("milk-whole", 100)), TABLE, servings=3).assumed


def test_the_code_of_verdicts_calls_nothing_safe_or_allowed():
    root = Path(pipeline.__file__).parent
    for path in [*(root / "load").glob("*.py"), *(root / "cli" / f"{name}.py" for name in ("check", "fit", "meal"))]:
        text = path.read_text(encoding="utf-8").lower()
        assert " safe" not in text.replace("food-safe", "")
        assert "allowed" not in text
