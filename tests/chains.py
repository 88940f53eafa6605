"""Sets the weights of a chain of states on chains whose states are known here and there.

A conditional random field (Lafferty, McCallum and Pereira, 2001) of which the chance of turning is the same whatever
the state: the likelihood of what is known is made as great as can be, less a penalty on large weights.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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
    """For each step the signs of every state and of turning to another state before it; and the known states."""

    states: Sequence[Sequence[Signs]]
    turning: Sequence[Signs]
    known: Mapping[int, int]


@dataclass(frozen=True)
class _Batch:
    """Chains of about the same length as tables: the signs of states (chain, step, state, sign) and of turning (chain,
    step, sign), 1 for the states there are, for those that what is known allows, and for steps."""

    states: Floats
    turning: Floats
    there: Floats
    allowed: Floats
    steps: Floats


def fit(chains: Sequence[Chain], *, penalty: float, least: int) -> dict[str, float]:
    """The weight of every sign that is found at least so many times."""
    told = [signs for chain in chains for step in chain.states for signs in step]
    of_states = _found(told, least)
    of_turning = _found([signs for chain in chains for signs in chain.turning], least)
    ordered = sorted(chains, key=lambda chain: len(chain.states))
    batches = [_batch(ordered[at : at + BATCH], of_states, of_turning) for at in range(0, len(ordered), BATCH)]

    def unlikely(weights: Floats) -> tuple[float, Floats]:
        parts = [_unlikely(batch, weights) for batch in batches]
        loss = sum(value for value, _ in parts) + penalty * float(weights @ weights) / 2
        return loss, np.sum([slope for _, slope in parts], axis=0) + penalty * weights

    start = np.zeros(len(of_states) + len(of_turning))
    weights = minimize(unlikely, start, jac=True, method="L-BFGS-B", options={"maxiter": MOST_STEPS}).x
    return {sign: float(weight) for sign, weight in zip([*of_states, *of_turning], weights, strict=True)}


def _found(told: Sequence[Signs], least: int) -> list[str]:
    counts: dict[str, int] = {}
    for signs in told:
        for sign, value in signs.items():
            counts[sign] = counts.get(sign, 0) + bool(value)
    return sorted(sign for sign, count in counts.items() if count >= least)


def _batch(chains: Sequence[Chain], of_states: Sequence[str], of_turning: Sequence[str]) -> _Batch:
    length, count = max(len(chain.states) for chain in chains), max(len(chain.states[0]) for chain in chains)
    size = (len(chains), length, count)
    states, turning = np.zeros((*size, len(of_states))), np.zeros((len(chains), length, len(of_turning)))
    there, allowed, steps = np.zeros(size), np.ones(size), np.zeros(size[:2])
    for at, chain in enumerate(chains):
        there[at, :, : len(chain.states[0])] = 1
        steps[at, : len(chain.states)] = 1
        for step, told in enumerate(chain.states):
            states[at, step, : len(told)] = [[signs.get(sign, 0.0) for sign in of_states] for signs in told]
        turning[at, : len(chain.turning)] = [[signs.get(sign, 0.0) for sign in of_turning] for signs in chain.turning]
        for step, state in chain.known.items():
            allowed[at, step] = np.arange(count) == state
    return _Batch(states, turning, there, allowed, steps)


def _unlikely(batch: _Batch, weights: Floats) -> tuple[float, Floats]:
    """How unlikely what is known is, and the slope of that by each weight."""
    count = batch.states.shape[-1]
    points = batch.states @ weights[:count]
    points -= points.max(axis=2, keepdims=True)
    factors = np.exp(points) * batch.there
    turns = np.exp(batch.turning @ weights[count:]) * batch.steps
    states, turned, likely = _sums(factors, turns)
    known_states, known_turned, known_likely = _sums(factors * (batch.allowed + NEXT_TO_NOTHING), turns)
    of_states = np.einsum("abk,abkn->n", (states - known_states) * batch.steps[:, :, None], batch.states)
    of_turning = np.einsum("ab,abn->n", (turned - known_turned) * batch.steps, batch.turning)
    return float((likely - known_likely).sum()), np.concatenate([of_states, of_turning])


def _sums(factors: Floats, turns: Floats) -> tuple[Floats, Floats, Floats]:
    """For every step the chance of each state and of having turned; and the logarithm of the sum over all ways."""
    chains, length, _ = factors.shape
    before, after = np.empty_like(factors), np.ones_like(factors)
    sums, turned = np.empty((chains, length)), np.zeros((chains, length))
    came = np.ones_like(factors[:, 0])
    for step in range(length):
        reached = came * factors[:, step]
        sums[:, step] = reached.sum(axis=1)
        before[:, step] = reached / sums[:, step, None]
        if step + 1 < length:
            came = before[:, step] + turns[:, step + 1, None] * (1 - before[:, step])
    for step in range(length - 1, 0, -1):
        reached = after[:, step] * factors[:, step]
        turned[:, step] = turns[:, step] * ((1 - before[:, step - 1]) * reached).sum(axis=1) / sums[:, step]
        all_of_it = reached.sum(axis=1, keepdims=True)
        back = reached + turns[:, step, None] * (all_of_it - reached)
        after[:, step - 1] = back / sums[:, step, None]
    return before * after, turned, np.log(sums).sum(axis=1)
