"""Mentions in order of speech, found by the words they stand at."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from typing import Protocol, TypeVar


class Placed(Protocol):
    """What was heard in words `start` to `end` (exclusive), by the name of a rule."""

    @property
    def start(self) -> int:
        """The first word."""
        ...

    @property
    def end(self) -> int:
        """The word after the last."""
        ...

    @property
    def rule(self) -> str:
        """The name of the rule that read it."""
        ...


Spoken = TypeVar("Spoken", bound=Placed)


class InOrder(tuple[Spoken, ...]):
    """Mentions in order of their first words, which are the `starts`."""

    starts: tuple[int, ...]

    def __new__(cls, mentions: Iterable[Spoken]) -> InOrder[Spoken]:
        """Of mentions that are in order."""
        made = super().__new__(cls, mentions)
        made.starts = tuple([mention.start for mention in made])
        return made

    def within(self, start: int, end: int) -> Sequence[Spoken]:
        """Those that begin from word `start` on and before word `end`."""
        first = bisect_left(self.starts, start)
        return self[first : bisect_left(self.starts, end, first)]
