"""A FoodData Central download in its CSV form: food.csv, food_nutrient.csv and nutrient.csv, with the household weights
and older numbers of food_portion.csv, measure_unit.csv and sr_legacy_food.csv where they are there.

Read from knowledge of the format, from memory; columns are found by name, others are passed over.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from pipeline.foods.faults import Faults, number, rows
from pipeline.foods.release import Release, Weight
from pipeline.resources import data_path

_NEEDED = ("food.csv", "food_nutrient.csv", "nutrient.csv")
_UNITS = {"_g": "G", "_mg": "MG", "_kcal": "KCAL"}


def is_fdc(folder: Path) -> bool:
    """Whether the folder holds a FoodData Central download in CSV form."""
    return all((folder / name).is_file() for name in _NEEDED)


def read_fdc(folder: Path) -> Release:
    """The foods by FDC id, or by NDB number where the folder gives it. Raises RulesError that lists all faults."""
    faults = Faults()
    older = {row["fdc_id"]: row["NDB_number"].zfill(5) for _, row in _optional(folder, "sr_legacy_food.csv", faults)}
    names: dict[str, str] = {}
    for line, row in _records(folder / "food.csv", ("fdc_id", "description"), faults):
        if not row["fdc_id"] or not row["description"]:
            faults.add("food.csv", line, "description", "fdc_id or description is empty")
        names[older.get(row["fdc_id"], row["fdc_id"])] = row["description"]
    columns = _nutrient_ids(folder, faults)
    figures: dict[str, dict[str, str]] = {key: dict.fromkeys((*columns.values(), "refuse_pct"), "") for key in names}
    for line, row in _records(folder / "food_nutrient.csv", ("fdc_id", "nutrient_id", "amount"), faults):
        nutrient = columns.get(row["nutrient_id"])
        key = older.get(row["fdc_id"], row["fdc_id"])
        if nutrient is not None and key in figures:
            number(row["amount"], file="food_nutrient.csv", line=line, column="amount", faults=faults)
            figures[key][nutrient] = row["amount"]
    weights = tuple(_weights(folder, older, faults))
    faults.raise_any()
    return Release(names, figures, weights)


def _nutrient_ids(folder: Path, faults: Faults) -> dict[str, str]:
    """Nutrient id of the download -> our name, by the nutrient number and the unit."""
    path = data_path("foods", "fdc_nutrients.csv")
    by_number = {text: name for _, (name, text, _) in rows(path, ("nutrient", "number", "source"), faults)}
    found: dict[str, str] = {}
    for line, row in _records(folder / "nutrient.csv", ("id", "unit_name", "nutrient_nbr"), faults):
        name = by_number.get(row["nutrient_nbr"].removesuffix(".0"))
        if name is None:
            continue
        unit = next(unit for end, unit in _UNITS.items() if name.endswith(end))
        if row["unit_name"].upper() != unit:
            faults.add("nutrient.csv", line, "unit_name", f"{row['unit_name']!r} for {name}, expected {unit}")
        found[row["id"]] = name
    for name in sorted(set(by_number.values()) - set(found.values())):
        faults.add("nutrient.csv", 0, "", f"has no row for {name}")
    return found


def _weights(folder: Path, older: Mapping[str, str], faults: Faults) -> Iterator[Weight]:
    units = {row["id"]: row["name"] for _, row in _optional(folder, "measure_unit.csv", faults)}
    for line, row in _optional(folder, "food_portion.csv", faults):
        amount = number(row["amount"] or "1", file="food_portion.csv", line=line, column="amount", faults=faults)
        grams = number(row["gram_weight"], file="food_portion.csv", line=line, column="gram_weight", faults=faults)
        unit = units.get(row["measure_unit_id"], "")
        unit = "" if unit == "undetermined" else unit
        text = " ".join(part for part in (unit, row["portion_description"], row["modifier"]) if part)
        if amount and grams:
            yield Weight(older.get(row["fdc_id"], row["fdc_id"]), row["seq_num"] or str(line), amount, text, grams)


def _optional(folder: Path, name: str, faults: Faults) -> Iterator[tuple[int, dict[str, str]]]:
    needed = {
        "sr_legacy_food.csv": ("fdc_id", "NDB_number"),
        "measure_unit.csv": ("id", "name"),
        "food_portion.csv": (
            "fdc_id", "seq_num", "amount", "measure_unit_id", "portion_description", "modifier", "gram_weight",
        ),
    }  # fmt: skip
    if (folder / name).is_file():
        yield from _records(folder / name, needed[name], faults)


def _is_whole(cells: Sequence[str], expected: int, file: str, line: int, faults: Faults) -> bool:
    if len(cells) != expected:
        faults.add(file, line, "", f"{len(cells)} cells, expected {expected}")
    return len(cells) == expected


def _records(path: Path, columns: Sequence[str], faults: Faults) -> Iterator[tuple[int, dict[str, str]]]:
    """Rows by column name; a missing file or column, a short row or text that is not UTF-8 becomes a fault."""
    try:
        with path.open(newline="", encoding="utf-8-sig") as file:
            reader = csv.reader(file)
            header = next(reader, [])
            missing = [column for column in columns if column not in header]
            if missing:
                faults.add(path.name, 1, "", f"has no column {', '.join(missing)}")
                return
            places = [header.index(column) for column in columns]
            whole = (cells for cells in reader if _is_whole(cells, len(header), path.name, reader.line_num, faults))
            for cells in whole:
                yield reader.line_num, {column: cells[at].strip() for column, at in zip(columns, places, strict=True)}
    except OSError as fault:
        faults.add(path.name, 0, "", f"cannot be read: {(fault.strerror or 'unknown fault').lower()}")
    except UnicodeDecodeError:
        faults.add(path.name, 0, "", "is not UTF-8 text")
