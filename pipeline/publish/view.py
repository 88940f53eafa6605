"""What a recipe card shows, in order and already in words; the three kinds of card only lay it out.

Times are written as `m:ss` of the recording. A field that is empty is not shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Basis = Literal["said", "vague", "unsaid"]
Level = Literal["stop", "caution", "note"]


@dataclass(frozen=True, slots=True)
class ServingsView:
    """`figure` is empty where nobody knows; `mark` says in words where the figure comes from."""

    figure: str
    basis: Literal["said", "inferred", "assumed", "unknown"]
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
    """One nutrient: the likely value and its range, in `unit` (empty where a nutrient has none)."""

    name: str
    unit: str
    likely: str
    low: str
    high: str
    at_least: bool

    @property
    def what(self) -> str:
        """Name and unit."""
        return f"{self.name}, {self.unit}" if self.unit else self.name


@dataclass(frozen=True, slots=True)
class LoadTable:
    """A table of nutrients; `caption` says what it is reckoned for."""

    caption: str
    rows: tuple[LoadRow, ...]


@dataclass(frozen=True, slots=True)
class LoadView:
    """The load per serving and per recipe; `without` says why there is no table per serving."""

    tables: tuple[LoadTable, ...]
    without: str
    left_out: tuple[str, ...]
    has_at_least: bool


@dataclass(frozen=True, slots=True)
class RemarkView:
    """A sentence with the detail below it and its times: a claim, a food left out, a finding, a question."""

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


@dataclass(frozen=True, slots=True)
class CardView:
    """All cards of one episode."""

    title: str
    file: str
    length: str
    rules: str
    caution: str
    unreviewed: str
    dishes: tuple[DishView, ...]
