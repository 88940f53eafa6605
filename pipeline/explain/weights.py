"""What tipped the balance where a food, a figure or a clause was judged by all that is said round it together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.explain.traced import Reading, Traced
from pipeline.hear.foods import FoodSpan
from pipeline.record import DOUBTED
from pipeline.written import kitchen

_TOLD = 6
_BY_OTHERS = "the clauses round it"
_KEPT_OUT = "kept out, and asked about"
_PUT_IN = {"usage.likely": "put in"}
_OFFERED = {"alternative.likely": "made an alternative", "alternative.unlikely": "made no alternative"}


def figures(traced: Traced) -> Iterator[Reading]:
    """For each figure that weighing made a temperature or none: how likely it was one, and the signs that told most."""
    for moved in traced.hearing.figures_moved:
        if traced.within(moved.figure.start, moved.figure.end):
            yield traced.reading(
                moved.figure.start,
                moved.figure.end,
                _signs(moved.signs),
                kind="weight",
                read_as=f"{kitchen(float(moved.figure.high))} is a temperature: {moved.likely:.0%} likely",
                became="made a temperature" if moved.put_in else "made none",
            )


def foods(traced: Traced) -> Iterator[Reading]:
    """For each food that weighing has moved: how likely it was, and the signs that told most."""
    doubted = {item.food for item in traced.lines.left if item.why == DOUBTED}
    for at, food in enumerate(traced.hearing.foods):
        rule = traced.hearing.usages[at].rule
        put = _PUT_IN.get(rule, _KEPT_OUT if at in doubted else "")
        offered = _OFFERED.get(rule, "")
        if not (put or offered) or not traced.within(food.start, food.end):
            continue
        weighed = traced.made.goes_in.weighed(traced.made.heard, traced.outline.dishes, food.food)
        if weighed is not None and put:
            yield _food(traced, food, "goes in", weighed.goes_in, weighed.for_going_in, put)
        if weighed is not None and offered:
            yield _food(traced, food, "is offered", weighed.offered, weighed.for_being_offered, offered)


def clauses(traced: Traced) -> Iterator[Reading]:
    """For each clause that was settled to be of another dish than it was told of at first: how likely that is, and what
    in it told most for that dish."""
    for moved in traced.made.outliner.moved(traced.made.heard, traced.outline):
        if traced.within(moved.start, moved.end):
            yield traced.reading(
                moved.start,
                moved.end,
                _signs(moved.signs) or _BY_OTHERS,
                kind="weight",
                read_as=f"of {traced.dish(moved.dish)}: {moved.likely:.0%} likely",
                became=f"moved from {traced.dish(moved.before)}",
            )


def _food(
    traced: Traced, food: FoodSpan, what: str, likely: float, reasons: Sequence[tuple[str, float]], became: str
) -> Reading:
    read_as = f"{food.name} {what}: {likely:.0%} likely"
    return traced.reading(food.start, food.end, _signs(reasons), kind="weight", read_as=read_as, became=became)


def _signs(reasons: Sequence[tuple[str, float]]) -> str:
    """`figure +1.1, named -1.3`: the signs that add and take away most."""
    return ", ".join(f"{sign} {added:+.1f}" for sign, added in reasons[:_TOLD])
