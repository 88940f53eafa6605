"""A plate against targets: under, over, between, or that it depends, and on what. Never more than the range bears."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import Literal

from pipeline.load.plate import Plate, Vagueness, vagueness_of
from pipeline.load.targets import Limit
from pipeline.record import Range

Side = Literal["under", "over", "between", "depends", "no number", "not known"]


@dataclass(frozen=True, slots=True)
class Verdict:
    """How the range of a plate stands to one limit.

    `under` is at or under the limit all the way, `over` above it all the way, `between` inside a range that has both
    ends; `depends` is everything else, with `likely` the side that the 80 % band is on, where it is on one, and
    `decided_by` what would settle it.
    """

    nutrient: str
    limit: Limit
    value: Range | None
    at_least: bool
    side: Side
    likely: Side | None = None
    decided_by: str = ""


def verdicts_of(plate: Plate, limits: Sequence[Limit]) -> tuple[Verdict, ...]:
    """A verdict for every limit, in their order."""
    return tuple(_verdict(plate, limit) for limit in limits)


def side_of(limit: Limit, low: float, high: float) -> Side:
    """Where the range low..high lies; `high` may be endless."""
    over = inf if limit.at_most is None else limit.at_most[1]
    under = inf if limit.at_most is None else limit.at_most[0]
    least = limit.at_least
    if low > over:
        return "over"
    if least is None:
        return "under" if high <= under else "depends"
    if high < least:
        return "under"
    if limit.at_most is None:
        return "over" if low >= least else "depends"
    return "between" if least <= low and high <= under else "depends"


def _verdict(plate: Plate, limit: Limit) -> Verdict:
    nutrient = limit.target.nutrient
    value = plate.sums.get(nutrient)
    open_ended = nutrient in plate.at_least
    if limit.target.adjust:
        return Verdict(nutrient, limit, value, open_ended, "no number")
    if value is None:
        return Verdict(nutrient, limit, None, open_ended, "not known")
    side = side_of(limit, value.low, inf if open_ended else value.high)
    if side != "depends":
        return Verdict(nutrient, limit, value, open_ended, side)
    band = plate.band[nutrient]
    likely = side_of(limit, band.low, inf if open_ended else band.high)
    return Verdict(
        nutrient, limit, value, open_ended, side, None if likely == "depends" else likely, _decider(plate, limit, value)
    )


def _decider(plate: Plate, limit: Limit, value: Range) -> str:
    """The ingredient or question that leaves the most open; the figures of the source where nothing else does."""
    found = vagueness_of(plate, limit.target.nutrient)
    if not found:
        return "which figure of the source is meant"
    first = found[0]
    if first.width < inf and limit.at_most is not None and _within_source(limit.at_most, value):
        return "which figure of the source is meant"
    asked = _question(plate, first)
    dish = f"{first.dish}: " if len(plate.portions) > 1 else ""
    return f"{dish}{asked or first.words}"


def _within_source(at_most: tuple[float, float], value: Range) -> bool:
    return at_most[0] < value.low and value.high <= at_most[1]


def _question(plate: Plate, first: Vagueness) -> str:
    for portion in plate.portions:
        for question in portion.recipe.questions:
            if portion.recipe.title == first.dish and question.about == first.about:
                return question.text
    return ""
