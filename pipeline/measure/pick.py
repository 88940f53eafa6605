"""Chooses among the household measures of a food the one that was meant."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pipeline.measure.tables import Measure, Span

_EXACT, _LIKE = 2, 1
_USUAL = "medium"


def pick(
    measures: Sequence[Measure], words: frozenset[str], likeness: Mapping[str, tuple[str, ...]], *, counted: bool
) -> Span:
    """Grams of one unit, from measures of that unit: those whose size and preparation are among `words`, or like
    them; else those that give none; else all of them.

    Where several are left the range runs over them. Of things that are `counted`, a size that was said leaves the
    range up to half-way to the next size, as one large onion is not the weight of another. `measures` is not empty.
    """
    scores = [_score(measure, words, likeness) for measure in measures]
    top = max(scores)
    if top > 0:
        chosen = [measure for measure, score in zip(measures, scores, strict=True) if score == top]
        return _towards_neighbours(chosen[0], measures) if counted and len(chosen) == 1 else merge(chosen)
    return merge([measure for measure in measures if not measure.what] or measures)


def merge(measures: Sequence[Measure]) -> Span:
    """The range over all measures; its best value is that of the medium size, or else the one published first."""
    usual = next((measure for measure in measures if _USUAL in measure.what), measures[0])
    return Span(
        min(measure.grams.low for measure in measures),
        usual.grams.best,
        max(measure.grams.high for measure in measures),
        usual.grams.source,
    )


def _score(measure: Measure, words: frozenset[str], likeness: Mapping[str, tuple[str, ...]]) -> int:
    """How well a measure fits; a size or preparation that was not said counts against it only as a tie-breaker."""
    hits = _EXACT * len(measure.what & words)
    if hits:
        return 10 * hits - len(measure.what - words)
    like = {other for word in words for other in likeness.get(word, ())}
    return 10 * _LIKE - len(measure.what) if measure.what & like else 0


def _towards_neighbours(chosen: Measure, measures: Sequence[Measure]) -> Span:
    grams = chosen.grams
    sizes = sorted({grams.best, *(measure.grams.best for measure in measures if measure.what)})
    place = sizes.index(grams.best)
    below = sizes[place - 1] if place else grams.best
    above = sizes[place + 1] if place + 1 < len(sizes) else grams.best
    low, high = (below + grams.best) / 2, (grams.best + above) / 2
    return Span(min(grams.low, low), grams.best, max(grams.high, high), grams.source)
