"""`stillroom fit`: the fewest changes that bring a dish under its targets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipeline.cli.dishes import Aims, Dish, aims_of, dish_options, dishes_of, target_options
from pipeline.cli.load import serves
from pipeline.cli.sheets import Cell, Sheet, figure, print_csv, print_json, show

if TYPE_CHECKING:
    from pipeline.load.fit import Change, Fit

_COLUMNS = ("dish", "step", "kind", "change", "nutrient", "unit", "before", "after")


@click.command()
@click.argument("records", nargs=-1, required=True, metavar="RECORD[:DISH]...")
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
    """Propose the fewest changes that would make a dish fit.

    A smaller portion, less of an ingredient, another in its place, or a technique such as boiling and draining, until
    the likely value of one serving is under each target. Of several figures for a nutrient the tightest counts.

    \b
    Example:
      stillroom fit monday.record.json:1 --target potassium=600mg/meal --target sodium=500mg/meal
    """
    from pipeline.foods.table import FoodTable
    from pipeline.load.fit import fit_of

    aims = aims_of(spoken=spoken, file=file, group=group, weight=weight, meal_share=meal_share)
    if not aims.limits:
        raise click.UsageError("choose what the dish should fit, with --target, --targets or --group")
    dishes = dishes_of(records, servings=servings, own=own)
    table = FoodTable.load(own=own)
    found = [(dish, fit_of(dish.portion, table, aims.limits)) for dish in dishes]
    cautions = list(dict.fromkeys(dish.caution for dish in dishes))
    if form == "json":
        contents = [_as_json(dish, fit) for dish, fit in found]
        print_json({"caution": " ".join(cautions), "basis": aims.words, "dishes": contents})
    elif form == "csv":
        print_csv(_COLUMNS, [row for dish, fit in found for row in _rows(dish, fit)], caution=" ".join(cautions))
    else:
        show([_sheet(dish, fit, aims) for dish, fit in found], cautions=cautions)


def _sheet(dish: Dish, fit: Fit, aims: Aims) -> Sheet:
    names = tuple(fit.before)
    columns = ("", *map(_named, names))
    steps = [("as it is", *_figures(fit.before, names))]
    steps += [(change.words, *_figures(change.after, names)) for change in fit.changes]
    steps.append(("target", *(_target(fit, name) for name in names)))
    title = f"{dish.recipe.title}, one serving ({serves(dish.portion)}): {outcome(fit)}"
    return Sheet(title, columns, tuple(steps), (*_sources(fit.changes), *fit.remarks, aims.words))


def outcome(fit: Fit) -> str:
    """In words what came of it; nothing in the list that does is said plainly."""
    if not fit.before:
        return "no target with a number"
    if fit.found and not fit.changes:
        return "its likely values are under each target as it is"
    if fit.found:
        return f"{len(fit.changes)} {'change' if len(fit.changes) == 1 else 'changes'}"
    beyond = [name for name, lowest in fit.lowest.items() if lowest > fit.most[name]]
    if not beyond:
        return "nothing in the list brings it under all targets at once"
    reached = "; ".join(f"{_named(name)} no lower than {figure(fit.lowest[name])}" for name in beyond)
    return f"nothing in the list will do: {reached}"


def _target(fit: Fit, name: str) -> str:
    most, least = fit.most.get(name), fit.least.get(name)
    parts = [f"at least {figure(least)}"] if least is not None else []
    parts += [f"at most {figure(most)}"] if most is not None else []
    return ", ".join(parts)


def _sources(changes: Sequence[Change]) -> tuple[str, ...]:
    return tuple(
        f"{place}. {change.source}"
        for place, change in enumerate(changes, 1)
        if change.source and change.kind != "swap"
    )


def _figures(values: Mapping[str, float], names: Sequence[str]) -> tuple[str, ...]:
    return tuple(figure(values[name]) for name in names)


def _named(name: str) -> str:
    from pipeline.publish.figures import nutrient

    words = nutrient(name)
    return f"{words.label}, {words.unit}"


def _as_json(dish: Dish, fit: Fit) -> dict[str, object]:
    about = {
        "record": dish.file,
        "id": dish.recipe.id,
        "title": dish.recipe.title,
        "servings": dish.portion.count.model_dump(),
        "servings_basis": dish.portion.servings.basis,
        "outcome": outcome(fit),
    }
    return about | asdict(fit)


def _rows(dish: Dish, fit: Fit) -> Iterator[tuple[Cell, ...]]:
    from pipeline.publish.figures import nutrient

    for place, change in enumerate(fit.changes, 1):
        for name, before in change.before.items():
            words = nutrient(name)
            figures = (before, change.after[name])
            yield (dish.recipe.title, place, change.kind, change.words, words.label, words.unit, *figures)
    if not fit.changes:
        yield (dish.recipe.title, None, None, outcome(fit), None, None, None, None)
