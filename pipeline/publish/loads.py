"""The load of a recipe as tables in words."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from pipeline import written
from pipeline.publish import figures
from pipeline.publish.renal import renal_rows
from pipeline.publish.view import LoadRow, LoadTable, LoadView
from pipeline.record import Load, Range, Servings

_BAND = "Four times in five: the middle 80 % of a simulation of what the recording leaves open."
_BOUNDS = "Least to most: all that is open at its smallest, and at its largest."
_OPEN = "At least, or more: something of which no figure is known is not in the sum."
_GAPS = "Figures missing: something of which no figure is known may move the value either way."


def load_view(load: Load, servings: Servings | None) -> LoadView:
    """The tables per serving and per recipe of `load`, nutrients in the order of `models/publish/nutrients.csv`."""
    tables = []
    if load.per_serving:
        rows = _rows(load.per_serving, load.serving_band or {}, load.at_least)
        tables.append(LoadTable(_caption(load, servings), rows))
    if load.per_recipe:
        tables.append(LoadTable("Whole recipe", _rows(load.per_recipe, load.band, load.at_least)))
    return LoadView(
        tables=(*tables, *_renal(load)),
        without="" if load.per_serving else "No figures per serving: the number of servings is not known.",
        left_out=load.left_out,
        key=tuple(_key(load)) if tables else (),
    )


def _caption(load: Load, servings: Servings | None) -> str:
    if load.servings is None:
        return "Per serving"
    count = figures.people(load.servings)
    basis = f" ({servings.basis})" if servings and servings.basis != "said" else ""
    return f"Per serving, of {count}{basis}"


def _key(load: Load) -> Iterator[str]:
    """What the columns mean."""
    if load.band or load.serving_band:
        yield _BAND
    yield _BOUNDS
    if load.at_least:
        yield _OPEN
    if load.renal and load.renal.incomplete:
        yield _GAPS


def _rows(values: Mapping[str, Range], band: Mapping[str, Range], at_least: Collection[str]) -> tuple[LoadRow, ...]:
    ordered = sorted(values, key=lambda name: (figures.nutrient(name).rank, name))
    return tuple(_row(name, values[name], band.get(name), at_least=name in at_least) for name in ordered)


def _row(name: str, value: Range, band: Range | None, *, at_least: bool) -> LoadRow:
    words = figures.nutrient(name)
    likely, more = figures.nearest(value.best), " or more" if at_least else ""
    return LoadRow(
        name=words.label,
        unit=words.unit,
        likely=f"at least {likely}" if at_least else likely,
        band=f"{_span(band)}{more}" if band else "",
        low=figures.lower(value.low),
        high=f"{figures.upper(value.high)}{more}",
        at_least=at_least,
    )


def _renal(load: Load) -> Iterator[LoadTable]:
    """The table of what renal teams look at besides, per serving where the servings are known."""
    servings, of = (load.servings.best, "a serving") if load.servings else (1.0, "in all")
    found = [row for row in renal_rows(load, servings, of=of) if row[1] is not None]
    gaps = bool(found) and all(missing for _, _, missing in found)
    rows = tuple(
        LoadRow(
            name=f"{label} (figures missing)" if missing and not gaps else label,
            unit="",
            likely=figures.nearest(value.best),
            band="",
            low=figures.lower(value.low),
            high=figures.upper(value.high),
            at_least=False,
        )
        for label, value, missing in found
        if value is not None
    )
    if rows:
        yield LoadTable(f"What renal teams look at besides{' (figures missing)' * gaps}", rows)


def _span(value: Range) -> str:
    return written.span(figures.lower(value.low), figures.upper(value.high))
