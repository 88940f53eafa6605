"""Figures as a cook writes them: kitchen fractions, units in words, ranges, and rounding that never hides the truth."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING

from pipeline.record import Amount, Duration, Grams, Range, Temperature
from pipeline.resources import models_path, read_rows

if TYPE_CHECKING:
    from pint import UnitRegistry

_GLYPHS = MappingProxyType({Fraction(unicodedata.numeric(sign)).limit_denominator(8): sign for sign in "⅛¼⅓⅜½⅝⅔¾⅞"})
_NEAR = 0.01


@dataclass(frozen=True, slots=True)
class UnitWords:
    """A unit of amounts in words, singular and plural (empty for whole things); `fractions` or decimals."""

    one: str
    many: str
    fractions: bool


@dataclass(frozen=True, slots=True)
class NutrientWords:
    """A nutrient's printed name and unit; `rank` is its place in a table."""

    label: str
    unit: str
    rank: int


@cache
def unit_words() -> Mapping[str, UnitWords]:
    """The units of `models/publish/units.csv` by their name in the record."""
    rows = read_rows(models_path("publish", "units.csv"), ("unit", "one", "many", "figures"))
    return MappingProxyType(
        {row["unit"]: UnitWords(row["one"], row["many"], row["figures"] == "fraction") for _, row in rows}
    )


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


def kitchen(value: float) -> str:
    """A count of spoons, cups or things: `1½` where a kitchen fraction is meant, else at most two decimals."""
    whole = math.floor(value + _NEAR)
    rest = value - whole
    if abs(rest) <= _NEAR:
        return f"{whole:,}"
    for share, sign in _GLYPHS.items():
        if abs(rest - float(share)) <= _NEAR:
            return f"{whole:,}{sign}" if whole else sign
    return decimal(value)


def decimal(value: float) -> str:
    """At most two decimals, without trailing noughts."""
    text = f"{value:,.2f}"
    return text.rstrip("0").rstrip(".")


def amount(spoken: Amount) -> str:
    """An amount in words: `1½ cups`, `2–3 cloves`, the speaker's words in quotes where vague, empty where unsaid."""
    if spoken.basis == "unsaid":
        return ""
    if spoken.basis == "vague" or spoken.low is None or spoken.high is None:
        return f"“{spoken.words}”" if spoken.words else "some"
    unit = unit_words()[spoken.unit or "each"]
    write = kitchen if unit.fractions else decimal
    figure = span(write(spoken.low), write(spoken.high))
    return f"{figure} {unit.one if spoken.high <= 1 else unit.many}".strip()


def span(low: str, high: str) -> str:
    """`low–high`, or one of them where they print the same."""
    return low if low == high else f"{low}–{high}"


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


def duration(said: Duration) -> str:
    """A time in its own unit: `25–30 minutes`, `1½ hours`."""
    plural = "" if said.high <= 1 else "s"
    return f"{span(kitchen(said.low), kitchen(said.high))} {said.unit}{plural}"


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
