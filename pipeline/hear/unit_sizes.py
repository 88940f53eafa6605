"""How large the units of a household are against each other."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import cache

from pipeline.resources import data_path, read_rows

_HOUSEHOLD = "us"
_SMALLEST_PART = 48


def times_as_much(unit: str, other: str) -> Fraction | None:
    """How many of `other` one `unit` holds in a household (16 tablespoons a cup); None where they do not compare."""
    sizes = [unit_factors().get((_HOUSEHOLD, name)) or unit_factors().get(("any", name)) for name in (unit, other)]
    if sizes[0] is None or sizes[1] is None or sizes[0][0] != sizes[1][0]:
        return None
    if sizes[0][1] < sizes[1][1]:
        return 1 / Fraction(sizes[1][1] / sizes[0][1]).limit_denominator(_SMALLEST_PART)
    return Fraction(sizes[0][1] / sizes[1][1]).limit_denominator(_SMALLEST_PART)


@cache
def unit_factors() -> Mapping[tuple[str, str | None], tuple[str, float]]:
    """Kitchen (us, british or any) and unit -> weight or volume, and how many grams or millilitres it holds."""
    rows = read_rows(data_path("unit_factors.csv"), ("kitchen", "unit", "kind", "factor", "source"))
    return {(row["kitchen"], row["unit"]): (row["kind"], float(row["factor"])) for _, row in rows}
