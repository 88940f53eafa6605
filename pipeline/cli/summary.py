"""What `stillroom draft` tells a person when it is done."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Iterator

import click

from pipeline.cli.drafting import Done
from pipeline.errors import TranscriptError
from pipeline.publish.build import card_view
from pipeline.publish.view import CardView, DishView
from pipeline.read.transcript import Transcript

_SHOWN_OF_A_KIND = 5
_NUTRIENTS_SHOWN = 3


def warnings(transcript: Transcript) -> Iterator[str]:
    """One line for each doubtful place of the input; of many of one kind the first few, then how many more."""
    seen: Counter[str] = Counter()
    for problem in transcript.problems:
        seen[problem.code] += 1
        if seen[problem.code] <= _SHOWN_OF_A_KIND:
            place = TranscriptError(problem.message, file=transcript.file, line=problem.line, time=problem.time)
            yield f"warning: {' '.join(str(place).split())}"
    for code, count in seen.items():
        if count > _SHOWN_OF_A_KIND:
            yield f"warning: {transcript.file}: {count - _SHOWN_OF_A_KIND} more of this kind ({code})"


def show(results: Iterable[Done]) -> None:
    """Print the summary of `results` to standard output: tables on a terminal, else plain lines."""
    views = [(done, card_view(done.episode)) for done in results]
    if sys.stdout.isatty():
        _tables(views)
    else:
        for done, view in views:
            click.echo("\n".join(_lines(done, view)))
    for caution in dict.fromkeys(view.caution for _, view in views if any(dish.load for dish in view.dishes)):
        click.echo(caution)


def _lines(done: Done, view: CardView) -> Iterator[str]:
    yield f"{view.file}: {_count(len(view.dishes), 'dish', 'dishes')}"
    for dish in view.dishes:
        yield f"  {dish.title} ({dish.span})"
        yield f"    serves {_serves(dish)}; {', '.join(_contents(dish))}"
        if load := _load(dish, ", "):
            yield f"    per serving: {load}"
        yield f"    {', '.join(_open(dish))}"
    yield f"  {_files(done)}"


def _tables(views: Iterable[tuple[Done, CardView]]) -> None:
    from rich import box
    from rich.console import Console
    from rich.markup import escape
    from rich.table import Table

    console = Console(highlight=False)
    for done, view in views:
        table = Table(title=escape(view.file), title_justify="left", title_style="bold", box=box.SIMPLE_HEAD)
        for heading in ("Dish", "Serves", "Found", "Per serving", "To settle"):
            table.add_column(heading, overflow="fold")
        for dish in view.dishes:
            title = f"{dish.title}\n{dish.span}"
            found, left = "\n".join(_contents(dish)), "\n".join(_open(dish))
            cells = (title, _serves(dish), found, _load(dish, "\n") or "not known", left)
            table.add_row(*(escape(cell) for cell in cells))
        console.print(table if view.dishes else escape(f"{view.file}: no dish found"))
        console.print(escape(_files(done)), style="dim", end="\n\n")


def _serves(dish: DishView) -> str:
    served = dish.servings
    return f"{served.figure} ({served.basis})" if served.figure else served.mark


def _contents(dish: DishView) -> list[str]:
    lines = [line for group in dish.groups for line in group.ingredients]
    unsaid = sum(line.basis == "unsaid" for line in lines)
    amounts = [f"{_count(unsaid, 'amount')} not said"] if unsaid else []
    return [_count(len(lines), "ingredient"), *amounts, _count(len(dish.steps), "step")]


def _load(dish: DishView, separator: str) -> str:
    if dish.load is None or dish.load.without:
        return ""
    rows = dish.load.tables[0].rows[:_NUTRIENTS_SHOWN]
    return separator.join(f"{row.name} {row.likely} {row.unit} ({row.low} to {row.high})" for row in rows)


def _open(dish: DishView) -> list[str]:
    levels = [_count(len(level.items), level.level) for level in dish.findings]
    return [*levels, _count(len(dish.questions), "open question")]


def _files(done: Done) -> str:
    return "; ".join(f"{path} {outcome}" for path, outcome in done.files)


def _count(number: int, one: str, many: str | None = None) -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"
