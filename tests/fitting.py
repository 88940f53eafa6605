"""Sets weights of signs on cases with answers: a logistic regression with a penalty on large weights.

Of the words beside a mention, which are thousands, those are taken that tell most beside the signs taken so far, so
many in each round; a word counts only if it is heard in many talks.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

CUES = ("left:", "right:", "before:", "after:")
STEPS = 12
LEAST_WEIGHT = 0.05
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """A mention of one talk: its signs, and the answer."""

    talk: str
    signs: Mapping[str, float]
    answer: bool


@dataclass(frozen=True)
class Plan:
    """In how many talks a sign has to be found and a word beside to be heard, how many words are taken, in rounds of
    how many, how much large weights cost, and signs that get none."""

    least_talks: int
    least_talks_of_cue: int
    rounds: int
    each_round: int
    penalty: float
    never: frozenset[str] = frozenset()


def fit(found: Sequence[Case], plan: Plan) -> dict[str, float]:
    """The weight of every sign that counts."""
    heard = {(case.talk, sign) for case in found for sign, value in case.signs.items() if value}
    talks = Counter(sign for _, sign in heard)
    answer = np.array([float(case.answer) for case in found])
    told = {sign for sign, count in talks.items() if not sign.startswith(CUES) and count >= plan.least_talks}
    chosen = sorted(told - plan.never)
    cues = sorted(sign for sign, count in talks.items() if sign.startswith(CUES) and count >= plan.least_talks_of_cue)
    worth = _worth(found, cues, plan.penalty)
    for _ in range(plan.rounds):
        doubt = answer - _chance(_table(found, chosen), _weights(_table(found, chosen), answer, plan.penalty))
        left = [(cue, value) for cue, value in zip(cues, worth(doubt), strict=True) if cue not in chosen]
        chosen += [cue for cue, _ in sorted(left, key=lambda one: -one[1])[: plan.each_round]]
    weights = _weights(_table(found, chosen), answer, plan.penalty)
    return {sign: float(weight) for sign, weight in zip(chosen, weights, strict=True)}


def _worth(found: Sequence[Case], cues: Sequence[str], penalty: float) -> Callable[[Floats], Floats]:
    """For what is left in doubt of each case, how much each cue tells of it."""
    number = {cue: at for at, cue in enumerate(cues)}
    told = ((at, sign, value) for at, case in enumerate(found) for sign, value in case.signs.items())
    cells = [(at, number[sign], value) for at, sign, value in told if sign in number]
    rows, columns, values = (np.array(part) for part in zip(*cells, strict=True))

    def worth(doubt: Floats) -> Floats:
        size = len(cues)
        slope = np.bincount(columns, weights=values * doubt[rows], minlength=size)
        spread = np.bincount(columns, weights=values**2 * (np.abs(doubt) * (1 - np.abs(doubt)))[rows], minlength=size)
        return np.asarray(np.abs(slope) / np.sqrt(spread + penalty))

    return worth


def _table(found: Sequence[Case], signs: Sequence[str]) -> Floats:
    return np.array([[case.signs.get(sign, 0.0) for sign in signs] for case in found], dtype=np.float64)


def _chance(table: Floats, weights: Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-table @ weights)))


def _weights(table: Floats, answer: Floats, penalty: float) -> Floats:
    weights = np.zeros(table.shape[1])
    for _ in range(STEPS):
        chance = _chance(table, weights)
        slope = table.T @ (chance - answer) + penalty * weights
        bend = (table.T * (chance * (1 - chance))) @ table + penalty * np.eye(table.shape[1])
        weights -= np.linalg.solve(bend, slope)
    return weights


def written(weights: Mapping[str, float]) -> str:
    """The weights as the file holds them, without those that are next to nothing."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("id", "weight"))
    writer.writerows((sign, f"{value:.2f}") for sign, value in sorted(weights.items()) if abs(value) >= LEAST_WEIGHT)
    return out.getvalue()
