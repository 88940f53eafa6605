"""Times of words: those the file gives, and those interpolated by the place of the characters."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate, pairwise

from pipeline.read.source import Spoken
from pipeline.read.transcript import Line, Word


def timed_words(line: Line) -> tuple[Word, ...]:
    """The words of `line` with times in seconds: those of the file, else spread evenly over its characters."""
    return line.words or settle([Spoken(word) for word in line.text.split()], line.start, line.end)


def settle(words: Sequence[Spoken], start: float, end: float) -> tuple[Word, ...]:
    """`words` of a line from `start` to `end` with every time filled in; empty where given times run backwards.

    A time that is missing lies between its known neighbours, by its place among the characters.
    """
    times = [time for word in words for time in (word.start, word.end)]
    if not times:
        return ()
    times[0] = start if times[0] is None else times[0]
    times[-1] = end if times[-1] is None else times[-1]
    places = [0, *accumulate(size for word in words for size in (len(word.text), 0))]
    filled = _fill(times, places)
    if any(after < before for before, after in pairwise(filled)):
        return ()
    return tuple(
        Word(word.text, begun, done) for word, begun, done in zip(words, filled[::2], filled[1::2], strict=True)
    )


def _fill(times: Sequence[float | None], places: Sequence[int]) -> list[float]:
    """`times` with gaps filled in by straight lines over `places`; the first and the last are known."""
    filled: list[float] = []
    for place, time in enumerate(times):
        if time is None:
            continue
        before, left = len(filled), places[len(filled) - 1] if filled else 0
        wide = places[place] - left
        for gap in range(before, place):
            share = (places[gap] - left) / wide if wide else 0.0
            filled.append(round(filled[before - 1] + (time - filled[before - 1]) * share, 3))
        filled.append(time)
    return filled


def aligned(text: str, pieces: Iterable[Spoken]) -> tuple[Spoken, ...] | None:
    """The words of `text` with the times of `pieces`, which may be cut elsewhere; None where the letters differ."""
    starts: dict[int, float | None] = {}
    ends: dict[int, float | None] = {}
    place = 0
    letters: list[str] = []
    for piece in pieces:
        bare = "".join(piece.text.split())
        if bare:
            starts[place] = piece.start
            place += len(bare)
            ends[place] = piece.end
            letters.append(bare)
    words = text.split()
    if "".join(letters) != "".join(words):
        return None
    bounds = [0, *accumulate(len(word) for word in words)]
    return tuple(
        Spoken(word, starts.get(begun), ends.get(done))
        for word, (begun, done) in zip(words, pairwise(bounds), strict=True)
    )
