"""`stillroom shelf find`, `show` and `like`. Nothing heavy is imported here."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from pipeline.cli.shelf_output import (
    Cell,
    bounds,
    csv_option,
    figure,
    json_option,
    per_number,
    per_option,
    per_words,
    print_json,
    print_rows,
    shelf_option,
)
from pipeline.errors import clock
from pipeline.shelf.finding import Answer, Hit, find, hits_of, recipe_named, record_of
from pipeline.shelf.question import Question
from pipeline.shelf.store import Store, reading
from pipeline.shelf.words import foods_of, nutrients_of, parse_bound, parse_date, parse_heat, parse_nutrient, parse_time
from pipeline.version import CAUTION

_SHARED = 5
_HIT_COLUMNS = ("number", "id", "title", "file", "date", "start", "stop", "said", "reviewed")


@click.command(name="find")
@click.argument("words", nargs=-1)
@click.option("--with", "having", multiple=True, metavar="FOOD", help="It has this food, or one of this group.")
@click.option("--without", "lacking", multiple=True, metavar="FOOD", help="It has no such food, nor one that holds it.")
@click.option("--under", multiple=True, metavar="NUTRIENT=N", help="The upper end of the range is below N.")
@click.option("--over", multiple=True, metavar="NUTRIENT=N", help="The lower end of the range is above N.")
@click.option("--likely", is_flag=True, help="Let --under, --over and --sort go by the likeliest value.")
@per_option
@click.option("--heat", metavar="RANGE", help="A temperature in this range was said: 175..190C, ..350F.")
@click.option("--time", "time_", metavar="RANGE", help="All planned times together: ..45min, 1..2h.")
@click.option("--reviewed", is_flag=True, help="A dietitian reviewed it as it is.")
@click.option("--from", "since", metavar="DATE", help="Of that day, month or year, or later.")
@click.option("--until", metavar="DATE", help="Of that day, month or year, or earlier.")
@click.option("--sort", metavar="NUTRIENT", help="Least of it first.")
@click.option("--most", is_flag=True, help="With --sort: most of it first.")
@click.option("--limit", type=click.IntRange(min=1), default=20, show_default=True, help="How many are listed.")
@json_option
@csv_option
@shelf_option
def find_(words: tuple[str, ...], path: Path, form: str | None, limit: int, per: str, **asked: Any) -> None:
    """Find recipes with all WORDS in title, foods, method or speech, that meet every condition.

    Quote words that must stand together. Where a figure or a weight is not known, a load has no upper end, and
    --under leaves the recipe out.

    \b
    Example:
      stillroom shelf find dessert --without eggs --under phosphorus=150 --reviewed
      stillroom shelf find --with fish --heat 175..190C --time ..45min --sort potassium
    """
    with reading(path) as store, store.snapshot():
        answer = find(store, _question(store, words, per, **asked), limit=limit)
    _print(answer, per, form)


@click.command(name="show")
@click.argument("recipe")
@click.option("--json", "as_json", is_flag=True, help="Print the record of its episode.")
@per_option
@shelf_option
def show_(recipe: str, path: Path, per: str, as_json: bool) -> None:
    """Show RECIPE: its number in a list of `find`, its id, FILE/ID or its title.

    \b
    Example:
      stillroom shelf show 17
      stillroom shelf show monday.srt/lemon-sorbet --json
    """
    with reading(path) as store, store.snapshot():
        number = recipe_named(store, recipe)
        record = json.loads(record_of(store, number))
        (hit,) = hits_of(store, [number], Question(per=per_number(per)))
    if as_json:
        print_json(record)
        return
    click.echo("\n".join(_card(hit, _recipe(record, hit.slug), per)))


@click.command(name="like")
@click.argument("recipe")
@click.option("--limit", type=click.IntRange(min=1), default=10, show_default=True, help="How many are listed.")
@json_option
@csv_option
@shelf_option
def like_(recipe: str, path: Path, limit: int, form: str | None) -> None:
    """List the recipes most like RECIPE: by the foods they share, rare ones counting more, and by load a serving.

    \b
    Example:
      stillroom shelf like 17
    """
    from pipeline.shelf.alike import alike

    with reading(path) as store, store.snapshot():
        found = alike(store, recipe_named(store, recipe), limit=limit)
    rows = [
        (
            one.hit.id,
            round(one.likeness, 2),
            one.hit.title,
            one.hit.file,
            clock(one.hit.start),
            ", ".join(one.shared[:_SHARED]),
        )
        for one in found
    ]
    print_rows(("number", "likeness", "title", "file", "from", "shared"), rows, form=form)


def _question(store: Store, words: tuple[str, ...], per: str, **asked: Any) -> Question:
    known = nutrients_of(store) if asked["under"] or asked["over"] or asked["sort"] else ()
    return Question(
        words=words,
        having=tuple(foods_of(store, word) for word in asked["having"]),
        lacking=tuple(foods_of(store, word) for word in asked["lacking"]),
        under=tuple(parse_bound(text, known) for text in asked["under"]),
        over=tuple(parse_bound(text, known) for text in asked["over"]),
        per=per_number(per),
        likely=asked["likely"],
        heat=parse_heat(asked["heat"]) if asked["heat"] else None,
        time=parse_time(asked["time_"]) if asked["time_"] else None,
        reviewed=asked["reviewed"],
        since=parse_date(asked["since"]) if asked["since"] else None,
        until=parse_date(asked["until"]) if asked["until"] else None,
        sort=parse_nutrient(asked["sort"], known) if asked["sort"] else None,
        descending=asked["most"],
    )


def _print(answer: Answer, per: str, form: str | None) -> None:
    if form == "json":
        hits = [_fields(hit, per) for hit in answer.hits]
        print_json({"recipes": hits, "more": answer.more, "caution": CAUTION})
    elif form == "csv":
        names = list(dict.fromkeys(figure.nutrient.name for hit in answer.hits for figure in hit.load))
        ends = [f"{name}_{end}" for name in names for end in ("low", "best", "high")]
        rows = [(*_facts(hit), per, *_ends(hit, names)) for hit in answer.hits]
        print_rows((*_HIT_COLUMNS, "per", *ends), rows, form=form, caution=CAUTION)
    else:
        click.echo("\n".join(_lines(answer, per)))


def _facts(hit: Hit) -> tuple[Cell, ...]:
    return (hit.id, hit.slug, hit.title, hit.file, hit.date, hit.start, hit.stop, hit.said, hit.reviewed)


def _ends(hit: Hit, names: list[str]) -> Iterator[Cell]:
    held = {figure.nutrient.name: figure for figure in hit.load}
    for name in names:
        one = held.get(name)
        yield from (one.low, one.best, None if one.open else one.high) if one else (None, None, None)


def _fields(hit: Hit, per: str) -> dict[str, Any]:
    load = {
        one.nutrient.name: {"low": one.low, "best": one.best, "high": None if one.open else one.high}
        for one in hit.load
    }
    planned = None if hit.time_low is None else [hit.time_low, hit.time_high]
    return {**dict(zip(_HIT_COLUMNS, _facts(hit), strict=True)), "planned_seconds": planned, "per": per, "load": load}


def _lines(answer: Answer, per: str) -> Iterator[str]:
    if not answer.hits:
        yield "No recipe meets all of that."
        return
    for hit in answer.hits:
        yield f"{hit.id:>6}  {hit.title}"
        yield f"        {_place(hit)}"
        yield f"        {_load(hit, per)}"
    if answer.more:
        yield f"There are more than these {len(answer.hits)}; --limit shows them."
    yield CAUTION


def _place(hit: Hit) -> str:
    date = f", {hit.date}" if hit.date else ""
    said = f", said at {clock(hit.said)}" if hit.said is not None else ""
    return f"{hit.file}{date}, {clock(hit.start)} to {clock(hit.stop)}{said}; {_review(hit)}"


def _review(hit: Hit) -> str:
    return "reviewed" if hit.reviewed else "not yet reviewed by a dietitian"


def _load(hit: Hit, per: str) -> str:
    if not hit.load:
        return f"load {per_words(per)} not known"
    shown = [
        f"{one.nutrient.label} {figure(one.best)} {one.nutrient.unit} ({bounds(one.low, one.high, is_open=one.open)})"
        for one in hit.load
    ]
    return f"{', '.join(shown)} {per_words(per)}"


def _recipe(record: dict[str, Any], slug: str) -> dict[str, Any]:
    return next(recipe for recipe in record["recipes"] if recipe["id"] == slug)


def _card(hit: Hit, recipe: dict[str, Any], per: str) -> Iterator[str]:
    yield f"{hit.title} (number {hit.id}, {hit.slug})"
    yield _place(hit)
    yield _load(hit, per)
    yield ""
    for line in recipe["ingredients"]:
        yield f"  {line['amount']['words'] or 'amount not said'}: {line['name']}"
    yield ""
    for step in recipe["method"]:
        yield f"  {clock(step['start'])}  {step['text']}"
    findings = recipe["findings"]
    yield from ([""] if findings else [])
    for finding in findings:
        yield f"  {finding['level']}: {finding['text']}"
    yield ""
    yield CAUTION
