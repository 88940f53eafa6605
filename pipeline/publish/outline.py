"""CardView -> blocks of text in reading order, for the two kinds of card that have no layout of their own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pipeline.publish.view import LOST, NO_DISH, CardView, DishView, IngredientView, LoadView, RemarkView, SettingView


@dataclass(frozen=True, slots=True)
class Heading:
    """`level` 1 is the whole page."""

    level: int
    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; `aside` where it is a remark about the page rather than part of the recipe."""

    text: str
    aside: bool = False


@dataclass(frozen=True, slots=True)
class Item:
    """A list item: `lead` stands out, `tail` is secondary, `at` is the time in the recording."""

    text: str
    lead: str = ""
    tail: str = ""
    at: str = ""


@dataclass(frozen=True, slots=True)
class Items:
    """A list, numbered by `numbers` where they are given."""

    items: tuple[Item, ...]
    numbers: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Table:
    """A table whose first column is words and whose others are figures."""

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


Block = Heading | Paragraph | Items | Table


def outline(view: CardView) -> Iterator[Block]:
    """The blocks of all cards of `view`."""
    yield Heading(1, view.title)
    yield Paragraph(f"From {view.file}, {view.length}. Times in brackets are places in the recording.", aside=True)
    yield Paragraph(view.caution, aside=True)
    if not view.dishes:
        yield Paragraph(NO_DISH)
    for dish in view.dishes:
        yield from _dish(dish, view.review)
    if view.decisions:
        yield Heading(2, LOST)
        yield Items(tuple(map(_remark, view.decisions)))
    yield Paragraph(f"Written by Stillroom ({view.rules}).", aside=True)


def _dish(dish: DishView, review: str) -> Iterator[Block]:
    yield Heading(2, dish.title)
    yield Paragraph(f"{review} In the recording: {dish.span}.")
    served = dish.servings
    figure = f"{served.figure} ({served.mark})" if served.figure else served.mark
    yield Paragraph(f"Servings: {figure}{_times(served.at)}")
    yield from _findings(dish, urgent=True)
    yield from _ingredients(dish)
    yield from _method(dish)
    yield from _list("Temperatures", map(_setting, dish.temperatures))
    yield from _list("Times", map(_setting, dish.times))
    if dish.load:
        yield from _load(dish.load)
    if dish.questions:
        yield Heading(3, "Still to ask")
        numbers = tuple(range(1, len(dish.questions) + 1))
        yield Items(tuple(map(_remark, dish.questions)), numbers)
    yield from _findings(dish, urgent=False)
    yield from _list("Claims made in the recording", map(_remark, dish.claims))
    yield from _list("Spoken of, and left out", map(_remark, dish.mentions))
    yield from _list("Decided by people", map(_remark, dish.decisions))


def _findings(dish: DishView, *, urgent: bool) -> Iterator[Block]:
    for level in dish.findings:
        if (level.level == "stop") is urgent:
            yield from _list(level.heading, map(_remark, level.items))


def _ingredients(dish: DishView) -> Iterator[Block]:
    if not dish.groups:
        return
    yield Heading(3, "Ingredients")
    for group in dish.groups:
        if group.name:
            yield Heading(4, group.name)
        yield Items(tuple(map(_ingredient, group.ingredients)))


def _ingredient(line: IngredientView) -> Item:
    amount = f"{line.amount} ({line.second})" if line.amount and line.second else line.amount
    name = f"{line.name}, {line.preparation}" if line.preparation else line.name
    unsaid = ("amount not said",) if line.basis == "unsaid" else ()
    tail = "; ".join(part for part in (*unsaid, line.weight, *line.notes) if part)
    return Item(name, lead=amount, tail=tail, at=line.at)


def _method(dish: DishView) -> Iterator[Block]:
    if not dish.steps:
        return
    yield Heading(3, "Method")
    items = tuple(Item(step.text, lead=f"{step.component}:" * bool(step.component), at=step.at) for step in dish.steps)
    yield Items(items, tuple(step.n for step in dish.steps))


def _setting(setting: SettingView) -> Item:
    text = f"{setting.value}, {setting.for_}" if setting.for_ else setting.value
    lead = f"{setting.of}:" if setting.of else ""
    return Item(text, lead=lead, tail=setting.mark, at=setting.at)


def _remark(remark: RemarkView) -> Item:
    return Item(remark.text, tail=remark.detail, at=remark.at)


def _load(load: LoadView) -> Iterator[Block]:
    yield Heading(3, "Load")
    if load.without:
        yield Paragraph(load.without)
    for table in load.tables:
        yield Table(table.caption, table.header, table.cells)
    if load.left_out:
        yield Paragraph(f"Left out, because a figure or a weight is not known: {', '.join(load.left_out)}.")
    if load.key:
        yield Paragraph(" ".join(load.key))


def _list(heading: str, items: Iterable[Item]) -> Iterator[Block]:
    found = tuple(items)
    if found:
        yield Heading(3, heading)
        yield Items(found)


def _times(at: str) -> str:
    return f" ({at})" if at else ""
