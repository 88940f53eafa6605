"""Amounts and times as a cook writes them: kitchen fractions, units in words, ranges."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType

from pipeline.record import Amount, Duration
from pipeline.resources import models_path, read_rows

_GLYPHS = MappingProxyType({Fraction(unicodedata.numeric(sign)).limit_denominator(8): sign for sign in "⅛¼⅓⅜½⅝⅔¾⅞"})
_NEAR = 0.01


@dataclass(frozen=True, slots=True)
class UnitWords:
    """A unit of amounts in words, singular and plural (empty for whole things); `fractions` or decimals."""

    one: str
    many: str
    fractions: bool


@cache
def unit_words() -> Mapping[str, UnitWords]:
    """The units of `models/unit_words.csv` by their name in the record."""
    rows = read_rows(models_path("unit_words.csv"), ("unit", "one", "many", "figures"))
    return MappingProxyType(
        {row["unit"]: UnitWords(row["one"], row["many"], row["figures"] == "fraction") for _, row in rows}
    )


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


def duration(said: Duration) -> str:
    """A time in its own unit: `25–30 minutes`, `1½ hours`."""
    plural = "" if said.high <= 1 else "s"
    return f"{span(kitchen(said.low), kitchen(said.high))} {said.unit}{plural}"
