"""`stillroom load`: the load of the dishes of a record."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipeline.cli.dishes import Dish, dish_options, dishes_of
from pipeline.cli.sheets import Cell, Sheet, bounds, figure, print_csv, print_json, show

if TYPE_CHECKING:
    from pipeline.load.plate import Portion
    from pipeline.record import Load, Range

_MAIN = ("sodium_mg", "potassium_mg", "phosphorus_mg", "protein_g", "fluid_ml", "energy_kcal")
_COLUMNS = ("dish", "of", "name", "nutrient", "unit", "low", "likely", "high")
_BAND_COLUMNS = ("band_low", "band_high", "at_least")
_CSV_COLUMNS = (*_COLUMNS, *_BAND_COLUMNS)


@click.command()
@click.argument("records", nargs=-1, required=True, metavar="RECORD[:DISH]...")
@dish_options
def command(records: tuple[str, ...], servings: float | None, own: Path | None, form: str | None) -> None:
    """Show the load of the dishes of a record.

    Per serving, recipe, component, line and 100 g. DISH is the id, title or number of one dish; without it all of
    the record are shown.

    \b
    Example:
      stillroom load monday.record.json
      stillroom load monday.record.json:2 --servings 6 --csv > dish.csv
    """
    show_loads(dishes_of(records, servings=servings, own=own), form)


def show_loads(dishes: Sequence[Dish], form: str | None) -> None:
    """Print the loads of `dishes` as tables, or in the `form` json or csv."""
    from pipeline.load.total import load_of_lines

    loads = [(dish, load_of_lines(dish.portion.lines, servings=dish.portion.servings)) for dish in dishes]
    cautions = list(dict.fromkeys(dish.caution for dish in dishes))
    if form == "json":
        print_json({"caution": " ".join(cautions), "dishes": [_as_json(dish, load) for dish, load in loads]})
    elif form == "csv":
        rows = [row for dish, load in loads for row in _csv_rows(dish, load)]
        print_csv(_CSV_COLUMNS, rows, caution=" ".join(cautions))
    else:
        show([sheet for dish, load in loads for sheet in _sheets(dish, load)], cautions=cautions)


def serves(portion: Portion) -> str:
    """How many a dish serves, and where that is from."""
    from pipeline.publish.figures import people

    if portion.assumed:
        return f"nobody said how many it serves; {people(portion.count)} assumed, {portion.servings.best:g} likely"
    return f"serves {people(portion.count)}"


def _as_json(dish: Dish, load: Load) -> dict[str, object]:
    return {
        "record": dish.file,
        "id": dish.recipe.id,
        "title": dish.recipe.title,
        "servings_basis": dish.portion.servings.basis,
        "load": load.model_dump(mode="json"),
    }


def _sheets(dish: Dish, load: Load) -> Iterator[Sheet]:
    title = f"{dish.recipe.title} ({serves(dish.portion)})"
    fluid = "Fluid is what is liquid at room temperature; nothing is taken off for what boils away."
    first = ("Ask first: how many does it serve?", fluid) if dish.portion.assumed else (fluid,)
    yield Sheet(
        title, ("", "a serving", "4 times in 5", "bounds", "recipe", "100 g, uncooked"), _nutrients(load), first
    )
    if load.per_component:
        parts = tuple(
            (name or "the rest", *(figure(values[key].best if key in values else None) for key in _MAIN))
            for name, values in load.per_component.items()
        )
        yield Sheet("By component, likely, whole recipe", ("", *map(_named, _MAIN)), parts)
    yield Sheet(
        "By ingredient, likely, whole recipe",
        ("", "grams", *map(_named, _MAIN)),
        _lines(dish),
        (*_cooked(dish), *_gaps(load)),
    )
    yield Sheet("What renal teams look at besides", ("", "likely", "bounds"), _renal(dish, load))


def _nutrients(load: Load) -> tuple[tuple[str, ...], ...]:
    from pipeline.publish.figures import nutrient

    band, per_100g, a_serving = load.serving_band or {}, load.per_100g or {}, load.per_serving or {}
    rows = []
    for name in sorted(a_serving, key=lambda name: (nutrient(name).rank, name)):
        value, more = a_serving[name], name in load.at_least
        rows.append(
            (
                _named(name),
                f"{'at least ' if more else ''}{figure(value.best)}",
                bounds(band[name].low, band[name].high),
                f"{bounds(value.low, value.high)}{' or more' if more else ''}",
                figure(load.per_recipe[name].best),
                figure(per_100g[name].best if name in per_100g else None),
            )
        )
    return tuple(rows)


def _lines(dish: Dish) -> tuple[tuple[str, ...], ...]:
    lines = dish.portion.lines
    amounts = lines.amounts()[1]
    places = _places()
    return tuple(
        (ingredient.name, figure(float(lines.grams[1, row])), *(figure(float(amounts[row, at])) for at in places))
        for row, ingredient in enumerate(lines.ingredients)
    )


def _places() -> tuple[int, ...]:
    from pipeline.load.lines import TOTALS

    return tuple(TOTALS.index(name) for name in _MAIN)


def _cooked(dish: Dish) -> tuple[str, ...]:
    """The ways of cooking that were counted, with the source of what they leave."""
    from pipeline.load.retention import retention

    lines = dish.portion.lines
    return tuple(
        f"{ingredient.name}: counted as {technique.name.replace('-', ' ')} ({'; '.join(sources)})"
        for ingredient, food, technique in zip(lines.ingredients, lines.foods, lines.cooked, strict=True)
        if technique is not None and (sources := retention().source(technique.name, food))
    )


def _gaps(load: Load) -> tuple[str, ...]:
    if not load.left_out:
        return ()
    return (f"Not counted, since its food, its weight or its figures are not known: {', '.join(load.left_out)}.",)


def _renal(dish: Dish, load: Load) -> tuple[tuple[str, ...], ...]:
    from pipeline.publish.renal import renal_rows

    return tuple(
        (f"{label}{' (figures missing)' if missing else ''}", figure(value.best), bounds(value.low, value.high))
        for label, value, missing in renal_rows(load, dish.portion.servings.best)
        if value is not None
    )


def _named(name: str) -> str:
    from pipeline.publish.figures import nutrient

    words = nutrient(name)
    return f"{words.label}, {words.unit}"


def _csv_rows(dish: Dish, load: Load) -> Iterator[tuple[Cell, ...]]:
    from pipeline.publish.renal import renal_rows

    title = dish.recipe.title
    basis = f"serving ({serves(dish.portion)})"
    for of, values, band in (
        (basis, load.per_serving or {}, load.serving_band or {}),
        ("recipe", load.per_recipe, load.band),
        ("100 g, uncooked", load.per_100g or {}, {}),
    ):
        yield from _csv_part(title, of, "", values, band, load.at_least)
    for component, values in load.per_component.items():
        yield from _csv_part(title, "component", component or "the rest", values, {}, load.at_least)
    for label, value, missing in renal_rows(load, dish.portion.servings.best):
        if value is not None:
            open_ended = "figures missing" if missing else ""
            yield (title, "renal", label, None, None, value.low, value.best, value.high, None, None, open_ended)
    for name in load.left_out:
        yield (title, "not counted", name, *[None] * 8)


def _csv_part(
    dish: str, of: str, name: str, values: dict[str, Range], band: dict[str, Range], at_least: Sequence[str]
) -> Iterator[tuple[Cell, ...]]:
    from pipeline.publish.figures import nutrient

    for key, value in values.items():
        ends: tuple[Cell, Cell] = (band[key].low, band[key].high) if key in band else (None, None)
        words = nutrient(key)
        open_ended = "at least" if key in at_least else ""
        yield (dish, of, name, words.label, words.unit, value.low, value.best, value.high, *ends, open_ended)
