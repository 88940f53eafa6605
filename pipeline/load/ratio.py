"""Bounds of a ratio of two sums that share their grams."""

from __future__ import annotations

import numpy as np

from pipeline.load.lines import BEST, HIGH, LOW, Array


def ratio_bounds(grams: Array, above: Array, below: Array) -> Array | None:
    """Low, best and high of sum(grams x above) / sum(grams x below), (3, m), with grams (3, n), the others (3, n, m).

    Every line of `grams` may lie anywhere between its bounds, independently, but is the same above and below. The
    extreme of such a ratio has each line at one of its bounds, those of the larger ratio at one, the others at the
    other, so that n + 1 ways are to be tried. None where a divisor may be nought or is below it.
    """
    if not grams.shape[1] or (np.einsum("n,nm->m", grams[LOW], below[LOW]) <= 0).any():
        return None
    low = _least(grams, above[LOW], below[HIGH])
    best = np.einsum("n,nm->m", grams[BEST], above[BEST]) / np.einsum("n,nm->m", grams[BEST], below[BEST])
    high = -_least(grams, -above[HIGH], below[LOW])
    return np.stack([np.minimum(low, best), best, np.maximum(high, best)])


def _least(grams: Array, above: Array, below: Array) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(below > 0, above / below, np.where(above < 0, -np.inf, np.inf))
    order = np.argsort(ratio, axis=0, kind="stable")
    spread = grams[HIGH] - grams[LOW]
    start_above = np.einsum("n,nm->m", grams[LOW], above)
    start_below = np.einsum("n,nm->m", grams[LOW], below)
    more_above = np.cumsum(np.take_along_axis(spread[:, None] * above, order, axis=0), axis=0)
    more_below = np.cumsum(np.take_along_axis(spread[:, None] * below, order, axis=0), axis=0)
    tried = (start_above + more_above) / (start_below + more_below)
    least: Array = np.minimum(start_above / start_below, tried.min(axis=0))
    return least
