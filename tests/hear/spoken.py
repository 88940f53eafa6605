"""Transcripts in a short notation, and cases from files of texts with their answers."""

import csv
from dataclasses import dataclass
from pathlib import Path

import pytest

from pipeline.read.transcript import Line, Transcript
from pipeline.split.dishes import stem

SECONDS = 4.0
SILENCE = 2.0
OPENING = "today we're making a casserole // so "
CLOSING = " // so chop one onion and add it to the pan"
# What makes a text as long as one whose opening it is; nothing is cooked in it.
TALK = " // and that is how my mother did it and she had it from hers and nobody wrote a word of it down" * 9


@dataclass(frozen=True)
class Case:
    """One line of a file: its kind, or the phrase it tries; what is said; what should be made of it; whether the
    program is known to miss it."""

    place: str
    kind: str
    text: str
    answer: str
    known_miss: bool


def transcript(said: str) -> Transcript:
    """Lines of four seconds parted by ` / `, by ` // ` with a silence of two seconds; `A: ` names the speaker."""
    lines: list[Line] = []
    start = 0.0
    for stretch in said.split(" // "):
        for text in stretch.split(" / "):
            speaker, _, words = text.partition(": ") if text[1:3] == ": " else (None, "", text)
            lines.append(Line(len(lines) + 1, start, start + SECONDS, words, speaker))
            start += SECONDS
        start += SILENCE
    return Transcript("invented.txt", "0" * 64, "plain", tuple(lines))


def cases(path: Path) -> list[Case]:
    """All lines of a file but the header."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader(file)
        return [
            Case(
                f"{path.name}:{rows.line_num}",
                row.get("kind") or row.get("phrase", ""),
                row["text"],
                row["answer"],
                row["known_miss"] == "yes",
            )
            for row in rows
        ]


def each(path: Path) -> pytest.MarkDecorator:
    """The test once a case, under the name of the file and the line."""
    return pytest.mark.parametrize("case", [pytest.param(case, id=case.place) for case in cases(path)])


def plain(answer: str, *, in_order: bool = False) -> str:
    """An answer with its words in the singular and, unless their order counts, its items sorted."""
    items = [" ".join(map(stem, item.split())) for item in answer.split(";") if item.strip()]
    return "; ".join(items if in_order else sorted(items))


def check(case: Case, *, right: bool, got: str) -> None:
    """A case must be read rightly, a known miss must still be missed: else its mark has to come off."""
    if case.known_miss:
        assert not right, f"{case.place} is read rightly now ({case.text!r}): take the mark known_miss off"
    else:
        assert right, f"{case.place}: {case.text!r}\nis   {got}\nnot  {case.answer}"
