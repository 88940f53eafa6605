"""Of which dish each clause is, by all that is told before and after it.

The signs of `dish_signs.py` are weighed by `models/dish_way.csv`, set on talks with answers: a conditional random field
of one state for each dish (Lafferty, McCallum and Pereira, Conditional random fields, 2001), in which turning to any
other dish costs the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import load_sign_weights
from pipeline.hear.weighing import added, strongest
from pipeline.split.chances import chances
from pipeline.split.company import Company
from pipeline.split.dish_signs import ClauseSigns, DishSigns, Followed
from pipeline.split.signs import Signs

_BY_FAR = 2.0


@dataclass(frozen=True, slots=True)
class Moved:
    """A clause from word `start` to `end` that is of `dish` and was told of `before` at first: how likely that is, from
    0 to 1, and what each of its signs adds to the one more than to the other, the strongest first."""

    start: int
    end: int
    dish: int
    before: int
    likely: float
    signs: tuple[tuple[str, float], ...]


class DishWay:
    """The weights of all signs."""

    def __init__(self, company: Company, signs: Signs) -> None:
        self._signs = DishSigns(company, signs)
        self._weights = load_sign_weights("dish_way.csv")

    def likeliest(self, hearing: Hearing, followed: Followed) -> list[int]:
        """The dish of every clause: the one it was told of at first, or another where that is likelier by far."""
        chosen = zip(self._chances(self._signs.of(hearing, followed)), followed.at_first, strict=True)
        return [likelier(likely, dish) for likely, dish in chosen]

    def moved(self, hearing: Hearing, followed: Followed) -> Iterator[Moved]:
        """The clauses that are of another dish than they were told of at first, and why."""
        told = self._signs.of(hearing, followed)
        ends = [*followed.starts[1:], len(hearing.speech)]
        clauses = zip(followed.starts, ends, followed.at_first, told, self._chances(told), strict=True)
        for start, end, before, clause, likely in clauses:
            dish = likelier(likely, before)
            if dish != before:
                signs = self._compared(clause.dishes[dish], clause.dishes[before])
                yield Moved(start, end, dish, before, likely[dish], strongest(signs))

    def _chances(self, told: Sequence[ClauseSigns]) -> list[list[float]]:
        points = [[self._points(signs) for signs in clause.dishes] for clause in told]
        return chances(points, [self._points(clause.turning) for clause in told])

    def _points(self, signs: Mapping[str, float]) -> float:
        return sum([self._weights.get(sign, 0.0) * value for sign, value in signs.items()])

    def _compared(self, signs: Mapping[str, float], other: Mapping[str, float]) -> dict[str, float]:
        more = {sign: signs.get(sign, 0.0) - other.get(sign, 0.0) for sign in signs.keys() | other.keys()}
        return added(self._weights, more)


def likelier(likely: Sequence[float], dish: int) -> int:
    """The likeliest dish where it is likelier by far than `dish`, else that."""
    best = max(range(len(likely)), key=lambda at: likely[at])
    return best if likely[best] > _BY_FAR * likely[dish] else dish
