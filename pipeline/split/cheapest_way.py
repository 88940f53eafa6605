"""The way through a talk from topic to topic that has the most points when every turn costs some."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

_NOT_FIRST = 3.0


class CheapestWay:
    """The best way to each topic so far, and how it came there; `leader` is the topic that has the most points so far.
    The talk begins with the first. `mains` is for every topic the main one of its dish, to which it costs less by
    `home` to turn from a component; `unnamed` is what it costs more to turn to a dish that was not named yet."""

    def __init__(self, mains: Sequence[int], home: float, unnamed: float) -> None:
        self._mains, self._home, self._unnamed = mains, home, unnamed
        self._score = [0.0, *[-_NOT_FIRST] * (len(mains) - 1)]
        self._topics = range(len(mains))
        self._open = sorted(set(mains))
        self._came: list[Sequence[int]] = []
        self.leader = 0
        self._lowest = min(self._score[at] for at in self._open)

    def begin(self, unnamed: Collection[int]) -> None:
        """The talk seldom begins with a dish that is named only later."""
        self._score = [score - self._unnamed * (at in unnamed) for at, score in enumerate(self._score)]
        self._lowest = min(self._score[at] for at in self._open)

    def stays(self, turn: float) -> bool:
        """Whether a clause that tells nothing turns no way to another topic, at what turning costs there; if so, it is
        taken. Without a word for it, the talk does not turn to a component."""
        stay = self._lowest >= self._score[self.leader] - turn + self._home
        if stay:
            self._came.append(self._topics)
        return stay

    def step(
        self, points: Mapping[int, float], turn: float, shut: Collection[int], unnamed: Collection[int] = ()
    ) -> None:
        """One clause on: its points by topic, what turning to another topic before it costs, the components that
        nothing names, to which it does not turn, and the topics of dishes that were not named yet."""
        leader = self.leader
        turned = self._score[leader] - turn
        home, gain = self._mains[leader], min(turn, self._home)
        came: list[int] = []
        scores: list[float] = []
        for at, score in enumerate(self._score):
            turning = turned + gain * (at == home) - self._unnamed * (at in unnamed)
            stay = score >= turning or at in shut
            came.append(at if stay else leader)
            scores.append((score if stay else turning) + points.get(at, 0.0))
        self._came.append(came)
        self._score = scores
        self.leader = scores.index(max(scores))
        self._lowest = min([scores[at] for at in self._open])

    @property
    def most(self) -> float:
        """The points of the best way."""
        return self._score[self.leader]

    def best(self) -> list[int]:
        """The topic of every clause."""
        at = self.leader
        way: list[int] = []
        for came in reversed(self._came):
            way.append(at)
            at = came[at]
        return way[::-1]
