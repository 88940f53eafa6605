"""What was heard in one transcript: every mention, typed, with the words and the rule that read it."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.hear.claims import ClaimSpan
from pipeline.hear.clauses import Clauses
from pipeline.hear.durations import TimeSpan
from pipeline.hear.foods import FoodSpan, Saying
from pipeline.hear.heat import HeatSpan
from pipeline.hear.measured import Measured
from pipeline.hear.quantity import Quantity
from pipeline.hear.scopes import Scope
from pipeline.hear.servings import ServingsSpan
from pipeline.hear.speech import Speech
from pipeline.hear.usage import Usage


@dataclass(frozen=True, slots=True)
class Hearing:
    """All mentions of a speech in order.

    `kitchen` is us or british; `usages` stands beside `foods`; `measured` points into `foods`; `over` holds
    for every word the scopes it stands in.
    """

    speech: Speech
    clauses: Clauses
    kitchen: str
    foods: tuple[FoodSpan, ...]
    usages: tuple[Usage, ...]
    sayings: tuple[Saying, ...]
    quantities: tuple[Quantity, ...]
    measured: tuple[Measured, ...]
    scopes: tuple[Scope, ...]
    over: tuple[tuple[Scope, ...], ...]
    times: tuple[TimeSpan, ...]
    heats: tuple[HeatSpan, ...]
    claims: tuple[ClaimSpan, ...]
    servings: tuple[ServingsSpan, ...]
