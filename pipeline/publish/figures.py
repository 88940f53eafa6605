"""Figures as a card prints them: weights, readings, loads, and rounding that never hides the truth."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING

from pipeline.record import Grams, Range, Temperature
from pipeline.resources import models_path, read_rows
from pipeline.written import decimal, kitchen, span

if TYPE_CHECKING:
    from pint import UnitRegistry


@dataclass(frozen=True, slots=True)
class NutrientWords:
    """A nutrient's printed name and unit; `rank` is its place in a table."""

    label: str
    unit: str
    rank: int


@cache
def nutrient_words() -> Mapping[str, NutrientWords]:
    """The nutrients of `models/publish/nutrients.csv` by their name in the record."""
    rows = read_rows(models_path("publish", "nutrients.csv"), ("nutrient", "label", "unit", "rank"))
    return MappingProxyType(
        {row["nutrient"]: NutrientWords(row["label"], row["unit"], int(row["rank"])) for _, row in rows}
    )


def nutrient(name: str) -> NutrientWords:
    """Words for the nutrient `name` of a record; one that is not in the table is named by its own key, last."""
    known = nutrient_words().get(name)
    if known:
        return known
    label, _, unit = name.rpartition("_")
    return NutrientWords((label or name).replace("_", " "), unit if label else "", len(nutrient_words()) + 1)


def grams(weight: Grams) -> str:
    """A weight in grams: `about 75 g (60–90 g)`, without the bracket where no end differs from the middle in print."""
    about = f"about {nearest(weight.best)} g"
    if nearest(weight.low) == nearest(weight.best) == nearest(weight.high):
        return about
    return f"{about} ({lower(weight.low)}–{upper(weight.high)} g)"


def temperature(said: Temperature) -> str:
    """A setting as said, then in the other scale: `350 °F (177 °C)`, `gas mark 4 (180 °C, 356 °F)`."""
    fahrenheit = f"{round(to_fahrenheit(said.celsius))} °F"
    celsius = f"{round(said.celsius)} °C"
    if said.unit == "gas":
        return f"gas mark {kitchen(said.value)} ({celsius}, {fahrenheit})"
    if said.unit == "F":
        return f"{decimal(said.value)} °F ({celsius})"
    return f"{decimal(said.value)} °C ({fahrenheit})"


def to_fahrenheit(celsius: float) -> float:
    """A reading in degrees Celsius as one in degrees Fahrenheit."""
    return float(_scales().Quantity(celsius, "degC").to("degF").magnitude)


@cache
def _scales() -> UnitRegistry[float]:
    from pint import UnitRegistry

    return UnitRegistry()


def people(count: Range) -> str:
    """Servings: `4`, `4–6`."""
    return span(kitchen(count.low), kitchen(count.high))


def nearest(value: float) -> str:
    """Three figures at most, whole from 10 on; small values keep one decimal, under 1 two."""
    return _figures(value, round)


def lower(value: float) -> str:
    """As `nearest`, rounded down, so that a printed range holds all of the true one."""
    return _figures(value, math.floor)


def upper(value: float) -> str:
    """As `nearest`, rounded up, so that a printed range holds all of the true one."""
    return _figures(value, math.ceil)


def _figures(value: float, rounding: Callable[[float], int]) -> str:
    if value == 0:
        return "0"
    size = math.floor(math.log10(abs(value))) + 1
    step = 10.0 ** (max(0, size - 3) if size > 1 else max(-2, size - 2))
    return decimal(rounding(round(value / step, 6)) * step)
