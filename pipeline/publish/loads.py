"""The load of a recipe as tables in words."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from pipeline.publish import figures
from pipeline.publish.view import LoadRow, LoadTable, LoadView
from pipeline.record import Load, Range, Servings


def load_view(load: Load, servings: Servings | None) -> LoadView:
    """The tables per serving and per recipe of `load`, nutrients in the order of `models/publish/nutrients.csv`."""
    tables = []
    if load.per_serving:
        tables.append(LoadTable(_caption(load, servings), _rows(load.per_serving, load.at_least)))
    if load.per_recipe:
        tables.append(LoadTable("Whole recipe", _rows(load.per_recipe, load.at_least)))
    return LoadView(
        tables=tuple(tables),
        without="" if load.per_serving else "No figures per serving: the number of servings is not known.",
        left_out=load.left_out,
        has_at_least=any(row.at_least for table in tables for row in table.rows),
    )


def _caption(load: Load, servings: Servings | None) -> str:
    if load.servings is None:
        return "Per serving"
    count = figures.people(load.servings)
    basis = f" ({servings.basis})" if servings and servings.basis != "said" else ""
    return f"Per serving, of {count}{basis}"


def _rows(values: Mapping[str, Range], at_least: Collection[str]) -> tuple[LoadRow, ...]:
    ordered = sorted(values, key=lambda name: (figures.nutrient(name).rank, name))
    return tuple(_row(name, values[name], at_least=name in at_least) for name in ordered)


def _row(name: str, value: Range, *, at_least: bool) -> LoadRow:
    words = figures.nutrient(name)
    likely, high = figures.nearest(value.best), figures.upper(value.high)
    return LoadRow(
        name=words.label,
        unit=words.unit,
        likely=f"at least {likely}" if at_least else likely,
        low=figures.lower(value.low),
        high=f"{high} or more" if at_least else high,
        at_least=at_least,
    )
