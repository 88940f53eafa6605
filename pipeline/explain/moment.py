"""Draws all readings of one moment together."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.draft import drafted
from pipeline.errors import TranscriptError, clock
from pipeline.explain import foods, values, weights
from pipeline.explain.traced import Reading, Traced
from pipeline.hear.hearing import Hearing
from pipeline.read.transcript import Line, Transcript

_SORTS = (
    foods.foods,
    weights.foods,
    weights.figures,
    weights.clauses,
    foods.sayings,
    foods.amounts,
    values.times,
    values.temperatures,
    values.claims,
    values.servings,
    values.cues,
    values.steps,
)


@dataclass(frozen=True, slots=True)
class Moment:
    """The lines spoken round a moment, the dish they are about, and what was read there, in order of speech."""

    at: float
    lines: tuple[Line, ...]
    dish: str
    readings: tuple[Reading, ...]


def explain(transcript: Transcript, *, at: float, around: float = 0.0, measures: str | None = None) -> Moment:
    """What the rules read at the time `at` and up to `around` seconds before and after it.

    Raises TranscriptError where nothing is said then.
    """
    made = drafted(transcript, measures=measures)
    words = _words(made.hearing, at - around, at + around)
    if not words:
        raise TranscriptError(
            "nothing is said here; the last line begins at " + _last(transcript), file=transcript.file, time=at
        )
    traced = Traced(made, words[0], words[-1] + 1)
    readings = [reading for sort in _SORTS for reading in sort(traced)]
    order = sorted(range(len(readings)), key=lambda place: (readings[place].start, place))
    lines = dict.fromkeys(made.hearing.speech.line[word] for word in words)
    return Moment(
        at,
        tuple(transcript.lines[number] for number in lines),
        traced.dish(made.outline.topics[words[0]].dish),
        tuple(readings[place] for place in order),
    )


def _words(hearing: Hearing, start: float, end: float) -> list[int]:
    """The words of the lines that are spoken in that stretch."""
    lines = hearing.speech.transcript.lines
    spoken = {number for number, line in enumerate(lines) if line.start <= end and line.end > start}
    return [word for word, number in enumerate(hearing.speech.line) if number in spoken]


def _last(transcript: Transcript) -> str:
    return clock(transcript.lines[-1].start) if transcript.lines else "0:00"
