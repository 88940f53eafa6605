"""`stillroom meal`: several dishes eaten together."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipeline.cli.check import show_verdicts
from pipeline.cli.dishes import Dish, aims_of, dish_options, dishes_of, target_options
from pipeline.cli.load import serves
from pipeline.cli.sheets import Cell, Sheet, bounds, figure, print_csv, print_json, show

if TYPE_CHECKING:
    from pipeline.load.plate import Plate

_COLUMNS = ("nutrient", "unit", "low", "likely", "high", "band_low", "band_high", "at_least")


@click.command()
@click.argument("records", nargs=-1, required=True, metavar="RECORD:DISH...")
@target_options
@dish_options
def command(
    records: tuple[str, ...],
    spoken: tuple[str, ...],
    file: Path | None,
    group: str | None,
    weight: float | None,
    meal_share: float | None,
    servings: float | None,
    own: Path | None,
    form: str | None,
) -> None:
    """Add up one serving of each of several dishes.

    DISH is the id, title or number of a dish; without it all dishes of the record are part of the meal. With targets
    the sum is held against them.

    \b
    Example:
      stillroom meal monday.record.json:1 monday.record.json:3 tuesday.record.json:2
    """
    from pipeline.load.plate import plate_of

    aims = aims_of(spoken=spoken, file=file, group=group, weight=weight, meal_share=meal_share)
    dishes = dishes_of(records, servings=servings, own=own)
    plate = plate_of([dish.portion for dish in dishes])
    title = "Meal of " + ", ".join(f"{dish.recipe.title} ({serves(dish.portion)})" for dish in dishes)
    cautions = [dish.caution for dish in dishes]
    if aims.limits:
        show_verdicts([(title, plate)], aims, form, cautions=cautions)
    else:
        _show(title, plate, dishes, form, " ".join(dict.fromkeys(cautions)))


def _show(title: str, plate: Plate, dishes: tuple[Dish, ...], form: str | None, caution: str) -> None:
    if form == "json":
        print_json(_as_json(plate, dishes, caution))
    elif form == "csv":
        print_csv(_COLUMNS, _rows(plate), caution=caution)
    else:
        show([_sheet(title, plate)], cautions=[caution])


def _as_json(plate: Plate, dishes: tuple[Dish, ...], caution: str) -> dict[str, object]:
    return {
        "caution": caution,
        "dishes": [
            {
                "record": dish.file,
                "id": dish.recipe.id,
                "title": dish.recipe.title,
                "servings": dish.portion.count.model_dump(),
                "servings_basis": dish.portion.servings.basis,
            }
            for dish in dishes
        ],
        "sums": {name: value.model_dump() for name, value in plate.sums.items()},
        "band": {name: value.model_dump() for name, value in plate.band.items()},
        "at_least": list(plate.at_least),
        "left_out": list(plate.left_out),
    }


def _rows(plate: Plate) -> list[tuple[Cell, ...]]:
    from pipeline.publish.figures import nutrient

    return [
        (
            nutrient(name).label,
            nutrient(name).unit,
            value.low,
            value.best,
            value.high,
            plate.band[name].low,
            plate.band[name].high,
            "at least" if name in plate.at_least else "",
        )
        for name, value in plate.sums.items()
    ]


def _sheet(title: str, plate: Plate) -> Sheet:
    from pipeline.publish.figures import nutrient

    rows = []
    for name in sorted(plate.sums, key=lambda name: (nutrient(name).rank, name)):
        value, band, more = plate.sums[name], plate.band[name], name in plate.at_least
        rows.append(
            (
                f"{nutrient(name).label}, {nutrient(name).unit}",
                f"{'at least ' if more else ''}{figure(value.best)}",
                bounds(band.low, band.high),
                f"{bounds(value.low, value.high)}{' or more' if more else ''}",
            )
        )
    left_out = (f"Not counted: {', '.join(plate.left_out)}.",) if plate.left_out else ()
    return Sheet(title, ("", "likely", "4 times in 5", "bounds"), tuple(rows), left_out)
