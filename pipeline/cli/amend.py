"""`stillroom amend`: one decision of a person, kept beside the record."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipeline.cli.dishes import read_record
from pipeline.cli.records import KITCHENS, amended, edited_cards, not_carried_out
from pipeline.errors import RecordError

if TYPE_CHECKING:
    from pipeline.record import Episode
    from pipeline.review.decisions import Decision


@click.command()
@click.argument("record", type=click.Path(dir_okay=False, path_type=Path), metavar="RECORD")
@click.option("--recipe", help="Id of the recipe; may be left out where there is one.")
@click.option("--line", help="Id of the ingredient line, or its name.")
@click.option("--amount", metavar="TEXT", help="How much of the line goes in: 2 tablespoons, 1/2 cup, 30-40 g.")
@click.option("--food", metavar="FOOD", help="Which food of the food table the line is.")
@click.option("--add", "name", metavar="NAME", help="Add a line; --amount, --food, --to and --before go with it.")
@click.option("--drop", is_flag=True, help="The line does not belong to the recipe.")
@click.option("--to", "component", metavar="COMPONENT", help="The component the line belongs to; - is the whole dish.")
@click.option("--before", metavar="LINE", help="The line it stands before.")
@click.option("--title", help="What the recipe is called.")
@click.option("--servings", metavar="N", help="How many people it serves: 4, 4-6.")
@click.option("--remark", metavar="TEXT", help="A remark on the recipe, or on the line.")
@click.option(
    "--measures",
    type=click.Choice(KITCHENS),
    default="us",
    show_default=True,
    help="Whose cups, pints and spoons are meant.",
)
@click.option("--who", help="Who decided.")
@click.option("--why", help="The reason, or where it is from.")
@click.option("--when", type=click.DateTime(["%Y-%m-%d"]), help="The day of the decision; today where left out.")
def command(record: Path, recipe: str | None, when: datetime.datetime | None, **given: str | bool | None) -> None:
    """Record what a person decided about RECORD, or list it.

    The decision goes to NAME.amendments.toml beside RECORD, which may be edited by hand; drafting again keeps it. The
    record is reckoned anew, and so are its cards where nobody edited them.

    \b
    Example:
      stillroom amend monday.record.json --line fish-sauce --amount "2 tablespoons" --who "A. Cook" --why "she told me"
      stillroom amend monday.record.json
    """
    if not any(given[name] for name in given if name != "measures"):
        _list(read_record(record))
        return
    decision = _decision(recipe or _only(record), when, given)
    episode = amended(record, decision=decision)
    click.echo(f"Recorded: {decision.text}.")
    _tell(record, episode)


def _only(record: Path) -> str:
    ids = [recipe.id for recipe in read_record(record).recipes]
    if len(ids) != 1:
        raise click.UsageError(f"name one --recipe of {', '.join(ids) or 'none'}")
    return ids[0]


def _decision(recipe: str, when: datetime.datetime | None, given: Mapping[str, str | bool | None]) -> Decision:
    from pydantic import TypeAdapter, ValidationError

    from pipeline.review.decisions import AnyDecision

    kind = _kind(given)
    fields = {"recipe": recipe, "kind": kind, "when": (when or datetime.datetime.now()).date(), **_fields(kind, given)}
    try:
        decision: Decision = TypeAdapter(AnyDecision).validate_python(fields)
    except ValidationError as fault:
        first = fault.errors()[0]
        place = first["loc"][-1] if len(first["loc"]) > 1 else "the options"
        raise RecordError(f"{place}: {first['msg'].removeprefix('Value error, ')}") from fault
    return decision


def _kind(given: Mapping[str, str | bool | None]) -> str:
    """The one thing that the options decide."""
    if given["name"]:
        return "add"
    kinds = {
        "amount": given["amount"],
        "food": given["food"],
        "drop": given["drop"],
        "move": given["component"] or given["before"],
        "title": given["title"],
        "servings": given["servings"],
        "remark": given["remark"],
    }
    chosen = [kind for kind, value in kinds.items() if value]
    if len(chosen) != 1:
        raise click.UsageError(
            "say one decision at a time: an amount, a food, a line to add, drop or move, a title, servings or a remark"
        )
    return chosen[0]


def _fields(kind: str, given: Mapping[str, str | bool | None]) -> dict[str, str | bool | None]:
    """What was given, without what the kind has no use for by itself."""
    weighs = kind in {"add", "amount", "food"}
    return {name: value for name, value in given.items() if value and name != "drop" and (name != "measures" or weighs)}


def _list(episode: Episode) -> None:
    if not episode.decisions:
        click.echo("Nothing was decided about this record.")
    for decided in episode.decisions:
        click.echo(f"{decided.when}  {decided.recipe}: {decided.text} ({decided.who}: {decided.why})")
        if decided.unplaced:
            click.echo(f"            not carried out: {decided.unplaced}")


def _tell(record: Path, episode: Episode) -> None:
    """What the reader has to know besides: decisions without a place, cards left alone, a review out of date."""
    from pipeline.review.dietitian import review_line, standing

    for line in not_carried_out(episode):
        click.echo(line, err=True)
    for card in edited_cards(record, episode):
        click.echo(f"{card} was edited and is left as it was.", err=True)
    if standing(episode) == "out of date":
        click.echo(review_line(episode), err=True)
