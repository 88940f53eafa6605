"""What the commands about a load share: dishes of a record, targets that were asked for, and common options."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from pipeline.errors import RecordError

if TYPE_CHECKING:
    from pipeline.load.plate import Portion
    from pipeline.load.targets import Limit, Target
    from pipeline.record import Episode, Recipe

_Command = Callable[..., Any]


@dataclass(frozen=True, slots=True)
class Dish:
    """A dish of a record file, one serving of it, and the caution of its record."""

    file: str
    recipe: Recipe
    portion: Portion
    caution: str


@dataclass(frozen=True, slots=True)
class Aims:
    """The limits that bind a meal, none where no target was chosen, and in words what they rest on."""

    limits: tuple[Limit, ...]
    words: str


def read_record(path: Path) -> Episode:
    """The record in the file `path`; raises RecordError that says what is wrong with it."""
    from pydantic import ValidationError

    from pipeline.record import Episode

    try:
        return Episode.model_validate_json(path.read_bytes())
    except OSError as fault:
        raise RecordError(f"cannot be read: {(fault.strerror or 'unknown fault').lower()}", file=str(path)) from fault
    except ValidationError as fault:
        first = fault.errors()[0]
        place = ".".join(str(part) for part in first["loc"]) or "the file"
        raise RecordError(f"is not an episode record: {place}: {first['msg']}", file=str(path)) from fault


def dishes_of(names: Sequence[str], *, servings: float | None, own: Path | None) -> tuple[Dish, ...]:
    """The dishes that are named RECORD (all of it) or RECORD:DISH, DISH an id, a title or a number from 1.

    Raises RecordError where there is no such record or dish.
    """
    from pipeline.foods.table import FoodTable
    from pipeline.load.plate import portion_of

    table = FoodTable.load(own=own)
    found = []
    for name in names:
        path, wanted = _parted(name)
        episode = read_record(path)
        for recipe in _wanted(episode.recipes, wanted, path):
            portion = portion_of(recipe, table, servings=servings)
            found.append(Dish(path.name, recipe, portion, episode.caution))
    return tuple(found)


def _parted(name: str) -> tuple[Path, str]:
    whole = Path(name)
    path, sign, dish = name.rpartition(":")
    return (whole, "") if whole.exists() or not sign or not path else (Path(path), dish)


def _wanted(recipes: Sequence[Recipe], wanted: str, path: Path) -> tuple[Recipe, ...]:
    if not wanted:
        if not recipes:
            raise RecordError("has no dish", file=str(path))
        return tuple(recipes)
    if wanted.isdigit() and 1 <= int(wanted) <= len(recipes):
        return (recipes[int(wanted) - 1],)
    for recipe in recipes:
        if wanted.lower() in {recipe.id.lower(), recipe.title.lower()}:
            return (recipe,)
    known = ", ".join(f"{place} {recipe.id}" for place, recipe in enumerate(recipes, 1))
    raise RecordError(f"has no dish {wanted!r}; its dishes are {known or 'none'}", file=str(path))


def aims_of(
    *, spoken: Sequence[str], file: Path | None, group: str | None, weight: float | None, meal_share: float | None
) -> Aims:
    """The limits of the targets that were asked for. Raises TargetError or RulesError where one cannot be used."""
    from pipeline.load.targets import limits_of, of_group, parse_target, per_kg, read_targets

    if not spoken and file is None and group is None:
        return Aims((), "")
    guidelines = read_targets()
    own = read_targets(file) if file else None
    chosen: list[Target] = list(own.targets) if own else []
    chosen += of_group(guidelines, group) if group else ()
    chosen += [parse_target(text) for text in spoken]
    share = meal_share or (own.meal_share if own else None) or guidelines.meal_share or 1.0
    weight = weight or (own.weight_kg if own else None)
    limits = limits_of(chosen, weight_kg=weight, meal_share=share)
    words = f"One meal is counted as {share:.0%} of the day (--meal-share changes that)."
    return Aims(limits, f"{words} Body weight {weight:g} kg." if weight and per_kg(chosen) else words)


def target_options(command: _Command) -> _Command:
    """The options that choose targets, for `aims_of`."""
    options = (
        click.option("--target", "spoken", multiple=True, metavar="AIM", help="A target: potassium=2000mg/day."),
        click.option(
            "--targets",
            "file",
            type=click.Path(exists=True, dir_okay=False, path_type=Path),
            help="TOML file with a person's own targets, in the form of data/targets.toml.",
        ),
        click.option("--group", help="Targets of guidelines for a group, such as haemodialysis."),
        click.option("--weight", type=click.FloatRange(min=1), help="Body weight in kg, for figures per kg."),
        click.option(
            "--meal-share",
            type=click.FloatRange(min=0, max=1, min_open=True),
            help="Part of the day that one meal may take, 0 to 1; else that of the file or of data/targets.toml.",
        ),
    )
    return _with(options, command)


def dish_options(command: _Command) -> _Command:
    """The options on servings, foods and the form of the output."""
    options = (
        click.option("--servings", type=click.FloatRange(min=0, min_open=True), help="How many a dish serves."),
        click.option(
            "--own",
            type=click.Path(file_okay=False, path_type=Path),
            envvar="STILLROOM_FOODS",
            help="Folder of your own foods, as `foods import` writes it (or STILLROOM_FOODS).",
        ),
        click.option("--json", "form", flag_value="json", help="Print JSON."),
        click.option("--csv", "form", flag_value="csv", help="Print CSV for a spreadsheet."),
    )
    return _with(options, command)


def _with(options: Sequence[Callable[[_Command], _Command]], command: _Command) -> _Command:
    for option in reversed(options):
        command = option(command)
    return command
