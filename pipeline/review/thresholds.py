"""The published thresholds a claim is held against (data/claim_*.csv), checked as they are read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from pipeline.foods.faults import Faults, number, rows
from pipeline.foods.table import Food
from pipeline.record import Range
from pipeline.resources import data_path

SENSES = frozenset({"low", "high", "none"})
PLACES = frozenset({"serving", "dish100"})
THRESHOLD_COLUMNS = ("nutrient", "sense", "of", "at_most", "at_least", "decides", "scale", "source")
ADDED_COLUMNS = ("nutrient", "kind", "value", "source")


@dataclass(frozen=True, slots=True)
class Threshold:
    """A published limit in the unit of `nutrient`: for a serving, or for 100 g of a dish (`dish100`).

    One of `at_most` and `at_least` is set. One that does not decide is only told.
    """

    nutrient: str
    sense: str
    of: str
    at_most: float | None
    at_least: float | None
    decides: bool
    scale: str
    source: str

    def holds(self, value: Range) -> bool | None:
        """Whether all of the range keeps to the limit; None where it lies on both sides."""
        if self.at_most is not None:
            return True if value.high <= self.at_most else False if value.low > self.at_most else None
        limit = self.at_least or 0.0
        return True if value.low >= limit else False if value.high < limit else None


@dataclass(frozen=True, slots=True)
class Carrier:
    """Foods that bring a nutrient when they go in: those with a tag, of a group, or the one food."""

    nutrient: str
    kind: str
    value: str
    source: str

    def is_(self, food: Food) -> bool:
        """Whether `food` is one."""
        return {"tag": self.value in food.tags, "group": self.value == food.group, "food": self.value == food.id}[
            self.kind
        ]


@dataclass(frozen=True, slots=True)
class ClaimTables:
    """`nutrients` gives the column of the food table and the words for its unit of a nutrient as claims name it."""

    nutrients: Mapping[str, tuple[str, str]]
    thresholds: tuple[Threshold, ...]
    carriers: tuple[Carrier, ...]

    def limits(self, nutrient: str, sense: str, of: str) -> tuple[Threshold, ...]:
        """The thresholds for a claim of that sense, in the order of the file."""
        return tuple(one for one in self.thresholds if one.nutrient == nutrient and one.sense == sense and one.of == of)


@cache
def claim_tables() -> ClaimTables:
    """Read the three tables once. Raises RulesError that lists all faults."""
    faults = Faults()
    path = data_path("claim_nutrients.csv")
    nutrients = {name: (figure, unit) for _, (name, figure, unit) in rows(path, ("nutrient", "figure", "unit"), faults)}
    tables = ClaimTables(nutrients, tuple(_thresholds(faults)), tuple(_carriers(faults)))
    faults.raise_any()
    return tables


def _thresholds(faults: Faults) -> list[Threshold]:
    path = data_path("claim_thresholds.csv")
    found = []
    for line, (nutrient, sense, of, most, least, decides, scale, source) in rows(path, THRESHOLD_COLUMNS, faults):
        at_most = number(most, file=path.name, line=line, column="at_most", faults=faults)
        at_least = number(least, file=path.name, line=line, column="at_least", faults=faults)
        if (at_most is None) == (at_least is None):
            faults.add(path.name, line, "at_most", "expected a figure here or in at_least, and not in both")
        if sense not in SENSES or of not in PLACES or decides not in {"yes", "no"}:
            faults.add(
                path.name, line, "sense", f"{sense!r}, {of!r}, {decides!r} is not a sense, a place and yes or no"
            )
        if not source:
            faults.add(path.name, line, "source", "is empty")
        found.append(Threshold(nutrient, sense, of, at_most, at_least, decides == "yes", scale, source))
    return found


def _carriers(faults: Faults) -> list[Carrier]:
    path = data_path("claim_added.csv")
    found = []
    for line, (nutrient, kind, value, source) in rows(path, ADDED_COLUMNS, faults):
        if kind not in {"tag", "group", "food"}:
            faults.add(path.name, line, "kind", f"{kind!r}, expected tag, group or food")
        else:
            found.append(Carrier(nutrient, kind, value, source))
    return found
