"""What is told of one dish: its foods, and of which of them the amount stands in the method already."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pipeline.compose.instructions import Instruction, between
from pipeline.compose.lines import LineDraft
from pipeline.compose.orders import aside
from pipeline.hear.hearing import Hearing
from pipeline.hear.usage import ALTERNATIVE, ASIDE


@dataclass(frozen=True, slots=True)
class Telling:
    """`named` are the lines of the dish by their mentions, `people` the names of those who are in the kitchen."""

    hearing: Hearing
    named: Mapping[int, LineDraft]
    people: frozenset[str] = frozenset()
    told: set[int] = field(default_factory=set)

    def foods(self, piece: Instruction) -> list[int]:
        """The mentions in a piece of foods that go into the dish."""
        hearing = self.hearing
        return [
            at
            for at in between(hearing.foods, piece.start, piece.end)
            if at in self.named
            and hearing.usages[at].status not in {ASIDE, ALTERNATIVE}
            and hearing.usages[at].why != "claim"
            and not aside(hearing, hearing.foods[at].head)
        ]

    def is_told(self, mention: int) -> bool:
        """Whether the amount of a food stands in the method already."""
        return id(self.named[mention]) in self.told
