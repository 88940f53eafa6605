"""The 80 % band: sums of seeded draws within the ranges, since the bounds of many vague lines exaggerate."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from pipeline.load.constants import formulas
from pipeline.load.lines import BEST, DECIMALS, HIGH, LOW, TOTALS, Array, Lines
from pipeline.record import Range


@lru_cache(maxsize=4096)
def uniform(key: str) -> Array:
    """Numbers 0..1 that belong to `key`, one for each draw; the same on every run.

    Lines of one food share them: the same hand measures both, and a line written as two changes nothing.
    """
    settings = formulas()
    generator = np.random.Generator(np.random.PCG64([settings.seed, zlib.crc32(key.encode())]))
    steps = (np.arange(settings.draws) + generator.random(settings.draws)) / settings.draws
    numbers: Array = generator.permutation(steps)
    numbers.flags.writeable = False
    return numbers


def triangular(numbers: Array, low: Array, best: Array, high: Array) -> Array:
    """Numbers 0..1, (draws, n), as values of triangular distributions with these ends and peaks, each (n,)."""
    width = high - low
    with np.errstate(divide="ignore", invalid="ignore"):
        peak = np.where(width > 0, (best - low) / width, 0.0)
    left = low + np.sqrt(numbers * width * (best - low))
    right = high - np.sqrt((1 - numbers) * width * (high - best))
    drawn: Array = np.where(numbers < peak, left, right)
    return drawn


def total_draws(lines: Lines) -> Array:
    """Totals of every draw, (draws, m)."""
    if not lines.foods:
        return np.zeros((formulas().draws, len(TOTALS)))
    keys = [food.id for food in lines.foods]
    grams = triangular(np.stack([uniform(key) for key in keys], axis=1), *lines.grams)
    per_gram = np.nan_to_num(lines.per_gram)
    totals: Array = grams @ per_gram[BEST]
    for place in np.flatnonzero((per_gram[HIGH] > per_gram[LOW]).any(axis=1)):
        kept = triangular(uniform(f"kept:{keys[place]}")[:, None], *per_gram[:, place])
        totals += grams[:, place, None] * (kept - per_gram[BEST, place])
    return totals


def serving_draws(count: Range, *, dish: str = "") -> Array:
    """The number of servings of every draw, (draws,); those of another `dish` are drawn apart."""
    ends = (np.array([value]) for value in (count.low, count.best, count.high))
    drawn: Array = triangular(uniform(f"servings:{dish}")[:, None], *ends)[:, 0]
    return drawn


def band_of(draws: Array, known: Mapping[str, Range]) -> dict[str, Range]:
    """The band of `draws`, (draws, m), for the nutrients in `known`; `best` is the median."""
    settings = formulas()
    ordered = np.sort(draws, axis=0)
    last = len(draws) - 1
    ends = [round(share * last) for share in (settings.lower, 0.5, settings.upper)]
    low, best, high = ordered[ends].round(DECIMALS).tolist()
    return {
        name: Range(low=low[place], best=best[place], high=high[place])
        for place, name in enumerate(TOTALS)
        if name in known
    }
