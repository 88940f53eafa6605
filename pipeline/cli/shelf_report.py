"""`stillroom shelf foods`, `trends` and `audit`: what the shelf as a whole tells."""

from __future__ import annotations

from pathlib import Path

import click

from pipeline.cli.shelf_output import (
    csv_option,
    json_option,
    per_number,
    per_option,
    per_words,
    print_rows,
    shelf_option,
)
from pipeline.errors import StillroomError, clock
from pipeline.shelf.reports import Flag, audits, flags, food_counts, trends
from pipeline.shelf.store import reading
from pipeline.shelf.words import nutrients_of, parse_nutrient
from pipeline.version import CAUTION


@click.command(name="foods")
@click.option("--limit", type=click.IntRange(min=1), default=30, show_default=True, help="How many are listed.")
@json_option
@csv_option
@shelf_option
def foods_(path: Path, limit: int, form: str | None) -> None:
    """List the foods that most recipes use.

    \b
    Example:
      stillroom shelf foods --limit 50
    """
    with reading(path) as store:
        rows = [(count.name, count.recipes, count.episodes) for count in food_counts(store, limit=limit)]
    print_rows(("food", "recipes", "episodes"), rows, form=form)


@click.command(name="trends")
@click.argument("nutrient")
@click.option(
    "--each",
    type=click.Choice(["year", "month", "episode"]),
    default="year",
    show_default=True,
    help="One row for each.",
)
@per_option
@json_option
@csv_option
@shelf_option
def trends_(nutrient: str, path: Path, each: str, per: str, form: str | None) -> None:
    """Show the mean load of NUTRIENT over time, by the date in the name of the file.

    A recipe with a figure or a weight not known counts with what is known; the last column says how many there are.

    \b
    Example:
      stillroom shelf trends phosphorus --each month
    """
    with reading(path) as store:
        asked = parse_nutrient(nutrient, nutrients_of(store))
        rows = [
            (trend.when, trend.recipes, trend.low, trend.best, trend.high, trend.open)
            for trend in trends(store, asked, per=per_number(per), each=each)
        ]
    if form is None:
        click.echo(f"{asked.label}, {asked.unit} {per_words(per)}, means over the recipes")
    print_rows((each, "recipes", "low", "likely", "high", "not all known"), rows, form=form, caution=CAUTION)


@click.command(name="audit")
@click.argument("name", required=False)
@json_option
@csv_option
@shelf_option
def audit_(name: str | None, path: Path, form: str | None) -> None:
    """List the findings that the audit NAME asks for, over all episodes; without NAME the audits there are.

    \b
    Example:
      stillroom shelf audit stop
      stillroom shelf audit claims --csv
    """
    known = {audit.name: audit for audit in audits()}
    if name is None:
        print_rows(("audit", "lists"), [(audit.name, audit.help) for audit in known.values()], form=form)
        return
    if name not in known:
        raise StillroomError(f"there is no audit {name!r}; there are {', '.join(known)}")
    with reading(path) as store:
        rows = [
            (flag.recipe, flag.file, _at(flag), flag.title, flag.level, flag.text) for flag in flags(store, known[name])
        ]
    print_rows(("number", "file", "at", "recipe", "level", "finding"), rows, form=form, caution=CAUTION)


def _at(flag: Flag) -> str:
    return "" if flag.moment is None else clock(flag.moment)
