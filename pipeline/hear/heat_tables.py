"""Which heats things can have, and how hot gas marks are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from pipeline.resources import data_path, read_rows

_BAKES = "baking"


@dataclass(frozen=True, slots=True)
class HeatTables:
    """Plausible degrees Celsius by kind, and degrees Celsius by gas mark."""

    ranges: Mapping[str, tuple[float, float]]
    gas: Mapping[Fraction, float]

    @classmethod
    def load(cls) -> HeatTables:
        """Read data/heat_ranges.csv and data/gas_marks.csv."""
        ranges = read_rows(data_path("heat_ranges.csv"), ("of", "low_c", "high_c", "source"))
        marks = read_rows(data_path("gas_marks.csv"), ("mark", "celsius", "source"))
        return cls(
            ranges={row["of"]: (float(row["low_c"]), float(row["high_c"])) for _, row in ranges},
            gas={Fraction(row["mark"]): float(row["celsius"]) for _, row in marks},
        )

    def celsius(self, value: Fraction, unit: str) -> float | None:
        """Degrees Celsius of a reading; None for a gas mark that no oven has."""
        if unit == "gas":
            return self.gas.get(value)
        return float((value - 32) * 5 / 9) if unit == "F" else float(value)

    def plausible(self, value: Fraction, unit: str, of: str) -> bool:
        """Whether a thing of that kind can have that temperature."""
        low, high = self.ranges[of]
        celsius = self.celsius(value, unit)
        return celsius is not None and low <= celsius <= high

    def may_have(self, value: Fraction, unit: str, of: str) -> bool:
        """Whether a figure may be the temperature of a thing that is named, an oven that bakes; not of `none`."""
        return of in self.ranges and self.plausible(value, unit, _BAKES if of == "oven" else of)
