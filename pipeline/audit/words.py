"""Figures as an audit prints them."""

from __future__ import annotations

from pipeline.audit.tables import Tables
from pipeline.record import Duration, Temperature

_STEPS = ((86400.0, "day"), (3600.0, "hour"), (60.0, "minute"), (1.0, "second"))


def heat(said: Temperature) -> str:
    """`350 F`, `180 C`, `gas mark 4`."""
    return f"gas mark {said.value:g}" if said.unit == "gas" else f"{said.value:g} {said.unit}"


def other_units(said: Temperature, tables: Tables) -> str:
    """What stands beside the figure: the other scale, and for an oven the nearest gas mark."""
    celsius, fahrenheit = f"{said.celsius:.0f} C", f"{tables.fahrenheit(said.celsius):.0f} F"
    parts = {"F": [celsius], "C": [fahrenheit], "gas": [celsius, fahrenheit]}[said.unit]
    mark = tables.gas_mark(said.celsius) if said.of == "oven" and said.unit != "gas" else None
    return ", ".join([*parts, *([f"gas mark {mark:g}"] if mark is not None else [])])


def length(said: Duration) -> str:
    """`35 to 40 minutes`, `1 hour`; half an hour is `30 minutes`."""
    one = said.low == said.high
    if one and said.low < 1:
        return seconds(said.seconds[0])
    figure = f"{said.low:g}" if one else f"{said.low:g} to {said.high:g}"
    return f"{figure} {said.unit}{'' if one and said.high == 1 else 's'}"


def seconds(value: float) -> str:
    """A length of time in the largest unit that gives a whole or half figure: `90 seconds`, `2 hours`."""
    for scale, name in _STEPS:
        count = value / scale
        if count >= 1 and round(count * 2, 6) == round(count * 2):
            return f"{count:g} {name}{'' if count == 1 else 's'}"
    return f"{value:.0f} seconds"


def about_seconds(value: float) -> str:
    """A measured length of time, to the second below two minutes, else to the minute."""
    return f"{value:.0f} seconds" if value < 120 else seconds(round(value / 60) * 60.0)


def span(low: float, high: float) -> str:
    """`8 minutes to 2 hours`."""
    return f"{seconds(low)} to {seconds(high)}"
