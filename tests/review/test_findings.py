"""Which foods of a dish are pointed out, by which rule and how loudly."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.errors import RulesError
from pipeline.record import Mention, Recipe
from pipeline.review.findings import findings_of
from pipeline.review.rules import default_rules, load_rules
from tests.review.conftest import HERE, TABLE, claim, dish, heard, line

with (HERE / "findings.csv").open(newline="", encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file))


def dish_of(row: dict[str, str]) -> Recipe:
    """A dish for four with the food of the row as a line, in the place of plain rice, or only spoken of."""
    grams = float(row["grams"]) if row["grams"] else None
    if row["role"] == "mention":
        return dish(line("white-rice-long-dry", 200), mentions=(Mention(name=row["name"], why="warned of"),))
    if row["role"] == "alternative":
        return dish(line("olive-oil", 5, alternatives=(row["name"],)))
    return dish(line(row["food"] or "unknown", grams, name=row["name"]))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['name']}-{row['role']}-{row['grams'] or 'unweighed'}")
def test_a_food_is_pointed_out_by_the_rules_of_the_table(row):
    found = findings_of(dish_of(row), TABLE)
    assert sorted(f"{one.level}:{one.rule}" for one in found) == sorted(row["rules"].split())


def test_every_rule_has_a_food_in_the_table_of_answers():
    tried = {rule.split(":")[1] for row in ROWS for rule in row["rules"].split()}
    assert tried == {rule.id for rule in default_rules().rule}


def test_one_finding_names_all_foods_of_a_rule_with_their_times_and_the_source():
    recipe = dish(line("soy-sauce", 32, at=300), line("cheddar", 200, at=40))
    (found,) = [one for one in findings_of(recipe, TABLE) if one.rule == "hidden-sodium"]
    assert found.text.startswith("Soy sauce and ")
    assert found.about == "soy-sauce, cheddar"
    assert [said.start for said in found.evidence] == [40, 300]
    assert "21 CFR 101.61(b)(4)" in found.sources[0]


def test_stops_stand_before_cautions_and_cautions_before_notes():
    recipe = dish(line("spinach-raw"), line("soy-sauce", 60), line("star-fruit-raw"))
    levels = [one.level for one in findings_of(recipe, TABLE)]
    assert levels == sorted(levels, key=["stop", "caution", "note"].index)


def test_a_salty_food_of_unknown_weight_is_a_caution_with_an_unknown_amount():
    (found,) = findings_of(dish(line("fish-sauce", None)), TABLE)
    assert (found.rule, found.level) == ("hidden-sodium", "caution")
    assert "an unknown amount of sodium" in found.text


def test_an_amount_for_servings_nobody_said_says_so():
    (found,) = findings_of(dish(line("fish-sauce", 40), servings=None), TABLE)
    assert "(4 servings assumed)" in found.text


def test_an_alternative_is_named_with_what_it_stands_for():
    (found,) = findings_of(dish(line("table-salt", 2, alternatives=("salt substitute",))), TABLE)
    assert found.text.startswith("Salt substitute (in place of ")


def test_a_claim_comes_out_as_a_finding_beside_the_rules():
    recipe = dish(line("soy-sauce", 60), claims=(claim("soy sauce", "sodium", "low"),))
    assert [one.rule for one in findings_of(recipe, TABLE)] == ["hidden-sodium", "claim.not-borne-out"]


def test_no_finding_calls_a_food_safe_or_allowed():
    words = " ".join(rule.text + rule.mention for rule in default_rules().rule).lower()
    assert not {"safe", "allowed", "permitted"} & set(words.replace(",", " ").split())


@given(grams=st.floats(0, 500), more=st.floats(0, 500))
def test_more_of_a_salty_food_is_never_less_of_a_caution(grams, more):
    def loud(weight: float) -> int:
        found = findings_of(dish(line("soy-sauce", weight)), TABLE)
        return max((("note", "caution").index(one.level) + 1 for one in found), default=0)

    assert loud(grams + more) >= loud(grams)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[[rule]]\nid = 'a'\nlevel = 'loud'\ntext = ''\nsources = ['x']\n", "rule.0.level"),
        ("[[rule]]\nid = 'a'\nlevel = 'note'\ntext = ''\nsources = []\n", "rule.0.sources"),
        ("[[rule]]\nid = 'a'\nlevel = 'note'\ntext = ''\nsources = ['x']\ntag = ['y']\n", "rule.0.tag"),
        (2 * "[[rule]]\nid = 'a'\nlevel = 'note'\ntext = ''\nsources = ['x']\n", "twice: a"),
        ("[[rule]\n", "cannot be read"),
    ],
)
def test_a_faulty_rule_file_is_refused_by_name(tmp_path: Path, text: str, told: str):
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(RulesError, match=told) as fault:
        load_rules(path)
    assert fault.value.file == "own.toml"


def test_tags_foods_and_groups_of_the_rules_are_in_the_food_table():
    tags = {tag for food in TABLE for tag in food.tags}
    groups = {food.group for food in TABLE}
    for rule in default_rules().rule:
        assert rule.tags | rule.not_tags <= tags
        assert rule.groups | rule.not_groups <= groups
        assert all(food in TABLE for food in rule.foods | rule.not_foods), rule.id


def test_evidence_said_twice_is_told_once():
    twice = line("soy-sauce", 60).model_copy(update={"evidence": heard(3) + heard(3)})
    (found,) = findings_of(dish(twice), TABLE)
    assert found.evidence == heard(3)
