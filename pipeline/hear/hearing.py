"""What was heard in one transcript: every mention, typed, with the words and the rule that read it."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from pipeline.hear.claims import ClaimSpan
from pipeline.hear.clauses import Clauses
from pipeline.hear.durations import TimeSpan
from pipeline.hear.foods import FoodSpan, Saying
from pipeline.hear.heat_corrected import TakenBack
from pipeline.hear.heat_likely import Moved
from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.measured import Measured
from pipeline.hear.placed import InOrder
from pipeline.hear.quantity import Quantity
from pipeline.hear.scopes import Scope
from pipeline.hear.servings import ServingsSpan
from pipeline.hear.speech import Speech
from pipeline.hear.usage import Usage


@dataclass(frozen=True, slots=True)
class Hearing:
    """All mentions of a speech in order.

    `kitchen` is us or british; `heads` and `usages` stand beside `foods`; `in_sayings` are the places of all words of
    `sayings`; `measured` points into `foods`; `over` holds for every word the scopes it stands in; `tied` are numbers
    that are servings only of a dish named beside them; `heats` are those that hold, beside those taken back;
    `figures_moved` are those that weighing made a temperature, or none.
    """

    speech: Speech
    clauses: Clauses
    kitchen: str
    foods: tuple[FoodSpan, ...]
    heads: tuple[int, ...]
    usages: tuple[Usage, ...]
    sayings: tuple[Saying, ...]
    in_sayings: frozenset[int]
    quantities: InOrder[Quantity]
    measured: tuple[Measured, ...]
    scopes: tuple[Scope, ...]
    over: tuple[tuple[Scope, ...], ...]
    times: InOrder[TimeSpan]
    heats: InOrder[HeatSpan]
    heats_taken_back: tuple[TakenBack, ...]
    figures_moved: tuple[Moved, ...]
    claims: tuple[ClaimSpan, ...]
    servings: tuple[ServingsSpan, ...]
    tied: tuple[ServingsSpan, ...]

    def foods_in(self, start: int, end: int) -> range:
        """Indices of the foods whose own words begin from word `start` on and before word `end`."""
        first = bisect_left(self.heads, start)
        return range(first, bisect_left(self.heads, end, first))
