"""`stillroom foods`: the food table from the command line."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from pipeline.foods.table import Food
    from pipeline.measure.tables import Measure

_FOUND = 15
_OWN = click.option(
    "--own",
    type=click.Path(file_okay=False, path_type=Path),
    envvar="STILLROOM_FOODS",
    help="Folder of your own foods, as `foods import` writes it (or STILLROOM_FOODS).",
)


@click.group()
def foods() -> None:
    """Look foods up in the food table, add your own, check it.

    \b
    Example:
      stillroom foods find smoked paprika
    """


@foods.command(short_help="List the foods that WORDS may mean.")
@click.argument("words", nargs=-1, required=True)
@_OWN
def find(words: tuple[str, ...], own: Path | None) -> None:
    """List the foods whose spoken names hold WORDS, or are spelt much like them.

    \b
    Example:
      stillroom foods find red pepper
    """
    from pipeline.foods.names import FoodNames
    from pipeline.foods.table import FoodTable

    table = FoodTable.load(own=own)
    matches = FoodNames.load(own=own).near(" ".join(words), _FOUND)
    listed = [(match, food) for match in matches if (food := table.get(match.food)) is not None]
    if not listed:
        click.echo(f"No food is called {' '.join(words)!r}, or nearly so.")
    width = max((len(food.id) for _, food in listed), default=0)
    for match, food in listed:
        said = f", said {match.name!r}" if match.name != food.name else ""
        click.echo(f"{food.id:<{width}}  {food.name}{said}{'' if food.known else ' (figures not known)'}")


@foods.command(short_help="Print the figures and weights of a food.")
@click.argument("food_id", metavar="ID")
@_OWN
def show(food_id: str, own: Path | None) -> None:
    """Print the figures and household weights of the food ID, with their sources.

    \b
    Example:
      stillroom foods show bell-pepper-red-raw
    """
    from pipeline.errors import RulesError
    from pipeline.foods.names import FoodNames
    from pipeline.foods.table import FoodTable
    from pipeline.measure.tables import household_measures

    food = FoodTable.load(own=own).get(food_id)
    if food is None:
        near = [match.food for match in FoodNames.load(own=own).near(food_id.replace("-", " "), 3)]
        hint = f"; near it are {', '.join(near)}" if near else "; `stillroom foods find` lists ids"
        raise RulesError(f"no food has the id {food_id!r}{hint}")
    click.echo("\n".join(_lines(food, household_measures(own=own).get(food.id, ()))))


@foods.command(name="import", short_help="Take in a table of foods of your own.")
@click.argument("path", type=click.Path(exists=True, file_okay=False, path_type=Path))
@click.option(
    "--own",
    type=click.Path(file_okay=False, path_type=Path),
    envvar="STILLROOM_FOODS",
    required=True,
    help="Folder to keep the foods in (or STILLROOM_FOODS); it is made where missing.",
)
@click.option("--label", help="Name of the table in the source column; otherwise the name of its folder.")
def import_(path: Path, own: Path, label: str | None) -> None:
    """Read a table of foods from the folder PATH; its foods add to ours or stand in their place.

    PATH holds a standard release in ASCII form (FOOD_DES.txt, ABBREV.txt, WEIGHT.txt) or a FoodData Central download
    in CSV form (food.csv, food_nutrient.csv, nutrient.csv). What was imported before is replaced.

    \b
    Example:
      stillroom foods import ~/tables/release --own ~/stillroom-foods
    """
    from pipeline.foods.importing import import_foods

    done = import_foods(path, own, label=label)
    click.echo(
        f"{done.added} foods added, {done.overridden} of ours with other figures, {done.measures} weights: {own}"
    )


@foods.command(short_help="Check that the food table agrees with itself.")
@_OWN
@click.pass_context
def check(ctx: click.Context, own: Path | None) -> None:
    """Check that the food table, its names and its weights agree; exit status 1 where they do not.

    \b
    Example:
      stillroom foods check
    """
    from pipeline.foods.check import check_table

    faults = check_table(own=own)
    for fault in faults:
        click.echo(str(fault))
    click.echo(f"{len(faults)} faults" if faults else "The food table is in order.")
    ctx.exit(1 if faults else 0)


def _lines(food: Food, measures: tuple[Measure, ...]) -> Iterator[str]:
    yield f"{food.name} ({food.id})"
    yield f"  {food.group}, weighed as {food.class_}, main source of phosphorus: {food.phosphorus or 'not known'}"
    if food.tags:
        yield f"  {', '.join(sorted(food.tags))}"
    yield "  per 100 g edible part:"
    for nutrient, value in food.figures.items():
        name, _, unit = nutrient.rpartition("_")
        yield f"    {name.replace('_', ' '):<13} {'not known' if value is None else f'{value:g} {unit}'}"
    yield f"  not eaten: {'not known' if food.refuse_pct is None else f'{food.refuse_pct:g} % of the weight as bought'}"
    yield f"  source: {food.source or 'none'}"
    for measure in measures:
        what = f", {' '.join(sorted(measure.what))}" if measure.what else ""
        grams = measure.grams
        span = f"{grams.best:g} g" if grams.low == grams.high else f"{grams.best:g} g ({grams.low:g} to {grams.high:g})"
        yield f"  1 {measure.unit.replace('_', ' ')}{what}: {span} [{grams.source}]"


command = foods
