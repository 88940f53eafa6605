"""Temperatures that were heard, what a figure may mean, and what one heat tells of another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

_ECHOED = 14
_FALLBACK = ("oven", "other", "room")
_SURE_F = 290
_SURE_OF = frozenset({"oven", "food", "oil"})
_DIAL_STEP_F = 25
_NEARLY_ALL = 2
_AS_HOT = 12
_BESIDE = 24


@dataclass(frozen=True, slots=True)
class HeatSpan:
    """Words `start` to `end` (exclusive) say a temperature. `unit` is F, C or gas; `unit_said` tells whether it was
    spoken or decided by sense; `of` is what has that temperature."""

    start: int
    end: int
    value: Fraction
    unit: str
    unit_said: bool
    celsius: float
    of: str
    rule: str


def rivals(one: HeatSpan, two: HeatSpan) -> bool:
    """Whether two heats of one thing are not the same."""
    return one.of == two.of and one.unit == two.unit and one.value != two.value


def echoed(found: Sequence[HeatSpan], heat: HeatSpan) -> bool:
    """Whether a heat is said again soon after: `four hundred` / `three fifty` / `three fifty`."""
    return any(0 <= span.start - heat.end <= _ECHOED and span.value == heat.value for span in found)


def readings(near: Sequence[str], units: Sequence[str], said: bool) -> list[tuple[str, str, str]]:
    """What a figure may mean, the likeliest first: its unit, the range it must lie in and what has that temperature.

    The nearest thing comes first; but an oven at a figure that none bakes at may have it in the other unit, or only
    keep warm, and that is less likely than another thing named nearby; not so a mere plate or pan.
    """
    kept = near[:1] == ["oven"] and len(units) > 1
    named = [kind for kind in near if not (kept and kind == "other")]
    likely = [(unit, kind, kind) for kind in named if kind != "oven" or len(units) == 1 for unit in units]
    if "oven" in near and len(units) > 1:
        likely.insert(len(units) * near.index("oven"), (units[0], "baking", "oven"))
        likely.extend((unit, "baking", "oven") for unit in units[1:])
    return [*likely, *((unit, kind, kind) for kind in [*near, *(_FALLBACK if said else ())] for unit in units)]


def off_the_dial(value: Fraction, unit: str) -> bool:
    """Whether a low oven is told in Fahrenheit by a figure that is on no such dial: two twenty is Celsius."""
    return unit == "F" and value < _SURE_F and value % _DIAL_STEP_F != 0


def unit_told(found: Sequence[HeatSpan], home: str) -> str:
    """The unit, F or C, that most temperatures are in beyond doubt; `home` where none is. Who has gas marks, has C."""
    degrees = [span for span in found if span.unit in {"F", "C"}]
    sure = [
        span.unit
        for span in degrees
        if span.unit_said or span.value > _SURE_F or (span.of in _SURE_OF and span.unit != home)
    ]
    sure += ["C" for span in found if span.unit == "gas"]
    return max(sorted(set(sure)), key=sure.count) if sure else home


def strangers(found: Sequence[HeatSpan], unit: str) -> int:
    """How many temperatures are by sense alone not in a unit, and say no other again."""
    by_sense = (span for span in found if not span.unit_said and span.unit != unit)
    return sum(not says_again(found, span) for span in by_sense)


def is_settled(found: Sequence[HeatSpan], unit: str) -> bool:
    """Whether nearly all temperatures are in a unit, or say another of it again."""
    return sum(span.unit == unit for span in found) >= _NEARLY_ALL * strangers(found, unit)


def says_again(found: Sequence[HeatSpan], heat: HeatSpan) -> bool:
    """Whether a heat is another of the other unit, told nearby: `one sixty five, that's seventy four`."""
    return any(
        span.unit != heat.unit
        and abs(span.celsius - heat.celsius) <= _AS_HOT
        and abs(span.start - heat.start) <= _BESIDE
        for span in found
    )
