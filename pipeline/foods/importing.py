"""Imports a table of the user's own into a folder of theirs, where it adds to ours or stands in its place.

The folder then holds foods.csv, measures.csv and names.csv in the form of data/foods and models/foods. They are written
one whole after the other only when everything was read without a fault; a failing import changes nothing.
"""

from __future__ import annotations

import csv
import io
import re
import secrets
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pipeline.errors import OutputError, RulesError
from pipeline.files import make_folder
from pipeline.foods.fdc import is_fdc, read_fdc
from pipeline.foods.household import MeasureWords
from pipeline.foods.names import COLUMNS as NAME_COLUMNS
from pipeline.foods.names import FoodNames
from pipeline.foods.release import Release, is_release, read_release
from pipeline.foods.table import COLUMNS, NUTRIENTS, Food, FoodTable

_NOT_ID = re.compile(r"[^a-z0-9]+")
_NOT_WORD = re.compile(r"[^\w%' ]+")
MEASURE_COLUMNS = ("food", "unit", "what", "grams", "source")


@dataclass(frozen=True, slots=True)
class Imported:
    """How many foods were read: new ones, and ones whose figures stand in the place of ours."""

    added: int
    overridden: int
    measures: int


def import_foods(source: Path, own: Path, *, label: str | None = None) -> Imported:
    """Read a release in ASCII form or a FoodData Central CSV folder from `source` and write it to the folder `own`.

    A food whose NDB number is that of a food of ours gives that food its figures; any other is added under an id made
    of its description and number. Raises RulesError, with file, row and column of every fault, and OutputError.
    """
    release = _read(source)
    label = label or source.name
    table, names = FoodTable.load(), FoodNames.load()
    ours: dict[str, list[Food]] = {}
    for food in table:
        if food.ndb:
            ours.setdefault(food.ndb, []).append(food)
    ids = {key: [food.id for food in ours[key]] if key in ours else [_new_id(key, release)] for key in release.figures}
    foods = _foods(release, ours, ids, label)
    measures = _measures(release, ids, label)
    spoken = _names(release, ids, ours, names)
    texts = {
        "foods.csv": _csv(COLUMNS, foods),
        "measures.csv": _csv(MEASURE_COLUMNS, measures),
        "names.csv": _csv(NAME_COLUMNS, spoken),
    }
    _write_all(own, texts)
    overridden = sum(len(ids[key]) for key in release.figures if key in ours)
    return Imported(len(foods) - overridden, overridden, len(measures))


def _read(source: Path) -> Release:
    if is_release(source):
        return read_release(source)
    if is_fdc(source):
        return read_fdc(source)
    raise RulesError(
        "is no table that can be imported: expected a folder with FOOD_DES.txt, ABBREV.txt and WEIGHT.txt, or with "
        "food.csv, food_nutrient.csv and nutrient.csv",
        file=str(source),
    )


def _new_id(key: str, release: Release) -> str:
    words = _NOT_ID.sub("-", release.descriptions.get(key, "food").lower()).strip("-")
    return f"{words or 'food'}-{key}"


def _foods(
    release: Release, ours: Mapping[str, Sequence[Food]], ids: Mapping[str, Sequence[str]], label: str
) -> list[list[str]]:
    found: list[list[str]] = []
    for key, figures in release.figures.items():
        values = [*(figures.get(name, "") for name in NUTRIENTS), figures.get("refuse_pct", ""), f"{label} {key}"]
        for food in ours.get(key, ()):
            fluid = "yes" if food.fluid else "no"
            tags = " ".join(sorted(food.tags))
            facts = [food.id, food.name, food.group, food.ndb, food.class_, fluid, food.phosphorus, tags]
            found.append([*facts, *values])
        if key not in ours:
            name = release.descriptions.get(key, key)
            found.append([ids[key][0], name, "other", key, "other", "no", "", "", *values])
    return sorted(found)


def _measures(release: Release, ids: Mapping[str, Sequence[str]], label: str) -> list[list[str]]:
    words = MeasureWords.load()
    found: list[list[str]] = []
    for weight in release.weights:
        household = words.read(weight.description, release.descriptions.get(weight.ndb, ""))
        if household is None:
            continue
        grams = f"{weight.grams / weight.amount:.3f}".rstrip("0").rstrip(".")
        source = f"{label} {weight.ndb}/{weight.seq}"
        for food in ids.get(weight.ndb, ()):
            found.append([food, household.unit, " ".join(household.what), grams, source])
    return sorted(found)


def _names(
    release: Release, ids: Mapping[str, Sequence[str]], ours: Mapping[str, Sequence[Food]], names: FoodNames
) -> list[list[str]]:
    """One spoken name for each new food, its description in lower case; names that are ours already stay ours."""
    found: dict[str, list[str]] = {}
    for key in release.figures:
        name = " ".join(_NOT_WORD.sub(" ", release.descriptions.get(key, "").lower()).split())
        if key not in ours and name and names.lookup(name) is None:
            found.setdefault(name, [name, ids[key][0], "variant", release.descriptions[key].lower(), ""])
    return [found[name] for name in sorted(found)]


def _write_all(folder: Path, texts: Mapping[str, str]) -> None:
    """Write every text to a new file beside its own before the first of them takes its name."""
    make_folder(folder)
    staged = {folder / name: folder / f".{name}.{secrets.token_hex(4)}.part" for name in texts}
    try:
        for path, part in staged.items():
            part.write_text(texts[path.name], encoding="utf-8")
        for path, part in staged.items():
            part.replace(path)
    except OSError as fault:
        raise OutputError(
            f"cannot be written: {(fault.strerror or 'unknown fault').lower()}", file=str(folder)
        ) from fault
    finally:
        for part in staged.values():
            part.unlink(missing_ok=True)


def _csv(columns: Sequence[str], records: Iterable[Sequence[str]]) -> str:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(records)
    return text.getvalue()
