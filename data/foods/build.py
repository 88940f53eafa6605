"""Write data/foods/foods.csv, data/foods/measures.csv and data/class_densities.csv from the list of foods and a
standard release.

    python data/foods/build.py RELEASE_FOLDER [--label SR26]

The folder holds FOOD_DES.txt, ABBREV.txt and WEIGHT.txt. Foods come from data/foods/list/*.csv; a food without an NDB
number gets its figures from data/foods/extra.csv, or none. The densities of a class are those of its foods. The same
input gives the same bytes.
"""

from __future__ import annotations

import argparse
import csv
import io
import sys
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from statistics import median, quantiles

from pipeline.errors import StillroomError
from pipeline.files import write_text
from pipeline.foods.faults import Faults, number, rows
from pipeline.foods.household import MeasureWords
from pipeline.foods.release import Release, read_release
from pipeline.foods.table import COLUMNS, FACTS, NUTRIENTS
from pipeline.measure.registry import factors

LIST_COLUMNS = (*FACTS, "note")
EXTRA_COLUMNS = ("food", *NUTRIENTS, "source")
MEASURE_COLUMNS = ("food", "unit", "what", "grams", "source")

DENSITY_COLUMNS = ("class", "low", "best", "high", "source")

Row = Sequence[str]


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("release", type=Path, help="folder of the release in its ASCII form")
    parser.add_argument("--label", default="SR26", help="name of the release in the source column")
    options = parser.parse_args()
    try:
        for path, text in build(options.release, Path(__file__).resolve().parent, label=options.label).items():
            print(f"{path.name}: {text.count(chr(10)) - 1} rows, {write_text(path, text, force=True)}")
    except StillroomError as fault:
        print(f"build: {fault}", file=sys.stderr)
        return 2
    return 0


def build(release_folder: Path, folder: Path, *, label: str) -> dict[Path, str]:
    """The texts of the tables by path. Raises RulesError that lists all faults of the inputs."""
    release = read_release(release_folder)
    listed = read_list(folder / "list", release)
    extra = read_extra(folder / "extra.csv", listed)
    foods = [food_row(cells, release, extra, label) for _, cells in sorted(listed.items())]
    measures = measure_rows(listed, release, label)
    return {
        folder / "foods.csv": _csv(COLUMNS, foods),
        folder / "measures.csv": _csv(MEASURE_COLUMNS, measures),
        folder.parent / "class_densities.csv": _csv(DENSITY_COLUMNS, density_rows(listed, measures, label)),
    }


def read_list(folder: Path, release: Release) -> dict[str, Row]:
    """Cells of LIST_COLUMNS by id, from every part of the list."""
    faults = Faults()
    listed: dict[str, Row] = {}
    for path in sorted(folder.glob("*.csv")):
        for line, cells in rows(path, LIST_COLUMNS, faults):
            food_id, ndb = cells[0], cells[3]
            if food_id in listed:
                faults.add(path.name, line, "id", f"{food_id!r} stands in the list already")
            if ndb and ndb not in release.figures:
                faults.add(path.name, line, "ndb", f"{ndb!r} is not in the release")
            listed[food_id] = cells
    faults.raise_any()
    return listed


def read_extra(path: Path, listed: Mapping[str, Row]) -> dict[str, Row]:
    """Cells of EXTRA_COLUMNS by food id; a food that has an NDB number needs none."""
    faults = Faults()
    extra: dict[str, Row] = {}
    for line, cells in rows(path, EXTRA_COLUMNS, faults):
        food_id, source = cells[0], cells[-1]
        if food_id not in listed:
            faults.add(path.name, line, "food", f"{food_id!r} is not in the list")
        elif listed[food_id][3]:
            faults.add(path.name, line, "food", f"{food_id!r} has its figures from the release")
        if not source:
            faults.add(path.name, line, "source", "is empty")
        for column, text in zip(NUTRIENTS, cells[1:], strict=False):
            number(text, file=path.name, line=line, column=column, faults=faults)
        extra[food_id] = cells
    faults.raise_any()
    return extra


def food_row(cells: Row, release: Release, extra: Mapping[str, Row], label: str) -> Row:
    """One row of foods.csv: the facts of the list, then figures per 100 g edible part as published."""
    food_id, ndb = cells[0], cells[3]
    facts = list(cells[: len(FACTS)])
    if ndb:
        figures = release.figures[ndb]
        return [*facts, *(_plain(figures[name]) for name in NUTRIENTS), _plain(figures["refuse_pct"]), f"{label} {ndb}"]
    if food_id in extra:
        own = extra[food_id]
        return [*facts, *(_plain(text) for text in own[1:-1]), "", own[-1]]
    return [*facts, *("" for _ in NUTRIENTS), "", ""]


def measure_rows(listed: Mapping[str, Row], release: Release, label: str) -> list[Row]:
    """Rows of measures.csv: grams of one unit of a food for each fitting weight of the release, in its order."""
    words = MeasureWords.load()
    by_ndb: dict[str, list[Row]] = {}
    for weight in release.weights:
        household = words.read(weight.description, release.descriptions.get(weight.ndb, ""))
        if household is not None:
            grams = _plain(f"{weight.grams / weight.amount:.3f}")
            row = (household.unit, " ".join(household.what), grams, f"{label} WEIGHT {weight.ndb}/{weight.seq}")
            by_ndb.setdefault(weight.ndb, []).append(row)
    found = [(food_id, *row) for food_id, cells in listed.items() for row in by_ndb.get(cells[3], ())]
    return sorted(found, key=lambda row: (row[0], row[1], int(row[4].rpartition("/")[2])))


def density_rows(listed: Mapping[str, Row], measures: Sequence[Row], label: str) -> list[Row]:
    """Rows of class_densities.csv: grams a millilitre, the tenth, middle and ninetieth of a hundred foods of a class
    that have a household weight by volume; a food with several counts with its middle one."""
    volumes = {unit: volume for kitchen, unit, kind, volume, _ in factors() if kitchen == "us" and kind == "volume"}
    by_food: dict[str, list[float]] = {}
    for food, unit, _, grams, _ in measures:
        if unit in volumes:
            by_food.setdefault(food, []).append(float(grams) / float(volumes[unit]))
    by_class: dict[str, list[float]] = {}
    for food, densities in sorted(by_food.items()):
        by_class.setdefault(listed[food][4], []).append(median(densities))
    found: list[Row] = []
    for kind, densities in sorted(by_class.items()):
        tenths = quantiles(densities, n=10, method="inclusive") if len(densities) > 1 else densities * 9
        source = f"computed from the weights by volume of {len(densities)} foods of {label}"
        found.append((kind, *(f"{value:.3f}" for value in (tenths[0], median(densities), tenths[8])), source))
    return found


def _plain(text: str) -> str:
    """A figure without needless noughts: 15.870 -> 15.87, 0.00 -> 0."""
    return f"{float(text):.4f}".rstrip("0").rstrip(".") if text else ""


def _csv(columns: Sequence[str], records: Iterable[Row]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(records)
    return text.getvalue()


if __name__ == "__main__":
    sys.exit(main())
