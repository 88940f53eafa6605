"""`stillroom explain`: why a value of a record is what it is."""

from __future__ import annotations

import re
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipeline.cli.records import KITCHENS
from pipeline.read.source import seconds

if TYPE_CHECKING:
    from pipeline.cli.sheets import Sheet
    from pipeline.explain import Moment

_CLOCK = re.compile(r"(?:([0-9]{1,4}):)?([0-9]{1,3}):([0-9]{2})(?:\.([0-9]{1,3}))?")
_SECONDS = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,3})?")
_COLUMNS = ("at", "words", "kind", "read as", "rules", "became")


class TimeInRecording(click.ParamType[float]):
    """A time written `m:ss`, `h:mm:ss` or in seconds, as seconds."""

    name = "time"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Seconds; wrong use where there is no such time."""
        if _SECONDS.fullmatch(value):
            return float(value)
        written = _CLOCK.fullmatch(value)
        found = seconds(*written.groups()) if written else None
        if found is None:
            self.fail(f"{value!r} is no time in a recording; expected m:ss, h:mm:ss or seconds.", param, ctx)
        return found


@click.command(name="explain", short_help="Show for a moment what was read, and what became of it.")
@click.argument("file", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--at", required=True, type=TimeInRecording(), metavar="TIME", help="The moment: 3:05, 1:02:30 or 185.")
@click.option(
    "--around",
    type=click.FloatRange(min=0),
    default=0.0,
    metavar="SECONDS",
    help="How much before and after it to show too; otherwise the line that is spoken then.",
)
@click.option(
    "--measures",
    type=click.Choice(KITCHENS),
    help="Whose cups, pints and spoons are meant, where the recording does not tell.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
def command(file: Path, at: float, around: float, measures: str | None, as_json: bool) -> None:
    """Show for a moment what was read, and what became of it.

    FILE is a transcript. Each reading was used, merged with another, superseded by a correction, or set aside by the
    cue that is named.

    \b
    Example:
      stillroom explain episode.srt --at 3:05
      stillroom explain episode.srt --at 3:05 --around 20 --json
    """
    import pipeline
    from pipeline.cli.sheets import print_json, show
    from pipeline.explain import explain

    moment = explain(pipeline.read_file(file), at=at, around=around, measures=measures)
    if as_json:
        print_json(asdict(moment))
    else:
        show([_spoken(file, moment), _sheet(moment)], cautions=())


def _spoken(file: Path, moment: Moment) -> Sheet:
    from pipeline.cli.sheets import Sheet
    from pipeline.errors import clock

    lines = [f"{clock(line.start)} {f'{line.speaker}: ' if line.speaker else ''}{line.text}" for line in moment.lines]
    return Sheet(f"{file.name} at {clock(moment.at)}, spoken of: {moment.dish}", (), (), tuple(lines))


def _sheet(moment: Moment) -> Sheet:
    from pipeline.cli.sheets import Sheet
    from pipeline.errors import clock

    rows = tuple(
        (clock(item.start), item.words, item.kind, item.read_as, item.rule, item.became) for item in moment.readings
    )
    return Sheet("What was read", _COLUMNS, rows, () if rows else ("Nothing was read here.",))
