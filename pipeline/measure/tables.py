"""The tables of weights: kitchen units, household measures, class densities, vague words and typical amounts.

All grams are of edible food, all volumes millilitres. Loaded once; nothing here imports pint or pandas.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pipeline.foods.faults import Faults, number, rows
from pipeline.resources import data_path, models_path

RANGE = ("low", "best", "high")
_RANGE_COLUMNS = (*RANGE, "source")


@dataclass(frozen=True, slots=True)
class Span:
    """A range with its source, `low` <= `best` <= `high`; grams, g/ml or a factor as the table says."""

    low: float
    best: float
    high: float
    source: str = ""

    def times(self, other: Span) -> Span:
        """The span multiplied by a figure."""
        return Span(self.low * other.low, self.best * other.best, self.high * other.high, self.source)


@dataclass(frozen=True, slots=True)
class Measure:
    """Grams of one `unit` of a food; `what` holds the words for size and preparation, empty where none is given."""

    unit: str
    what: frozenset[str]
    grams: Span


@dataclass(frozen=True, slots=True)
class Tables:
    """`volume` and `weight` give millilitres and grams of a unit (kitchen, unit); `measures` the household measures
    of a food id, `class:` or `group:`; the rest as in the files of data/ of the same name."""

    volume: Mapping[tuple[str, str], float]
    weight: Mapping[str, float]
    measures: Mapping[str, tuple[Measure, ...]]
    densities: Mapping[str, Span]
    small: Mapping[str, Span]
    fallbacks: Mapping[str, tuple[tuple[str, Span], ...]]
    vague: Mapping[tuple[str, str], Span]
    vague_phrases: frozenset[str]
    factors: Mapping[str, Span]
    typical: Mapping[str, Span]
    likeness: Mapping[str, tuple[str, ...]]
    trimmed: frozenset[str]
    drained: Mapping[str, Span]
    unit_words: Mapping[str, str]

    @classmethod
    def load(cls, *, own: Path | None = None) -> Tables:
        """Read all tables; `measures.csv` of the folder `own` comes on top. Raises RulesError listing all faults."""
        faults = Faults()
        volume, weight = _units(faults)
        vague = _spans(data_path("vague.csv"), ("words", "class"), faults)
        tables = cls(
            volume=volume,
            weight=weight,
            measures=_measures(own, faults),
            densities=_one(_spans(data_path("class_densities.csv"), ("class",), faults)),
            small=_one(_spans(data_path("small_measures.csv"), ("unit",), faults)),
            fallbacks=_fallbacks(faults),
            vague={(words, kind): span for (words, kind), span in vague.items()},
            vague_phrases=frozenset(words for words, _ in vague),
            factors=_one(_spans(data_path("vague_factors.csv"), ("words",), faults)),
            typical=_one(_spans(data_path("typical.csv"), ("key",), faults)),
            likeness=_likeness(faults),
            trimmed=frozenset(
                word for _, (word, _) in rows(data_path("trimmed_words.csv"), ("word", "source"), faults)
            ),
            drained=_one(_spans(data_path("drained_shares.csv"), ("word",), faults)),
            unit_words={
                word: unit for _, (word, unit, _) in rows(models_path("units.csv"), ("word", "unit", "kind"), faults)
            },
        )
        faults.raise_any()
        return tables

    def kitchens(self) -> tuple[str, ...]:
        """Names of the kitchens, sorted."""
        return tuple(sorted({kitchen for kitchen, _ in self.volume} - {"any"}))

    def millilitres(self, kitchen: str, unit: str) -> float | None:
        """Millilitres of one unit of volume in a kitchen; None where it is no unit of volume."""
        return self.volume.get((kitchen, unit)) or self.volume.get(("any", unit))


def household_measures(*, own: Path | None = None) -> Mapping[str, tuple[Measure, ...]]:
    """The household measures alone, by food id, `class:` or `group:`. Raises RulesError that lists all faults."""
    faults = Faults()
    measures = _measures(own, faults)
    faults.raise_any()
    return measures


def _one(spans: Mapping[tuple[str, ...], Span]) -> dict[str, Span]:
    return {key[0]: span for key, span in spans.items()}


def _units(faults: Faults) -> tuple[dict[tuple[str, str], float], dict[str, float]]:
    path = data_path("unit_factors.csv")
    volume: dict[tuple[str, str], float] = {}
    weight: dict[str, float] = {}
    for line, (kitchen, unit, kind, text, _) in rows(path, ("kitchen", "unit", "kind", "factor", "source"), faults):
        factor = number(text, file=path.name, line=line, column="factor", faults=faults)
        if factor and kind == "weight":
            weight[unit] = factor
        elif factor and kind == "volume":
            volume[kitchen, unit] = factor
        else:
            faults.add(path.name, line, "kind", f"{kind!r} with {text!r}, expected weight or volume with a figure")
    return volume, weight


def _spans(path: Path, keys: tuple[str, ...], faults: Faults) -> dict[tuple[str, ...], Span]:
    """Rows of a table whose first columns are `keys`, followed by low, best, high and source."""
    found: dict[tuple[str, ...], Span] = {}
    for line, cells in rows(path, (*keys, *_RANGE_COLUMNS), faults):
        span = span_of(cells[len(keys) :], path.name, line, faults)
        if tuple(cells[: len(keys)]) in found:
            faults.add(path.name, line, keys[0], f"{' '.join(cells[: len(keys)])!r} stands here twice")
        if span is not None:
            found[tuple(cells[: len(keys)])] = span
    return found


def span_of(cells: Sequence[str], file: str, line: int, faults: Faults) -> Span | None:
    """The range in the cells low, best, high and source; None, with a fault, where it is none."""
    values = [
        number(text, file=file, line=line, column=column, faults=faults)
        for column, text in zip(RANGE, cells, strict=False)
    ]
    known = [value for value in values if value is not None]
    if len(known) < len(RANGE) or known != sorted(known):
        faults.add(file, line, "low", f"{', '.join(cells[:3])} is not low, best and high in rising order")
        return None
    if not cells[3]:
        faults.add(file, line, "source", "is empty")
    return Span(known[0], known[1], known[2], cells[3])


def _measures(own: Path | None, faults: Faults) -> dict[str, tuple[Measure, ...]]:
    found: dict[str, list[Measure]] = {}
    paths = [data_path("foods", "measures.csv")]
    if own is not None and (own / "measures.csv").is_file():
        paths.insert(0, own / "measures.csv")
    for path in paths:
        for line, (food, unit, what, text, source) in rows(path, ("food", "unit", "what", "grams", "source"), faults):
            grams = number(text, file=path.name, line=line, column="grams", faults=faults)
            if grams is None:
                faults.add(path.name, line, "grams", "is empty")
            else:
                measure = Measure(unit, frozenset(what.split()), Span(grams, grams, grams, source))
                found.setdefault(food, []).append(measure)
    path = data_path("foods", "measures_extra.csv")
    for line, cells in rows(path, ("food", "unit", "what", *_RANGE_COLUMNS), faults):
        span = span_of(cells[3:], path.name, line, faults)
        if span is not None:
            found.setdefault(cells[0], []).append(Measure(cells[1], frozenset(cells[2].split()), span))
    return {food: tuple(measures) for food, measures in found.items()}


def _fallbacks(faults: Faults) -> dict[str, tuple[tuple[str, Span], ...]]:
    path = data_path("unit_fallbacks.csv")
    found: dict[str, list[tuple[str, Span]]] = {}
    for line, (unit, then, low, high, source) in rows(path, ("unit", "then", "low", "high", "source"), faults):
        span = span_of((low, "1", high, source), path.name, line, faults)
        if span is not None:
            found.setdefault(unit, []).append((then, span))
    return {unit: tuple(steps) for unit, steps in found.items()}


def _likeness(faults: Faults) -> dict[str, tuple[str, ...]]:
    table: Iterable[tuple[int, list[str]]] = rows(
        data_path("preparation_likeness.csv"), ("word", "like", "source"), faults
    )
    return {word: tuple(like.split()) for _, (word, like, _) in table}
