"""What tipped the balance where a food or a figure was judged by all that is said round it together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.explain.traced import Reading, Traced
from pipeline.record import DOUBTED
from pipeline.written import kitchen

_TOLD = 6
_PUT_IN = {"usage.likely": "put in"}
_OFFERED = {"alternative.likely": "made an alternative", "alternative.unlikely": "made no alternative"}


def figures(traced: Traced) -> Iterator[Reading]:
    """For each figure that weighing made a temperature or none: how likely it was one, and the signs that told most."""
    for moved in traced.hearing.figures_moved:
        if traced.within(moved.figure.start, moved.figure.end):
            yield traced.reading(
                moved.figure.start,
                moved.figure.end,
                _signs(sorted(moved.signs, key=lambda one: (-abs(one[1]), one[0]))),
                kind="weight",
                read_as=f"{kitchen(float(moved.figure.high))} is a temperature: {moved.likely:.0%} likely",
                became="made a temperature" if moved.put_in else "made none",
            )


def foods(traced: Traced) -> Iterator[Reading]:
    """For each food that weighing has moved: how likely it was, and the signs that told most."""
    doubted = {item.food for item in traced.lines.left if item.why == DOUBTED}
    for at, food in enumerate(traced.hearing.foods):
        rule = traced.hearing.usages[at].rule
        moved = at in doubted or rule in _PUT_IN or rule in _OFFERED
        if not moved or not traced.within(food.start, food.end):
            continue
        weighed = traced.made.goes_in.weighed(traced.made.heard, traced.outline.dishes, food.food)
        if weighed is None:
            continue
        offered = rule in _OFFERED
        likely, reasons = (
            (weighed.offered, weighed.for_being_offered) if offered else (weighed.goes_in, weighed.for_going_in)
        )
        yield traced.reading(
            food.start,
            food.end,
            _signs(reasons),
            kind="weight",
            read_as=f"{food.name} {'is offered' if offered else 'goes in'}: {likely:.0%} likely",
            became=(_PUT_IN | _OFFERED).get(rule, "kept out, and asked about"),
        )


def _signs(reasons: Sequence[tuple[str, float]]) -> str:
    """`figure +1.1, named -1.3`: the signs that add and take away most."""
    return ", ".join(f"{sign} {added:+.1f}" for sign, added in reasons[:_TOLD])
