"""What may be changed in a dish: less of a line, none of it, another food in its place, another way of cooking it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Literal

import numpy as np

from pipeline.errors import RulesError
from pipeline.foods.faults import Faults, number, rows
from pipeline.foods.table import NUTRIENTS, FoodTable
from pipeline.load.lines import BEST, TOTALS, Array, Lines, figures_of
from pipeline.load.retention import retention
from pipeline.resources import data_path

Kind = Literal["less", "leave out", "swap", "technique", "portion"]
COLUMNS = ("food", "role", "swap", "ratio", "note", "source")


@dataclass(frozen=True, slots=True)
class Swap:
    """`ratio` grams of the food `swap` in the place of one gram of `food`, in the same `role` in the dish."""

    food: str
    role: str
    swap: str
    ratio: float
    note: str
    source: str


@dataclass(frozen=True, slots=True)
class Changes:
    """data/fit.toml: shares of a portion and of a line as written, classes that may be left out, costs 0..1."""

    portions: tuple[float, ...]
    less: tuple[float, ...]
    leave_out: frozenset[str]
    cost: Mapping[str, float]


@dataclass(frozen=True, slots=True, eq=False)
class Option:
    """One change to the line `place`; `amounts` (m,) is what the line then holds of TOTALS, NaN where not known."""

    place: int
    kind: Kind
    words: str
    source: str
    amounts: Array
    cost: float


@cache
def changes() -> Changes:
    """data/fit.toml, read once. Raises RulesError where it is malformed."""
    path = data_path("fit.toml")
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
        return Changes(
            portions=tuple(content["portion"]["shares"]),
            less=tuple(content["less"]["shares"]),
            leave_out=frozenset(content["leave_out"]["classes"]),
            cost=MappingProxyType(dict(content["cost"])),
        )
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise RulesError(f"cannot be read: {fault}", file=path.name) from fault
    except KeyError as fault:
        raise RulesError(f"{fault.args[0]!r} is missing", file=path.name) from fault


@cache
def default_swaps() -> Mapping[str, tuple[Swap, ...]]:
    """data/swaps.csv by food id, read once."""
    return read_swaps(data_path("swaps.csv"))


def read_swaps(path: Path) -> Mapping[str, tuple[Swap, ...]]:
    """The swaps of a file by food id. Raises RulesError listing all faults."""
    faults = Faults()
    found: dict[str, list[Swap]] = {}
    for line, (food, role, swap, ratio, note, source) in rows(path, COLUMNS, faults):
        value = number(ratio, file=path.name, line=line, column="ratio", faults=faults)
        for column, text in (("food", food), ("role", role), ("swap", swap), ("ratio", ratio), ("source", source)):
            if not text:
                faults.add(path.name, line, column, "is empty")
        found.setdefault(food, []).append(Swap(food, role, swap, value or 0.0, note, source))
    faults.raise_any()
    return MappingProxyType({food: tuple(swaps) for food, swaps in found.items()})


def options_of(lines: Lines, table: FoodTable) -> tuple[Option, ...]:
    """All changes of the lists that the lines allow, in the order of the lines."""
    now = lines.amounts()[BEST]
    return tuple(
        option
        for place in range(len(lines.foods))
        for option in (
            *_less(lines, place, now[place]),
            *_left_out(lines, place),
            *_swapped(lines, place, table),
            *_cooked(lines, place),
        )
    )


def _less(lines: Lines, place: int, now: Array) -> Iterator[Option]:
    ingredient, grams = lines.ingredients[place], lines.grams[BEST, place]
    for share in changes().less:
        words = f"less {ingredient.name}: {_grams(grams * share)} instead of {_grams(grams)}"
        yield Option(place, "less", words, "", now * share, changes().cost["less"] * (1 - share))


def _left_out(lines: Lines, place: int) -> Iterator[Option]:
    ingredient, food = lines.ingredients[place], lines.foods[place]
    if ingredient.optional or food.class_ in changes().leave_out:
        words = f"leave out the {ingredient.name} ({_grams(lines.grams[BEST, place])})"
        yield Option(place, "leave out", words, "", np.zeros(len(TOTALS)), changes().cost["leave_out"])


def _swapped(lines: Lines, place: int, table: FoodTable) -> Iterator[Option]:
    ingredient, grams = lines.ingredients[place], lines.grams[BEST, place]
    for swap in default_swaps().get(lines.foods[place].id, ()):
        other = table.get(swap.swap)
        if other is None or not other.known:
            continue
        note = f" ({swap.note})" if swap.note else ""
        words = f"{_grams(grams * swap.ratio)} {other.name} instead of {_grams(grams)} {ingredient.name}{note}"
        amounts = np.array(figures_of(other)) * grams * swap.ratio
        yield Option(place, "swap", words, swap.source, amounts, changes().cost["swap"])


def _cooked(lines: Lines, place: int) -> Iterator[Option]:
    ingredient, food, shares = lines.ingredients[place], lines.foods[place], retention()
    told = lines.cooked[place]
    raw = np.array(figures_of(food)) * lines.grams[BEST, place]
    for technique in shares.techniques:
        kept = shares.of(technique.name, food)
        if not kept or (told is not None and told.rank >= technique.rank):
            continue
        amounts = raw.copy()
        for nutrient, share in kept.items():
            amounts[NUTRIENTS.index(nutrient)] *= share.best
        sodium, salt = TOTALS.index("sodium_mg"), TOTALS.index("salt_g")
        amounts[salt] = raw[salt] * (amounts[sodium] / raw[sodium]) if raw[sodium] > 0 else raw[salt]
        words = f"{ingredient.name}: {technique.advice}"
        source = "; ".join(shares.source(technique.name, food))
        yield Option(place, "technique", words, source, amounts, changes().cost["technique"])


def _grams(value: float) -> str:
    return f"{value:.0f} g" if value >= 10 else f"{value:.1f} g"
