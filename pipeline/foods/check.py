"""Whether the food table, its names and its weights agree with themselves."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path

from pipeline.errors import RulesError
from pipeline.foods.faults import Fault, Faults, rows
from pipeline.foods.names import FoodNames
from pipeline.foods.table import NUTRIENTS, Food, FoodTable
from pipeline.resources import data_path

_TABLE = "foods.csv"


def check_table(*, own: Path | None = None) -> list[Fault]:
    """All faults of the table (with the foods of the folder `own`), its names and its weights; empty where it is sound.

    Checked are: energy against the general factors, sums, parts against wholes, sizes of figures, sources, one editor's
    name for one food, names and weights that point to no food. Findings of data/foods/accepted.csv are left out.
    Raises RulesError where a file cannot be read at all, which includes one name standing for two foods.
    """
    table = FoodTable.load(own=own)
    faults = Faults()
    bounds = _bounds(faults)
    accepted = {
        (food, check)
        for _, (food, check, _) in rows(data_path("foods", "accepted.csv"), ("food", "check", "reason"), faults)
    }
    faults.raise_any()
    found = [
        Fault(_TABLE, 0, "", f"{food.id}: {check}: {text}")
        for food in table
        for check, text in check_food(food, bounds)
        if (food.id, check) not in accepted
    ]
    return found + list(_double_names(table)) + list(_unknown(table))


def check_food(food: Food, bounds: Mapping[str, float]) -> Iterator[tuple[str, str]]:
    """(check, what is wrong) for one food; figures that are not known are not judged."""
    figures = food.figures
    yield from _energy(figures, bounds)
    parts = [figures[name] for name in ("water_g", "protein_g", "fat_g", "carbohydrate_g")]
    total = sum(value for value in parts if value is not None)
    if total > bounds["sum_high"]:
        yield "sum", f"water, protein, fat and carbohydrate come to {total:.1f} g in 100 g"
    yield from _parts(figures, ("saturated_g",), "fat_g", bounds)
    yield from _parts(figures, ("sugar_g", "fibre_g"), "carbohydrate_g", bounds)
    for nutrient in NUTRIENTS:
        value = figures[nutrient]
        limit = bounds["milligram_high" if nutrient.endswith("_mg") else "gram_high"]
        limit = bounds.get(f"{nutrient}_high", limit)
        if value is not None and value > limit:
            yield "size", f"{nutrient} is {value:g}, more than {limit:g}"
    if food.known and not food.source:
        yield "source", "figures without a source"


def _energy(figures: Mapping[str, float | None], bounds: Mapping[str, float]) -> Iterator[tuple[str, str]]:
    energy, protein, fat, carbohydrate = (
        figures[name] for name in ("energy_kcal", "protein_g", "fat_g", "carbohydrate_g")
    )
    if energy is None or protein is None or fat is None or carbohydrate is None:
        return
    water = figures["water_g"]
    rest = max(0.0, 100 - water - protein - fat - carbohydrate) if water is not None else 0.0
    factors = protein * bounds["protein_kcal"] + fat * bounds["fat_kcal"] + carbohydrate * bounds["carbohydrate_kcal"]
    fibre = (figures["fibre_g"] or 0.0) * bounds["carbohydrate_kcal"]
    low = (factors - fibre) * bounds["energy_low"] - bounds["energy_slack"]
    high = factors * bounds["energy_high"] + rest * bounds["alcohol_kcal"] + bounds["energy_slack"]
    if not low <= energy <= high:
        yield "energy", f"{energy:g} kcal, expected {max(low, 0):.0f} to {high:.0f} from protein, fat and carbohydrate"


def _parts(
    figures: Mapping[str, float | None], names: tuple[str, ...], whole: str, bounds: Mapping[str, float]
) -> Iterator[tuple[str, str]]:
    total, of = sum(figures[name] or 0.0 for name in names), figures[whole]
    if of is not None and total > of * (1 + bounds["part_share"]) + bounds["part_slack"]:
        yield "parts", f"{' and '.join(names)} come to {total:g}, {whole} is {of:g}"


def _double_names(table: FoodTable) -> Iterator[Fault]:
    seen: dict[str, str] = {}
    for food in table:
        if food.name in seen:
            yield Fault(_TABLE, 0, "", f"{food.id}: name {food.name!r} is that of {seen[food.name]} too")
        seen.setdefault(food.name, food.id)


def _unknown(table: FoodTable) -> Iterator[Fault]:
    for entry in FoodNames.load():
        if entry.food not in table:
            yield Fault(
                "models/foods", 0, "", f"name {entry.name!r} points to {entry.food!r}, which is not in the table"
            )
    for name in ("measures.csv", "measures_extra.csv"):
        columns: tuple[str, ...] = ("food", "unit", "what", "grams", "source")
        if name == "measures_extra.csv":
            columns = ("food", "unit", "what", "low", "best", "high", "source")
        faults = Faults()
        for line, cells in rows(data_path("foods", name), columns, faults):
            if ":" not in cells[0] and cells[0] not in table:
                yield Fault(name, line, "food", f"{cells[0]!r} is not in the table")
        faults.raise_any()


def _bounds(faults: Faults) -> dict[str, float]:
    path = data_path("check_bounds.toml")
    try:
        settings = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError) as fault:
        raise RulesError(f"cannot be read: {fault}", file=path.name) from fault
    bounds: dict[str, float] = {}
    for name, value in settings.items():
        if isinstance(value, bool) or not isinstance(value, int | float):
            faults.add(path.name, 0, "", f"{name} is {value!r}, expected a number")
        else:
            bounds[name] = float(value)
    return bounds
