"""What became of the foods that were heard, and of the amounts."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.compose.amounts import Said, amount_of
from pipeline.compose.line_draft import LineDraft
from pipeline.errors import clock
from pipeline.explain.traced import Reading, Traced
from pipeline.hear.measured import Measured
from pipeline.hear.quantity import Quantity
from pipeline.hear.usage import ALTERNATIVE
from pipeline.record import Amount
from pipeline.written import amount


def foods(traced: Traced) -> Iterator[Reading]:
    """The foods, in order of speech."""
    for at, food in enumerate(traced.hearing.foods):
        if not traced.within(food.start, food.end):
            continue
        usage = traced.hearing.usages[at]
        known = food.food or "not in the food table"
        left = next((item.rule for item in traced.lines.left if item.food == at), usage.rule)
        yield traced.reading(
            food.start,
            food.end,
            ", ".join(dict.fromkeys((food.rule, usage.rule, left))),
            kind="food",
            read_as=f"{food.name} ({known}), {usage.status}",
            became=_of_food(traced, at),
        )


def sayings(traced: Traced) -> Iterator[Reading]:
    """Food words that stand in an idiom, a colour or a size."""
    for saying in traced.hearing.sayings:
        if traced.within(saying.span.start, saying.span.end):
            yield traced.reading(
                saying.span.start, saying.span.end, "idiom", kind="not a food", read_as=saying.why, became="set aside"
            )


def amounts(traced: Traced) -> Iterator[Reading]:
    """The amounts, each with the food it was given to."""
    given = {measured.quantity: measured for measured in traced.hearing.measured}
    for quantity in traced.hearing.quantities:
        measured = given.get(quantity)
        idle_article = quantity.article and measured is None
        if idle_article or not traced.within(quantity.start, quantity.end):
            continue
        rule = f"{quantity.rule}, {measured.rule}" if measured else quantity.rule
        yield traced.reading(
            quantity.start,
            quantity.end,
            rule,
            kind="amount",
            read_as=_amount_read(traced, quantity, measured),
            became=_of_amount(traced, measured) if measured else "given to no food",
        )


def _of_food(traced: Traced, at: int) -> str:
    """The line, the alternative, or the reason why there is neither."""
    owners = traced.owners.get(at, ())
    if owners:
        return "; ".join(_ingredient(traced, line, at) for line in owners)
    name = traced.hearing.foods[at].name
    if traced.hearing.usages[at].status == ALTERNATIVE:
        lines = [line for line in traced.lines.lines if name in line.alternatives]
        if lines:
            return f"alternative to {lines[0].name} in {traced.place(lines[0])}"
    left = next((item for item in traced.lines.left if item.food == at), None)
    if left is None:
        return "said of foods named before"
    cue = traced.cue(traced.hearing.foods[at].head, left.rule)
    return f"set aside: {left.why}{f', by {cue}' if cue else ''}"


def _ingredient(traced: Traced, line: LineDraft, at: int) -> str:
    others = [traced.told_at(traced.hearing.foods[other].start) for other in line.mentions if other != at]
    merged = f", merged with what is said at {', '.join(dict.fromkeys(others))}" if others else ""
    optional = ", which may be left out" if line.optional else ""
    return f"ingredient {line.name} of {traced.place(line)}{optional}{merged}"


def _amount_read(traced: Traced, quantity: Quantity, measured: Measured | None) -> str:
    name = traced.hearing.foods[measured.food].name if measured else ""
    spoken = Amount(basis="vague", words=quantity.words) if quantity.vague else amount_of(_said(quantity), name)
    marks = [
        word
        for word, held in (
            ("a part of what was shown", quantity.share),
            ("for each", quantity.each),
            ("on top of what is in", measured is not None and measured.more),
            ("in all", measured is not None and measured.total),
        )
        if held
    ]
    return ", ".join([f"{amount(spoken)}{f' of {name}' if name else ''}", *marks])


def _said(quantity: Quantity) -> Said:
    return Said(Measured(0, quantity, ""), quantity.start, shown=False, plural=False)


def _of_amount(traced: Traced, measured: Measured) -> str:
    """Whether the amount counts in its food's line, or which words took its place."""
    owners = traced.owners.get(measured.food, ())
    if not owners:
        return f"set aside with {traced.hearing.foods[measured.food].name}"
    line = owners[0]
    resolved = traced.amounts.resolve(line.said, line.name)
    whole = amount(resolved.amount)
    if any(said.measured == measured for said in resolved.from_):
        return f"used: {line.name}, {whole}"
    if resolved.second is not None and measured.quantity.words == resolved.second.words:
        return f"used: {line.name}, {whole}, beside it {amount(resolved.second)}"
    if not resolved.from_:
        return f"set aside: {line.name}, amount not said"
    by = traced.evidence(resolved.from_[-1].quantity.start, resolved.from_[-1].quantity.end, "")
    return f"superseded by “{by.words}” at {clock(by.start)}"
