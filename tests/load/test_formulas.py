"""The formulas beside the plain sums, against published numbers."""

from __future__ import annotations

import pytest

from pipeline.errors import RulesError
from pipeline.load import load_of
from pipeline.load.constants import formulas, read_formulas
from pipeline.load.lines import lines_of
from pipeline.load.renal import neap, phosphorus_kind, pral
from pipeline.load.total import load_of_lines
from tests.load.conftest import TABLE, by_ndb, line, read

PUBLISHED = read("published.csv")


def of(formula: str) -> pytest.MarkDecorator:
    rows = [row for row in PUBLISHED if row["formula"] == formula]
    return pytest.mark.parametrize("row", rows, ids=lambda row: row["item"])


def near(row: dict[str, str]) -> object:
    return pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@of("pral")
def test_acid_load_of_100_g_is_that_of_the_paper_s_formula(row):
    food = TABLE.get(by_ndb(row["item"]))
    assert pral(food.figures) == near(row)
    assert load_of([line(food.id, 100)], TABLE, servings=None).renal.pral_meq.best == near(row)


@of("neap")
def test_acid_of_a_day_from_protein_and_potassium(row):
    protein, potassium = (float(word) for word in row["item"].split() if word.isdigit())
    assert neap(protein, potassium * formulas().milligrams_per_millimole["potassium_mg"]) == near(row)


@of("ratio")
def test_phosphorus_for_protein(row):
    load = load_of([line(by_ndb(row["item"]), 250)], TABLE, servings=None)
    assert load.renal.phosphorus_per_protein.best == near(row)


@of("salt")
def test_salt_equivalent(row):
    salt = float(row["item"].split()[0]) / 1000 * formulas().salt_per_sodium
    assert salt == near(row)
    load = load_of([line("table-salt", 10)], TABLE, servings=None)
    assert load.per_recipe["salt_g"].best == pytest.approx(load.per_recipe["sodium_mg"].best * 2.54 / 1000)


def test_absorbable_phosphorus_is_the_range_of_the_literature_by_source():
    plant, animal, salt = "lentil-cooked", "milk-whole", "baking-powder-phosphate"
    assert [phosphorus_kind(TABLE.get(food)) for food in (plant, animal, salt)] == ["plant", "animal", "additive"]
    for food, low, high in ((plant, 0.20, 0.40), (animal, 0.40, 0.60), (salt, 0.80, 1.00)):
        renal = load_of([line(food, 100)], TABLE, servings=None).renal
        phosphorus = TABLE.get(food).figures["phosphorus_mg"]
        assert renal.absorbable_phosphorus_mg.low == pytest.approx(low * phosphorus)
        assert renal.absorbable_phosphorus_mg.high == pytest.approx(high * phosphorus)
        assert renal.phosphorus_by_source[phosphorus_kind(TABLE.get(food))].best == pytest.approx(phosphorus)


def test_additive_share_counts_leavenings_whole_and_leaves_cured_meat_open():
    assert phosphorus_kind(TABLE.get("ham-sliced")) == "with-additive"
    bread = load_of([line("all-purpose-flour", 500), line("baking-powder", 10)], TABLE, servings=None).renal
    powder, flour = 10 * 21.91, 500 * 1.08
    assert bread.additive_share.low == bread.additive_share.high == pytest.approx(powder / (powder + flour), rel=1e-5)
    ham = load_of([line("ham-sliced", 100)], TABLE, servings=None).renal
    assert (ham.additive_share.low, ham.additive_share.high) == (0, 1)


def test_acid_load_bounds_take_acid_foods_low_where_alkaline_ones_are_high():
    lines = [line("cheddar", 50, 100, 150), line("spinach-raw", 50, 100, 150)]
    acid, alkaline = (pral(TABLE.get(food).figures) for food in ("cheddar", "spinach-raw"))
    found = load_of(lines, TABLE, servings=None).renal.pral_meq
    assert found.low == pytest.approx(0.5 * acid + 1.5 * alkaline)
    assert found.high == pytest.approx(1.5 * acid + 0.5 * alkaline)


def test_a_ratio_without_a_divisor_is_not_given():
    renal = load_of([line("water", 500)], TABLE, servings=None).renal
    assert [renal.phosphorus_per_protein, renal.neap_meq, renal.additive_share] == [None, None, None]


def test_what_an_unknown_line_leaves_open_is_named():
    renal = load_of_lines(lines_of([line("milk-whole", 100), line(None, 5)], TABLE), servings=None).renal
    assert {"absorbable_phosphorus_mg", "pral_meq", "neap_meq"} <= set(renal.incomplete)
    assert load_of([line("milk-whole", 100)], TABLE, servings=None).renal.incomplete == ()


def test_every_formula_names_its_source():
    assert all(formulas().sources.values())
    assert "Remer and Manz" in formulas().sources["pral"]
    assert "Frassetto" in formulas().sources["neap"]


def test_a_malformed_file_of_factors_is_one_clear_fault(tmp_path):
    path = tmp_path / "formulas.toml"
    path.write_text("[salt]\nsource = 'x'\n")
    with pytest.raises(RulesError, match=r"formulas\.toml: .* is missing"):
        read_formulas(path)
