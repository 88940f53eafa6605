"""`stillroom review`: who reviewed a record, and whether the review still holds."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipeline.cli.dishes import read_record
from pipeline.cli.records import amended
from pipeline.errors import RecordError

if TYPE_CHECKING:
    from pipeline.record import Episode


@click.command()
@click.argument("record", type=click.Path(dir_okay=False, path_type=Path), metavar="RECORD")
@click.option("--by", metavar="NAME", help="Who reviewed the record.")
@click.option("--credential", metavar="TEXT", help="What the reviewer is: registered dietitian, RD.")
@click.option("--date", type=click.DateTime(["%Y-%m-%d"]), help="The day of the review; today where left out.")
def command(record: Path, by: str | None, credential: str | None, date: datetime.datetime | None) -> None:
    """Record that a named person reviewed RECORD, or tell.

    A review holds for the exact content; after any change of the recipes it is shown as out of date.

    \b
    Example:
      stillroom review monday.record.json --by "A. Diet" --credential "registered dietitian" --date 2026-05-03
      stillroom review monday.record.json

    Exit status: 0 done or the review holds, 1 there is none that holds.
    """
    from pipeline.review.dietitian import review_line, standing

    if by is None and credential is None:
        episode = read_record(record)
        click.echo(review_line(episode))
        click.get_current_context().exit(0 if standing(episode) == "reviewed" else 1)
    if not by or not credential:
        raise click.UsageError("a review needs both --by and --credential")
    click.echo(review_line(_given(record, by, credential, date or datetime.datetime.now())))


def _given(record: Path, by: str, credential: str, date: datetime.datetime) -> Episode:
    """The record with the review of its content after all decisions of the file beside it."""
    from pydantic import ValidationError

    from pipeline.review.decisions import ReviewGiven
    from pipeline.review.dietitian import content_hash

    current = amended(record)
    try:
        review = ReviewGiven(by=by, credential=credential, date=date.date(), content=content_hash(current))
    except ValidationError as fault:
        first = fault.errors()[0]
        raise RecordError(f"{first['loc'][0]}: {first['msg']}") from fault
    return amended(record, review=review)
