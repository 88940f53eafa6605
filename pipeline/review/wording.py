"""Figures, times and lists as they stand in a sentence."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pipeline.errors import clock
from pipeline.record import Evidence, Range


def rounded(value: float) -> str:
    """Two significant figures, whole from 10 on; three from 100 on: `480`, `12`, `1.4`."""
    if value == 0:
        return "0"
    digits = 3 if abs(value) >= 100 else 2
    places = digits - 1 - math.floor(math.log10(abs(value)))
    text = f"{round(value, places):,.{max(0, places)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def spread(value: Range) -> str:
    """`480 (300–700)`, or one figure where the range is a point."""
    low, best, high = rounded(value.low), rounded(value.best), rounded(value.high)
    return best if low == high else f"{best} ({low}–{high})"


def nutrient_words(nutrient: str) -> tuple[str, str]:
    """Name and unit of a nutrient of the record: `sodium_mg` is sodium and mg."""
    name, _, unit = nutrient.rpartition("_")
    return name.replace("_", " "), unit.replace("ml", "mL")


def listed(names: Sequence[str], *, last: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`; each once."""
    once = list(dict.fromkeys(names))
    return once[0] if len(once) == 1 else f"{', '.join(once[:-1])} {last} {once[-1]}"


def first_time(evidence: Sequence[Evidence]) -> str:
    """` at 14:20`, the earliest time of the evidence; empty where there is none."""
    return f" at {clock(min(said.start for said in evidence))}" if evidence else ""


def capital(text: str) -> str:
    """The text with its first letter large."""
    return text[:1].upper() + text[1:]
