"""What a recipe card shows, in order and already in words; the three kinds of card only lay it out.

Times are written as `m:ss` of the recording. A field that is empty is not shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Basis = Literal["said", "vague", "unsaid"]
Level = Literal["stop", "caution", "note"]

NO_DISH = "Nothing in this transcript reads like a dish being cooked."
LOST = "Decisions that belong to no dish here"


@dataclass(frozen=True, slots=True)
class ServingsView:
    """`figure` is empty where nobody knows; `mark` says in words where the figure comes from."""

    figure: str
    basis: Literal["said", "decided", "inferred", "assumed", "unknown"]
    mark: str
    at: str


@dataclass(frozen=True, slots=True)
class IngredientView:
    """One line of the list.

    `amount` is what to print before the name; `second` the other form in which it was said; `weight` the grams it
    was reckoned as; `notes` are remarks in words (optional, alternatives, what is thrown away).
    """

    amount: str
    basis: Basis
    second: str
    name: str
    preparation: str
    weight: str
    notes: tuple[str, ...]
    at: str


@dataclass(frozen=True, slots=True)
class GroupView:
    """The ingredients of one component; `name` is empty where the dish has one part."""

    name: str
    ingredients: tuple[IngredientView, ...]


@dataclass(frozen=True, slots=True)
class StepView:
    """A step of the method. `component` is set where it differs from the step before."""

    n: int
    component: str
    text: str
    at: str


@dataclass(frozen=True, slots=True)
class SettingView:
    """A temperature or a time: what it is `of`, the `value`, and what it is `for_`; `mark` is a remark on it."""

    of: str
    value: str
    for_: str
    mark: str
    at: str


@dataclass(frozen=True, slots=True)
class LoadRow:
    """One nutrient: the likely value, its `band` (empty where the record has none) and its bounds, in `unit` (empty
    where it has none)."""

    name: str
    unit: str
    likely: str
    band: str
    low: str
    high: str
    at_least: bool

    @property
    def what(self) -> str:
        """Name and unit."""
        return f"{self.name}, {self.unit}" if self.unit else self.name

    @property
    def bounds(self) -> str:
        """The lowest and the highest value."""
        return self.low if self.low == self.high else f"{self.low}–{self.high}"


@dataclass(frozen=True, slots=True)
class LoadTable:
    """A table of nutrients; `caption` says what it is reckoned for."""

    caption: str
    rows: tuple[LoadRow, ...]

    @property
    def banded(self) -> bool:
        """Whether there is a band to show."""
        return any(row.band for row in self.rows)

    @property
    def header(self) -> tuple[str, ...]:
        """The headings of the columns."""
        return ("what", "likely", *["four times in five"] * self.banded, "least to most")

    @property
    def cells(self) -> tuple[tuple[str, ...], ...]:
        """The rows, a cell for each heading."""
        return tuple((row.what, row.likely, *[row.band] * self.banded, row.bounds) for row in self.rows)


@dataclass(frozen=True, slots=True)
class LoadView:
    """The load per serving and per recipe; `without` says why there is no table per serving, `key` what the columns
    mean."""

    tables: tuple[LoadTable, ...]
    without: str
    left_out: tuple[str, ...]
    key: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RemarkView:
    """A sentence with the detail below it and its place in the recording: a claim, a food left out, a finding, a
    question, a decision."""

    text: str
    detail: str
    at: str


@dataclass(frozen=True, slots=True)
class FindingsView:
    """The findings of one level, under its heading."""

    level: Level
    heading: str
    items: tuple[RemarkView, ...]


@dataclass(frozen=True, slots=True)
class DishView:
    """The card of one dish."""

    id: str
    title: str
    span: str
    servings: ServingsView
    groups: tuple[GroupView, ...]
    steps: tuple[StepView, ...]
    temperatures: tuple[SettingView, ...]
    times: tuple[SettingView, ...]
    load: LoadView | None
    claims: tuple[RemarkView, ...]
    mentions: tuple[RemarkView, ...]
    findings: tuple[FindingsView, ...]
    questions: tuple[RemarkView, ...]
    decisions: tuple[RemarkView, ...]


@dataclass(frozen=True, slots=True)
class CardView:
    """All cards of one episode; `decisions` are those that belong to none of its dishes."""

    title: str
    file: str
    length: str
    rules: str
    caution: str
    review: str
    dishes: tuple[DishView, ...]
    decisions: tuple[RemarkView, ...]
