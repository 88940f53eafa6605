"""What a person may decide about a record. Each decision says who took it, when, and why."""

from __future__ import annotations

import datetime
from abc import abstractmethod
from collections.abc import Callable
from typing import Annotated, Literal, TypeAlias

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, model_validator

from pipeline.errors import RecordError
from pipeline.record import Decided
from pipeline.review.answers import parse_amount, parse_servings

Text: TypeAlias = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]
Measures: TypeAlias = Literal["us", "british", "metric", "australian"]


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Decision(_Strict):
    """What all decisions have; `recipe` is the id of a recipe of the record."""

    recipe: Text
    kind: str
    who: Text
    when: datetime.date
    why: Text

    @property
    @abstractmethod
    def text(self) -> str:
        """The decision in one sentence."""

    def decided(self, unplaced: str = "") -> Decided:
        """The decision as it stands in a record; `unplaced` is why it has no place there."""
        when = self.when.isoformat()
        return Decided(recipe=self.recipe, text=self.text, who=self.who, when=when, why=self.why, unplaced=unplaced)


class AmountAnswered(Decision):
    """How much of a line goes in; `line` is its id, or its name. `measures` says whose cups and spoons."""

    kind: Literal["amount"] = "amount"
    line: Text
    amount: Text
    measures: Measures = "us"

    @model_validator(mode="after")
    def _readable(self) -> AmountAnswered:
        _check(parse_amount, self.amount)
        return self

    @property
    def text(self) -> str:
        """The decision in one sentence."""
        return f"{self.line}: {self.amount}{_cups(self.measures)}"


class FoodChosen(Decision):
    """Which food a line is: an id of the food table, or a spoken name."""

    kind: Literal["food"] = "food"
    line: Text
    food: Text
    measures: Measures = "us"

    @property
    def text(self) -> str:
        """The decision in one sentence."""
        return f"{self.line}: reckoned as {self.food}{_cups(self.measures)}"


class LineAdded(Decision):
    """A line the recording does not have; without `amount` it is unsaid, without `food` the name tells the food."""

    kind: Literal["add"] = "add"
    name: Text
    amount: str = ""
    food: str = ""
    component: str = ""
    before: str = ""
    preparation: tuple[str, ...] = ()
    measures: Measures = "us"

    @model_validator(mode="after")
    def _readable(self) -> LineAdded:
        if self.amount:
            _check(parse_amount, self.amount)
        return self

    @property
    def text(self) -> str:
        """The decision in one sentence."""
        amount = f", {self.amount}{_cups(self.measures)}" if self.amount else ""
        prepared = f", {', '.join(self.preparation)}" if self.preparation else ""
        food = f", reckoned as {self.food}" if self.food else ""
        place = f", to {self.component}" if self.component else ""
        order = f", before {self.before}" if self.before else ""
        return f"added {self.name}{amount}{prepared}{food}{place}{order}"


class LineDropped(Decision):
    """A line that does not belong to the recipe; it becomes a mention."""

    kind: Literal["drop"] = "drop"
    line: Text

    @property
    def text(self) -> str:
        """The decision in one sentence."""
        return f"left out {self.line}"


class LineMoved(Decision):
    """A line that belongs to another component, before another line, or both; `-` is the dish as a whole."""

    kind: Literal["move"] = "move"
    line: Text
    component: str = ""
    before: str = ""

    @model_validator(mode="after")
    def _somewhere(self) -> LineMoved:
        if not self.component and not self.before:
            raise ValueError("says neither to which component nor before which line")
        return self

    @property
    def text(self) -> str:
        """The decision in one sentence."""
        place = f" to {self.component}" if self.component else ""
        return f"moved {self.line}{place}{f' before {self.before}' if self.before else ''}"


class TitleGiven(Decision):
    """What the recipe is called; its id stays."""

    kind: Literal["title"] = "title"
    title: Text

    @property
    def text(self) -> str:
        """The decision in one sentence."""
        return f"called {self.title}"


class ServingsAnswered(Decision):
    """How many people the recipe serves: `4`, `4-6`."""

    kind: Literal["servings"] = "servings"
    servings: Text

    @model_validator(mode="after")
    def _readable(self) -> ServingsAnswered:
        _check(parse_servings, self.servings)
        return self

    @property
    def text(self) -> str:
        """The decision in one sentence."""
        return f"serves {self.servings}"


class Remark(Decision):
    """A remark that goes with the recipe, or with one line of it."""

    kind: Literal["remark"] = "remark"
    remark: Text
    line: str = ""

    @property
    def text(self) -> str:
        """The decision in one sentence."""
        return f"{f'{self.line}: ' if self.line else ''}{self.remark}"


AnyDecision: TypeAlias = Annotated[
    AmountAnswered | FoodChosen | LineAdded | LineDropped | LineMoved | TitleGiven | ServingsAnswered | Remark,
    Field(discriminator="kind"),
]


class ReviewGiven(_Strict):
    """A review by a named person with a credential; `content` is the hash of what was reviewed."""

    by: Text
    credential: Text
    date: datetime.date
    content: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]


class Amendments(_Strict):
    """All decisions and reviews of one record, in the order they were taken."""

    decision: tuple[AnyDecision, ...] = ()
    review: tuple[ReviewGiven, ...] = ()


def _cups(measures: str) -> str:
    return "" if measures == "us" else f" ({measures} measures)"


def _check(parse: Callable[[str], object], text: str) -> None:
    try:
        parse(text)
    except RecordError as fault:
        raise ValueError(fault.message) from fault
