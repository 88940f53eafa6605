"""Tables of the user's own: read whole or not at all, on top of ours."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from pipeline.cli.foods import foods
from pipeline.errors import RulesError
from pipeline.foods.check import check_food, check_table
from pipeline.foods.importing import Imported, import_foods
from pipeline.foods.names import FoodNames
from pipeline.foods.table import NUTRIENTS, Food, FoodTable
from pipeline.measure.tables import Tables


def release(folder: Path, *, sodium: str = "77") -> Path:
    """A release of two foods: raw carrot under the number ours has, and one that is new."""
    folder.mkdir()
    describe = "~{}^~1100~^~{}~^~SHORT~^~~^~~^~Y~^~~^11^~~^6.25^2.44^8.37^3.57\r\n"
    cells = ["88.29", "41", "0.93", "0.24", "0.97", "9.58", "2.8", "4.74", "33", "0.30", "12", "35", "320", sodium]
    tail = [""] * 28 + ["0.037"] + [""] * 7 + ["11"]
    lines = {
        "FOOD_DES.txt": [describe.format("11124~", "Carrots, raw"), describe.format("99001~", "Moonroot, raw")],
        "ABBREV.txt": ["^".join([number, "~SHORT~", *cells, *tail]) + "\r\n" for number in ("~11124~", "~99001~")],
        "WEIGHT.txt": ["~99001~^1^.5^~cup, sliced~^60^^\r\n", "~99001~^2^1^~serving~^85^^\r\n"],
    }
    for name, text in lines.items():
        (folder / name).write_text("".join(text), encoding="ascii", newline="")
    return folder


def test_an_import_adds_foods_and_overrides_ours(tmp_path: Path) -> None:
    done = import_foods(release(tmp_path / "sr"), tmp_path / "own", label="mine")
    ours = [food.id for food in FoodTable.load() if food.ndb == "11124"]
    assert done == Imported(added=1, overridden=len(ours), measures=1)
    table = FoodTable.load(own=tmp_path / "own")
    carrot, new = table.get(ours[0]), table.get("moonroot-raw-99001")
    assert carrot is not None and new is not None
    assert carrot.figures["sodium_mg"] == new.figures["sodium_mg"] == 77
    assert new.figures["saturated_g"] == 0.037 and new.refuse_pct == 11
    assert carrot.name == "carrot" and carrot.source == "mine 11124"
    assert len(table) == len(FoodTable.load()) + 1
    entry = FoodNames.load(own=tmp_path / "own").lookup("moonroot raw")
    assert entry is not None and entry.food == "moonroot-raw-99001"
    (measure,) = Tables.load(own=tmp_path / "own").measures["moonroot-raw-99001"]
    assert (measure.unit, measure.what, measure.grams.best) == ("cup", {"sliced"}, 120)


def test_a_failing_import_changes_nothing(tmp_path: Path) -> None:
    own = tmp_path / "own"
    import_foods(release(tmp_path / "good"), own)
    before = {path.name: path.read_bytes() for path in own.iterdir()}
    with pytest.raises(RulesError, match=r"ABBREV\.txt, line 1: column sodium_mg: 'much' is not a number.*line 2"):
        import_foods(release(tmp_path / "bad", sodium="much"), own)
    assert {path.name: path.read_bytes() for path in own.iterdir()} == before


def test_a_folder_of_something_else_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RulesError, match=r"expected a folder with FOOD_DES\.txt"):
        import_foods(tmp_path, tmp_path / "own")
    assert not (tmp_path / "own").exists()


NUMBERS = {
    "255": "G", "208": "KCAL", "203": "G", "204": "G", "606": "G", "205": "G", "269": "G", "291": "G",
    "307": "MG", "306": "MG", "305": "MG", "301": "MG", "304": "MG",
}  # fmt: skip


def fdc(folder: Path, *, amount: str = "77", unit: str = "MG") -> Path:
    folder.mkdir()
    units = {**NUMBERS, "307": unit}
    files = {
        "food.csv": '"fdc_id","data_type","description"\n"500001","survey","Moonroot, raw"\n',
        "nutrient.csv": "id,name,unit_name,nutrient_nbr,rank\n"
        + "".join(f"1{number},x,{unit},{number},1\n" for number, unit in units.items()),
        "food_nutrient.csv": f"id,fdc_id,nutrient_id,amount\n1,500001,1307,{amount}\n2,500001,1306,320\n",
        "measure_unit.csv": "id,name\n1000,cup\n",
        "food_portion.csv": "id,fdc_id,seq_num,amount,measure_unit_id,portion_description,modifier,gram_weight\n"
        "1,500001,1,1,1000,,chopped,128\n",
    }
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_a_csv_download_is_read_by_its_column_names(tmp_path: Path) -> None:
    assert import_foods(fdc(tmp_path / "fdc"), tmp_path / "own") == Imported(1, 0, 1)
    food = FoodTable.load(own=tmp_path / "own").get("moonroot-raw-500001")
    assert food is not None
    known = {nutrient: value for nutrient, value in food.figures.items() if value is not None}
    assert known == {"sodium_mg": 77, "potassium_mg": 320}


@pytest.mark.parametrize(
    ("fault", "expected"),
    [
        ({"amount": "lots"}, "food_nutrient.csv, line 2: column amount: 'lots'"),
        ({"unit": "G"}, "nutrient.csv, line 10: column unit_name: 'G' for sodium_mg, expected MG"),
    ],
)
def test_faults_of_a_download_are_placed(fault: dict[str, str], expected: str, tmp_path: Path) -> None:
    with pytest.raises(RulesError, match=expected):
        import_foods(fdc(tmp_path / "fdc", **fault), tmp_path / "own")
    assert not (tmp_path / "own").exists()


def test_our_table_is_in_order() -> None:
    assert [str(fault) for fault in check_table()] == []


BOUNDS = {
    "protein_kcal": 4, "carbohydrate_kcal": 4, "fat_kcal": 9, "alcohol_kcal": 7, "energy_low": 0.75,
    "energy_high": 1.15, "energy_slack": 10, "sum_high": 105, "part_slack": 0.5, "part_share": 0.05,
    "gram_high": 100, "energy_kcal_high": 902, "milligram_high": 60000,
}  # fmt: skip


@pytest.mark.parametrize(
    ("figures", "found"),
    [
        ({"water_g": 60, "protein_g": 20, "fat_g": 10, "carbohydrate_g": 5, "energy_kcal": 190}, []),
        ({"water_g": 60, "protein_g": 20, "fat_g": 10, "carbohydrate_g": 5, "energy_kcal": 320}, ["energy"]),
        ({"water_g": 60, "protein_g": 20, "fat_g": 10, "carbohydrate_g": 5, "energy_kcal": 90}, ["energy"]),
        ({"water_g": 80, "protein_g": 30}, ["sum"]),
        ({"fat_g": 5, "saturated_g": 7}, ["parts"]),
        ({"carbohydrate_g": 10, "sugar_g": 8, "fibre_g": 4}, ["parts"]),
        ({"sodium_mg": 90000}, ["size"]),
        ({"sodium_mg": 38758}, []),
    ],
)
def test_figures_that_do_not_agree_are_found(figures: dict[str, float], found: list[str]) -> None:
    known = {nutrient: figures.get(nutrient) for nutrient in NUTRIENTS}
    food = Food("x", "x", "other", "", "other", False, "", frozenset(), known, None, "made up")
    assert [check for check, _ in check_food(food, BOUNDS)] == found


def run(*arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(foods, list(arguments))
    return result.exit_code, result.output


def test_find_lists_foods_by_their_spoken_names() -> None:
    status, text = run("find", "red", "bell", "pepper")
    assert status == 0 and text.splitlines()[0].startswith("bell-pepper-red-raw")
    assert "No food is called 'xyzzyx'" in run("find", "xyzzyx")[1]


def test_show_gives_figures_with_their_source_and_says_what_is_not_known() -> None:
    status, text = run("show", "table-salt")
    assert status == 0
    assert "38758 mg" in text and "SR26 02047" in text and "1 teaspoon: 6 g" in text
    unknown = next(food.id for food in FoodTable.load() if not food.known)
    assert "sodium        not known" in run("show", unknown)[1]


def test_import_and_check_by_command(tmp_path: Path) -> None:
    own = str(tmp_path / "own")
    status, text = run("import", str(release(tmp_path / "sr")), "--own", own)
    assert status == 0 and text.startswith("1 foods added")
    assert "moonroot-raw-99001" in run("find", "moonroot", "--own", own)[1]
    assert run("check") == (0, "The food table is in order.\n")
    import_foods(release(tmp_path / "odd", sodium="99999"), Path(own))
    status, text = run("check", "--own", own)
    assert status == 1 and "moonroot-raw-99001: size: sodium_mg is 99999" in text
