"""Doubtful times put right: rough lines to lines whose times never decrease, with every repair on record."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise

from pipeline.errors import clock
from pipeline.read.source import Reading, Rough, Spoken
from pipeline.read.transcript import Line, Problem
from pipeline.read.words import settle

SECONDS_A_WORD = 0.4
"""How long a word takes where nothing else says when the last line ends: 150 words a minute is an unhurried
speaker. Common practice, no source."""

LONG_LINE = 10_000
"""Characters; about ten minutes of speech at that rate, so that times inside the line are guesses."""


def repair(reading: Reading, *, has_ends: bool) -> tuple[tuple[Line, ...], tuple[Problem, ...]]:
    """Lines in order, starts never decreasing and no end before its start, and all problems by place in the file.

    A start out of order gives way: the fewest possible are changed, each to the start of the line before it.
    `has_ends`: a missing end is a problem and not the habit of the format.
    """
    problems = list(reading.problems)
    rising = _rising([line.start for line in reading.lines])
    starts = _starts(reading.lines, rising, problems)
    ends = _ends(reading.lines, rising, starts, problems, has_ends)
    lines: list[Line] = []
    for rough, kept, start, end in zip(reading.lines, rising, starts, ends, strict=True):
        problems.extend(_oddities(rough, start))
        if rough.text:
            lines.extend(_finished(rough, start, end, problems, trusted=kept))
    lines.sort(key=lambda line: line.start)
    problems.sort(key=lambda problem: (problem.line or 0, problem.code))
    return tuple(lines), tuple(problems)


def _rising(starts: Sequence[float | None]) -> list[bool]:
    """Which starts belong to the longest run that never decreases; of runs as long, the one that begins earliest.

    Patience sorting from the end, so the cost is n log n.
    """
    lengths = [0] * len(starts)
    heads: list[float] = []
    for place in range(len(starts) - 1, -1, -1):
        start = starts[place]
        if start is not None:
            shorter = bisect_right(heads, -start)
            heads[shorter : shorter + 1] = [-start]
            lengths[place] = shorter + 1
    wanted, last = len(heads), 0.0
    kept = [False] * len(starts)
    for place, start in enumerate(starts):
        if start is not None and lengths[place] == wanted and start >= last:
            kept[place], wanted, last = True, wanted - 1, start
    return kept


def _starts(lines: Sequence[Rough], rising: Sequence[bool], problems: list[Problem]) -> list[float]:
    starts: list[float] = []
    last = 0.0
    for line, kept in zip(lines, rising, strict=True):
        if kept and line.start is not None:
            last = line.start
        elif line.start is not None:
            said = f"the time {clock(line.start)} is out of order; read as {clock(last)}"
            problems.append(Problem("time.backwards", said, line=line.number, time=last))
        starts.append(last)
    return starts


def _ends(
    lines: Sequence[Rough], rising: Sequence[bool], starts: Sequence[float], problems: list[Problem], has_ends: bool
) -> list[float]:
    """Ends as given where they can be; else the next later start, and after the last line the time its words take."""
    ends = [0.0] * len(lines)
    following: float | None = None
    for place in range(len(lines) - 1, -1, -1):
        line, start = lines[place], starts[place]
        if place + 1 < len(lines) and starts[place + 1] > start:
            following = starts[place + 1]
        if line.end is not None and rising[place] and line.end >= start:
            ends[place] = line.end
            continue
        guess = start + SECONDS_A_WORD * len(line.text.split())
        ends[place] = following if following is not None else round(guess, 3)
        said = f"read as {clock(ends[place])}"
        if not rising[place]:
            continue
        if line.end is not None:
            said = f"the end {clock(line.end)} is before the start {clock(start)}; {said}"
            problems.append(Problem("end.before-start", said, line=line.number, time=start))
        elif has_ends:
            problems.append(Problem("end.missing", f"no end time; {said}", line=line.number, time=start))
    return ends


def _oddities(line: Rough, start: float) -> list[Problem]:
    if not line.text:
        return [Problem("line.empty", "a time without words; left out", line=line.number, time=start)]
    if len(line.text) >= LONG_LINE:
        said = f"a line of {len(line.text):,} characters; times inside it are guesses"
        return [Problem("line.long", said, line=line.number, time=start)]
    return []


def _finished(rough: Rough, start: float, end: float, problems: list[Problem], *, trusted: bool) -> list[Line]:
    """The line, or one line for each turn of a speaker within it.

    Every turn keeps the start of the whole line, so that what is drawn from it carries the time that the file gives;
    its end is interpolated, and so are its words where they have no times.
    """
    timed = trusted and any(word.start is not None or word.end is not None for word in rough.words)
    words = settle(rough.words, start, end) if timed else ()
    if timed and not words:
        said = "the times of its words run backwards; interpolated instead"
        problems.append(Problem("words.backwards", said, line=rough.number, time=start))
    turns = [place for place, word in enumerate(rough.words) if place and word.turn]
    if not turns:
        return [Line(rough.number, start, end, rough.text, rough.speaker, words, rough.turn)]
    placed = words or settle([Spoken(word.text) for word in rough.words], start, end)
    bounds = [0, *turns, len(placed)]
    return [
        Line(
            rough.number,
            start,
            max(start, placed[after - 1].end),
            " ".join(word.text for word in placed[first:after]),
            rough.words[first].speaker,
            placed[first:after],
            first > 0 or rough.turn,
        )
        for first, after in pairwise(bounds)
    ]
