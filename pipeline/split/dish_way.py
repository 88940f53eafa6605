"""Of which dish each clause is, by all that is told before and after it.

The signs of `dish_signs.py` are weighed by `models/dish_way.csv`, set on talks with answers: a conditional random field
of one state for each dish (Lafferty, McCallum and Pereira, Conditional random fields, 2001), in which turning costs the
same whichever dish the talk turns from.
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
from pipeline.split.dishes import FEW_WORDS
from pipeline.split.signs import Signs

# How much likelier another dish has to be; in a few sentences the weights, set on whole talks, tell less.
_BY_FAR = 1.7
_BY_FAR_IN_FEW_WORDS = 2.5


@dataclass(frozen=True, slots=True)
class Moved:
    """A clause from word `start` to `end` that is of `dish` and was told of `before` at first: how likely that is, from
    0 to 1, and what each of its signs adds to the one more than to the other, and to turning where it does, the
    strongest first."""

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
        by_far = _by_far(hearing)
        return [likelier(likely, dish, by_far) for likely, dish in chosen]

    def moved(self, hearing: Hearing, followed: Followed) -> Iterator[Moved]:
        """The clauses that are of another dish than they were told of at first, and why."""
        told, by_far = self._signs.of(hearing, followed), _by_far(hearing)
        ends = [*followed.starts[1:], len(hearing.speech)]
        clauses = zip(followed.starts, ends, followed.at_first, told, self._chances(told), strict=True)
        last = None
        for start, end, before, clause, likely in clauses:
            dish = likelier(likely, before, by_far)
            if dish != before:
                signs = self._compared(clause.dishes[dish], clause.dishes[before])
                signs |= self._turned(clause, dish) if last not in {None, dish} else {}
                yield Moved(start, end, dish, before, likely[dish], strongest(signs))
            last = dish

    def _chances(self, told: Sequence[ClauseSigns]) -> list[list[float]]:
        points = [[self._points(signs) for signs in clause.dishes] for clause in told]
        return chances(points, [self._turning(clause) for clause in told])

    def _turning(self, clause: ClauseSigns) -> list[float]:
        whichever = self._points(clause.turning)
        return [whichever + self._points(signs) for signs in clause.turned_to]

    def _points(self, signs: Mapping[str, float]) -> float:
        return sum([self._weights.get(sign, 0.0) * value for sign, value in signs.items()])

    def _turned(self, clause: ClauseSigns, dish: int) -> dict[str, float]:
        return added(self._weights, {**clause.turning, **clause.turned_to[dish]})

    def _compared(self, signs: Mapping[str, float], other: Mapping[str, float]) -> dict[str, float]:
        more = {sign: signs.get(sign, 0.0) - other.get(sign, 0.0) for sign in signs.keys() | other.keys()}
        return added(self._weights, more)


def _by_far(hearing: Hearing) -> float:
    return _BY_FAR_IN_FEW_WORDS if len(hearing.speech) < FEW_WORDS else _BY_FAR


def likelier(likely: Sequence[float], dish: int, by_far: float) -> int:
    """The likeliest dish where it is so many times as likely as `dish`, else that."""
    best = max(range(len(likely)), key=lambda at: likely[at])
    return best if likely[best] > by_far * likely[dish] else dish
