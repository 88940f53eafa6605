"""Text with a time at the start of a line: `[4:05] text`, `4:05 text`, or `4:05` alone with the text below."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from pipeline.read.plain import plain
from pipeline.read.source import Reading, Rough, Source, seconds
from pipeline.read.transcript import Problem

_TIME = r"(?:([0-9]{1,3}):)?([0-9]{1,3}):([0-9]{2})(?:[.,]([0-9]{1,3}))?"
_HABITS = {
    "bracketed": re.compile(rf"\s*[\[(]{_TIME}(?:\s*(?:-->|[-–—])\s*{_TIME})?[\])](.*)"),
    "alone": re.compile(rf"\s*{_TIME}\s*()$"),
    "inline": re.compile(rf"\s*{_TIME}(\s.*)"),
}
_HEADING = re.compile(r"\s{0,3}#{1,6}\s+\S")


@dataclass(slots=True)
class _Block:
    """A time, where its line is, and the lines of text that belong to it; `shown` is the time as written."""

    number: int
    shown: str
    start: float | None
    end: float | None
    texts: list[str] = field(default_factory=list)


def recognises(source: Source) -> bool:
    """Whether a line opens with a time."""
    return any(_habit(line) for line in source.lines)


def read(source: Source) -> Reading:
    """One line a time. Lines without a time belong to the time above them; a Markdown heading is no speech."""
    habits = _habits(source)
    problems: list[Problem] = []
    blocks: list[_Block] = []
    for number, line in enumerate(source.lines, 1):
        block = _opened(number, line, habits)
        if block:
            blocks.append(block)
            if block.start is None:
                problems.append(Problem("time.impossible", f"there is no time {block.shown}", line=number))
        elif _HEADING.match(line):
            problems.append(Problem("heading", f"a heading, left out of the speech: {line.strip()}", line=number))
        elif line.strip():
            if not blocks:
                blocks.append(_early(number, problems))
            blocks[-1].texts.append(line)
    return Reading(tuple(_rough(blocks)), tuple(problems))


def _rough(blocks: list[_Block]) -> Iterator[Rough]:
    for block in blocks:
        yield Rough(block.number, block.start, block.end, plain("\n".join(block.texts)))


def _early(number: int, problems: list[Problem]) -> _Block:
    problems.append(Problem("time.none-yet", "text before the first time; read as the first words", line=number))
    return _Block(number, "", None, None)


def _habit(line: str) -> str | None:
    return next((name for name, pattern in _HABITS.items() if pattern.match(line)), None)


def _habits(source: Source) -> tuple[str, ...]:
    """How this file writes its times. One habit rules, so that a time spoken at the start of a line stays text."""
    counts = Counter(habit for habit in map(_habit, source.lines) if habit)
    main = max(_HABITS, key=lambda name: counts[name])
    return ("alone", "inline") if main == "inline" else (main,)


def _opened(number: int, line: str, habits: tuple[str, ...]) -> _Block | None:
    for habit in habits:
        found = _HABITS[habit].match(line)
        if found:
            *times, text = found.groups()
            block = _Block(number, line[: found.start(len(times) + 1)].strip(), seconds(*times[:4]), None)
            if len(times) > 4 and times[6] is not None:
                block.end = seconds(*times[4:])
            if text.strip():
                block.texts.append(text)
            return block
    return None
