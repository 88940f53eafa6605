"""The rule files: whole, sourced, and refused with a place where they are not."""

import re
from pathlib import Path

import pytest

from pipeline.audit.tables import default_tables, load_rules, load_safety
from pipeline.errors import RulesError
from pipeline.resources import models_path, read_rows

PACKAGE = Path(__file__).parents[2] / "pipeline" / "audit"


def test_every_published_figure_a_rule_names_is_in_the_table():
    tables = default_tables()
    looks_like_a_row = re.compile(r"[a-z]+\.[a-z-]+")
    named = {source for rule in tables.book.rule for source in rule.sources if looks_like_a_row.fullmatch(source)}
    assert named <= set(tables.safety)


def test_every_family_of_cues_is_used_by_a_check():
    code = " ".join(path.read_text(encoding="utf-8") for path in sorted(PACKAGE.glob("*.py")))
    families = {
        row["cue"].partition(".")[0] for _, row in read_rows(models_path("audit_cues.csv"), ("id", "cue", "pattern"))
    }
    families -= {reason.id for reason in default_tables().book.reason}
    assert [family for family in sorted(families) if f'"{family}' not in code and f".{family}" not in code] == []


def test_no_cue_stands_twice():
    ids = [row["id"] for _, row in read_rows(models_path("audit_cues.csv"), ("id", "cue", "pattern"))]
    assert len(ids) == len(set(ids))


def test_usual_spans_run_upwards():
    tables = default_tables()
    assert all(usual.low < usual.high for usual in (*tables.times.values(), *tables.heats.values()))


def test_a_rule_without_a_source_is_refused_with_its_place(tmp_path):
    path = tmp_path / "audit_rules.toml"
    rule = '[[rule]]\nid = "a"\nlevel = "note"\ncheck = ""\ntext = ""\naction = ""\ncaption = ""\nsources = []\n'
    path.write_text(f'caution = ""\nreason = []\n{rule}', encoding="utf-8")
    with pytest.raises(RulesError, match=r"audit_rules.toml.*rule\.0\.sources"):
        load_rules(path)


def test_a_rule_that_stands_twice_is_refused(tmp_path):
    path = tmp_path / "audit_rules.toml"
    rule = '[[rule]]\nid = "a"\nlevel = "note"\ncheck = ""\ntext = ""\naction = ""\ncaption = ""\nsources = ["s"]\n'
    path.write_text(f'caution = ""\nreason = []\n{rule}{rule}', encoding="utf-8")
    with pytest.raises(RulesError, match="twice: a"):
        load_rules(path)


@pytest.mark.parametrize(
    ("row", "fault"), [("x,k,o,1,2,,,,", "source is empty"), ("x,k,o,warm,2,,,,s", "'warm' is no number")]
)
def test_a_published_figure_that_is_malformed_is_refused_with_its_line(tmp_path, row, fault):
    path = tmp_path / "safety.csv"
    path.write_text(f"id,kind,of,fahrenheit,celsius,low,high,unit,source\n{row}\n", encoding="utf-8")
    with pytest.raises(RulesError, match=fault) as caught:
        load_safety(path)
    assert caught.value.line == 2
