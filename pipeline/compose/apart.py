"""Tells two amounts of one food that cannot be the same amount said twice, whatever the food weighs by volume."""

from __future__ import annotations

from functools import cache

from pipeline.hear.quantity import Quantity
from pipeline.hear.unit_sizes import unit_factors
from pipeline.resources import data_path, read_rows


def far_apart(first: Quantity, second: Quantity, kitchen: str) -> bool:
    """Whether one is a weight, the other a volume, and no food of the table is so light or so heavy.

    `kitchen` is us or british. False where either has no figure or is counted.
    """
    sizes = dict(size for size in (_size(first, kitchen), _size(second, kitchen)) if size is not None)
    if len(sizes) < len(("weight", "volume")):
        return False
    lightest, heaviest = _densities()
    return not lightest <= sizes["weight"] / sizes["volume"] <= heaviest


def _size(quantity: Quantity, kitchen: str) -> tuple[str, float] | None:
    """`weight` in grams or `volume` in millilitres."""
    factors = unit_factors()
    known = factors.get((kitchen, quantity.unit)) or factors.get(("any", quantity.unit))
    if known is None or not quantity.low:
        return None
    kind, factor = known
    return kind, float(quantity.low) * factor


@cache
def _densities() -> tuple[float, float]:
    """The least and the greatest weight of a millilitre, in grams, of any class of foods."""
    rows = [row for _, row in read_rows(data_path("class_densities.csv"), ("class", "low", "best", "high", "source"))]
    return min(float(row["low"]) for row in rows), max(float(row["high"]) for row in rows)
