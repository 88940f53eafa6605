"""What is told of one dish: its foods, and of which of them the amount stands in the method already."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pipeline.compose.amounts import AmountResolver, Resolved
from pipeline.compose.instructions import Instruction
from pipeline.compose.line_draft import LineDraft
from pipeline.compose.orders import aside
from pipeline.hear.hearing import Hearing
from pipeline.hear.usage import ALTERNATIVE, ASIDE

_SUPPOSING = frozenset({"could", "would"})


@dataclass(frozen=True, slots=True)
class Telling:
    """`named` are the lines of the dish by their mentions, of which `going` are of foods that go into it; `people` the
    names of those who are in the kitchen."""

    hearing: Hearing
    named: Mapping[int, LineDraft]
    going: frozenset[int]
    people: frozenset[str] = frozenset()
    told: set[int] = field(default_factory=set)
    settled: dict[int, Resolved] = field(default_factory=dict)

    @classmethod
    def of(cls, hearing: Hearing, named: Mapping[int, LineDraft], people: frozenset[str]) -> Telling:
        """Nothing is told yet of the lines."""
        return cls(hearing, named, frozenset(at for at in named if _goes_in(hearing, at)), people)

    def foods(self, piece: Instruction) -> list[int]:
        """The mentions in a piece of foods that go into the dish."""
        return [at for at in self.hearing.foods_in(piece.start, piece.end) if at in self.going]

    def amount(self, line: LineDraft) -> Resolved:
        """The amount of a line, settled once from all that was said of it."""
        if id(line) not in self.settled:
            self.settled[id(line)] = AmountResolver().resolve(line.said, line.name)
        return self.settled[id(line)]

    def is_told(self, mention: int) -> bool:
        """Whether the amount of a food stands in the method already."""
        return id(self.named[mention]) in self.told

    def best_mention(self, line: LineDraft) -> int | None:
        """The mention of a line that tells of its going in: the first with an amount of its own, or else the first
        that is put somewhere."""
        spoken = [at for at in line.mentions if at in self.going and not self._supposed(at)]
        measured = {said.measured.food for said in line.said if not said.quantity.article}
        put = [at for at in spoken if self.hearing.usages[at].rule == "usage.added"]
        best = [at for at in spoken if at in measured] or put
        return best[0] if best else None

    def _supposed(self, at: int) -> bool:
        """Whether a food stands after `could` or `would` in its clause."""
        head = self.hearing.foods[at].head
        start = self.hearing.clauses.clause(head)[0]
        return not _SUPPOSING.isdisjoint(self.hearing.speech.words[start:head])


def _goes_in(hearing: Hearing, at: int) -> bool:
    """Whether a mention is of a food that is put in."""
    usage = hearing.usages[at]
    kept_out = usage.status in {ASIDE, ALTERNATIVE} or usage.why == "claim"
    return not kept_out and not aside(hearing, hearing.foods[at].head)
