"""`stillroom check`: the dishes of a record against targets."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pipeline.cli.dishes import Aims, aims_of, dish_options, dishes_of, target_options
from pipeline.cli.load import serves, show_loads
from pipeline.cli.sheets import Cell, Sheet, bounds, figure, print_csv, print_json, show

if TYPE_CHECKING:
    from pipeline.load.plate import Plate
    from pipeline.load.verdicts import Verdict

_COLUMNS = ("meal", "nutrient", "unit", "low", "likely", "high", "at_least", "limit", "verdict", "decided_by")
_SOURCE_COLUMNS = ("source", "seen", "note")
_CSV_COLUMNS = (*_COLUMNS, *_SOURCE_COLUMNS)


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
    """Hold one serving of each dish against targets.

    A serving is under a target, over it, between its two ends, or it depends, and then on what. No target is chosen
    unasked: without one the loads are shown and no verdict.

    \b
    Example:
      stillroom check monday.record.json --target potassium=2000mg/day
      stillroom check monday.record.json --group haemodialysis --weight 68
    """
    from pipeline.load.plate import plate_of

    aims = aims_of(spoken=spoken, file=file, group=group, weight=weight, meal_share=meal_share)
    dishes = dishes_of(records, servings=servings, own=own)
    if not aims.limits:
        if form is None:
            click.echo("No target was chosen, so there is no verdict; these are the loads.\n")
        show_loads(dishes, form)
        return
    plates = [
        (f"{dish.recipe.title}, one serving ({serves(dish.portion)})", plate_of([dish.portion])) for dish in dishes
    ]
    show_verdicts(plates, aims, form, cautions=[dish.caution for dish in dishes])


def show_verdicts(
    plates: Sequence[tuple[str, Plate]], aims: Aims, form: str | None, *, cautions: Sequence[str]
) -> None:
    """Print the verdicts on `plates`, each with its title, as tables or in the `form` json or csv."""
    from pipeline.load.verdicts import verdicts_of

    found = [(title, plate, verdicts_of(plate, aims.limits)) for title, plate in plates]
    caution = " ".join(dict.fromkeys(cautions))
    if form == "json":
        meals = [
            {"meal": title, "left_out": list(plate.left_out), "verdicts": [_as_json(verdict) for verdict in verdicts]}
            for title, plate, verdicts in found
        ]
        print_json({"caution": caution, "basis": aims.words, "meals": meals})
    elif form == "csv":
        print_csv(
            _CSV_COLUMNS, [row for title, _, verdicts in found for row in _rows(title, verdicts)], caution=caution
        )
    else:
        show([_sheet(title, plate, verdicts, aims) for title, plate, verdicts in found], cautions=cautions)


def said(verdict: Verdict) -> str:
    """The verdict in words."""
    if verdict.side == "depends" and verdict.likely:
        return f"depends, likely {verdict.likely}"
    return verdict.side


def _sheet(title: str, plate: Plate, verdicts: Iterable[Verdict], aims: Aims) -> Sheet:
    remarks = [aims.words]
    if plate.left_out:
        remarks.append(f"Not counted, so that every sum is at least what stands here: {', '.join(plate.left_out)}.")
    sources: dict[str, int] = {}
    rows = tuple(_row(verdict, sources) for verdict in verdicts)
    remarks += [f"[{number}] {source}" for source, number in sources.items()]
    columns = ("", "likely", "bounds", "target", "verdict", "decided by", "source")
    return Sheet(title, columns, rows, tuple(remarks))


def _row(verdict: Verdict, sources: dict[str, int]) -> tuple[str, ...]:
    """The verdict as a row; its source goes into `sources`, numbered from 1."""
    from pipeline.publish.figures import nutrient

    words, value, target = nutrient(verdict.nutrient), verdict.value, verdict.limit.target
    span = "not known" if value is None else bounds(value.low, value.high)
    note = f"; {target.note}" if target.note else ""
    seen = f" ({target.seen})" if target.seen else ""
    number = sources.setdefault(f"{target.source}{seen}{note}", len(sources) + 1)
    return (
        f"{words.label}, {words.unit}",
        figure(None if value is None else value.best),
        f"{span}{' or more' if verdict.at_least and value is not None else ''}",
        limit_words(verdict, short=True),
        said(verdict),
        verdict.decided_by,
        f"[{number}]",
    )


def limit_words(verdict: Verdict, *, short: bool = False) -> str:
    """The limit of the meal and how it was worked out; `short` leaves out the share of the day and the weight."""
    limit = verdict.limit
    if limit.target.adjust:
        return limit.target.words()
    ends = [figure(limit.at_least)] if limit.at_least is not None else []
    ends += dict.fromkeys(map(figure, limit.at_most or ()))
    kind = "at least " if limit.at_most is None else "" if limit.at_least is not None else "at most "
    how = limit.target.words().removeprefix(kind) if short else limit.how
    return f"{kind}{' to '.join(ends)} ({how})"


def _as_json(verdict: Verdict) -> dict[str, object]:
    value, limit = verdict.value, verdict.limit
    return {
        "nutrient": verdict.nutrient,
        "value": None if value is None else value.model_dump(),
        "at_least": verdict.at_least,
        "limit": {"at_least": limit.at_least, "at_most": limit.at_most, "how": limit_words(verdict)},
        "verdict": verdict.side,
        "likely": verdict.likely,
        "decided_by": verdict.decided_by,
        "target": asdict(limit.target),
    }


def _rows(title: str, verdicts: Iterable[Verdict]) -> Iterator[tuple[Cell, ...]]:
    from pipeline.publish.figures import nutrient

    for verdict in verdicts:
        words, value, target = nutrient(verdict.nutrient), verdict.value, verdict.limit.target
        figures = (None, None, None) if value is None else (value.low, value.best, value.high)
        open_ended = "at least" if verdict.at_least else ""
        facts = (limit_words(verdict), said(verdict), verdict.decided_by, target.source, target.seen, target.note)
        yield (title, words.label, words.unit, *figures, open_ended, *facts)
