"""Sets the weights of a chain of states on chains whose states are known here and there.

A conditional random field (Lafferty, McCallum and Pereira, 2001) of which the chance of turning to a state is the same
whatever the state before: the likelihood of what is known is made as great as can be, less a penalty on large weights.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain as chained

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

MOST_STEPS = 40
BATCH = 90
NEXT_TO_NOTHING = 1e-12
Floats = NDArray[np.float64]
Signs = Mapping[str, float]


@dataclass(frozen=True)
class Chain:
    """For each step the signs of every state, of turning to each state from another before it, and of turning whichever
    it is to; and the known states."""

    states: Sequence[Sequence[Signs]]
    turned_to: Sequence[Sequence[Signs]]
    turning: Sequence[Signs]
    known: Mapping[int, int]


@dataclass(frozen=True)
class _Batch:
    """Chains of about the same length as tables: the signs of states and of turning to each (chain, step, state, sign)
    and of turning (chain, step, sign), 1 for the states there are, for those that what is known allows, and for
    steps."""

    states: Floats
    turned_to: Floats
    turning: Floats
    there: Floats
    allowed: Floats
    steps: Floats


def fit(chains: Sequence[Chain], *, penalty: float, least: int) -> dict[str, float]:
    """The weight of every sign that is found at least so many times."""
    of_states = _found((signs for chain in chains for step in chain.states for signs in step), least)
    of_turned_to = _found((signs for chain in chains for step in chain.turned_to for signs in step), least)
    of_turning = _found((signs for chain in chains for signs in chain.turning), least)
    kinds = (of_states, of_turned_to, of_turning)
    ordered = sorted(chains, key=lambda chain: len(chain.states))
    batches = [_batch(ordered[at : at + BATCH], *kinds) for at in range(0, len(ordered), BATCH)]

    def unlikely(weights: Floats) -> tuple[float, Floats]:
        parts = [_unlikely(batch, weights) for batch in batches]
        loss = sum(value for value, _ in parts) + penalty * float(weights @ weights) / 2
        return loss, np.sum([slope for _, slope in parts], axis=0) + penalty * weights

    start = np.zeros(sum(map(len, kinds)))
    weights = minimize(unlikely, start, jac=True, method="L-BFGS-B", options={"maxiter": MOST_STEPS}).x
    return {sign: float(weight) for sign, weight in zip(chained.from_iterable(kinds), weights, strict=True)}


def _found(told: Iterable[Signs], least: int) -> list[str]:
    counts = Counter(sign for signs in told for sign, value in signs.items() if value)
    return sorted(sign for sign, count in counts.items() if count >= least)


def _batch(
    chains: Sequence[Chain], of_states: Sequence[str], of_turned_to: Sequence[str], of_turning: Sequence[str]
) -> _Batch:
    length, count = max(len(chain.states) for chain in chains), max(len(chain.states[0]) for chain in chains)
    size = (len(chains), length, count)
    states, turned_to = np.zeros((*size, len(of_states))), np.zeros((*size, len(of_turned_to)))
    turning = np.zeros((*size[:2], len(of_turning)))
    there, allowed, steps = np.zeros(size), np.ones(size), np.zeros(size[:2])
    for at, chain in enumerate(chains):
        there[at, :, : len(chain.states[0])] = 1
        steps[at, : len(chain.states)] = 1
        _fill(states[at], chain.states, of_states)
        _fill(turned_to[at], chain.turned_to, of_turned_to)
        turning[at, : len(chain.turning)] = [[signs.get(sign, 0.0) for sign in of_turning] for signs in chain.turning]
        for step, state in chain.known.items():
            allowed[at, step] = np.arange(count) == state
    return _Batch(states, turned_to, turning, there, allowed, steps)


def _fill(table: Floats, told: Sequence[Sequence[Signs]], kinds: Sequence[str]) -> None:
    for step, states in enumerate(told):
        table[step, : len(states)] = [[signs.get(sign, 0.0) for sign in kinds] for signs in states]


def _unlikely(batch: _Batch, weights: Floats) -> tuple[float, Floats]:
    """How unlikely what is known is, and the slope of that by each weight."""
    ends = np.cumsum([batch.states.shape[-1], batch.turned_to.shape[-1]])
    of_states, of_turned_to, of_turning = np.split(weights, ends)
    points = batch.states @ of_states
    factors = np.exp(points - points.max(axis=2, keepdims=True)) * batch.there
    turns = np.exp(batch.turned_to @ of_turned_to + (batch.turning @ of_turning)[:, :, None]) * batch.there
    states, turned, likely = _sums(factors, turns)
    known_states, known_turned, known_likely = _sums(factors * (batch.allowed + NEXT_TO_NOTHING), turns)
    more, turned_more = (states - known_states) * batch.steps[:, :, None], turned - known_turned
    slope = [
        np.einsum("abk,abkn->n", more, batch.states),
        np.einsum("abk,abkn->n", turned_more, batch.turned_to),
        np.einsum("abk,abn->n", turned_more, batch.turning),
    ]
    return float((likely - known_likely).sum()), np.concatenate(slope)


def _sums(factors: Floats, turns: Floats) -> tuple[Floats, Floats, Floats]:
    """For every step the chance of each state and of having turned to it; and the logarithm of the sum over all
    ways."""
    chains, length, _ = factors.shape
    before, after, turned = np.empty_like(factors), np.ones_like(factors), np.zeros_like(factors)
    sums = np.empty((chains, length))
    came = np.ones_like(factors[:, 0])
    for step in range(length):
        reached = came * factors[:, step]
        sums[:, step] = reached.sum(axis=1)
        before[:, step] = reached / sums[:, step, None]
        if step + 1 < length:
            came = before[:, step] + turns[:, step + 1] * (1 - before[:, step])
    for step in range(length - 1, 0, -1):
        reached = after[:, step] * factors[:, step]
        turned_to = turns[:, step] * reached
        turned[:, step] = (1 - before[:, step - 1]) * turned_to / sums[:, step, None]
        back = reached + turned_to.sum(axis=1, keepdims=True) - turned_to
        after[:, step - 1] = back / sums[:, step, None]
    return before * after, turned, np.log(sums).sum(axis=1)
