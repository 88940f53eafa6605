"""Findings -> a correction track in WebVTT, for an editor to lay over the recording."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from textwrap import wrap

from pipeline.audit.report import Audit, AuditFinding

SHOWN_SECONDS = 6.0
_ROW = 42


def captions(audit: Audit) -> str:
    """WebVTT: one cue at each moment with a finding, in order of the recording, the caution in a comment before them.

    Form by the WebVTT standard: header, blank line, cues with a unique identifier, an end after the start, starts
    that never go back, no `-->` and no blank line within the text.
    """
    blocks = ["WEBVTT", _comment(audit)]
    ordered = sorted(audit.findings, key=lambda finding: finding.at)
    for number, (start, group) in enumerate(groupby(ordered, key=lambda finding: _millis(finding.at)), 1):
        blocks.append(_cue(number, start, tuple(group)))
    return "\n\n".join(blocks) + "\n"


def _comment(audit: Audit) -> str:
    lines = [f"Corrections to {audit.file}. Read each one before it is shown.", audit.caution]
    return "NOTE\n" + "\n".join(_plain(line) for line in lines)


def _cue(number: int, start: int, findings: Iterable[AuditFinding]) -> str:
    texts = dict.fromkeys(finding.caption for finding in findings)
    rows = [row for text in texts for row in _rows(text)]
    times = f"{stamp(start)} --> {stamp(start + int(SHOWN_SECONDS * 1000))}"
    return "\n".join([f"correction-{number}", times, *rows])


def _rows(text: str) -> Iterator[str]:
    for row in wrap(" ".join(text.split()), _ROW):
        yield _plain(row)


def _plain(text: str) -> str:
    """Text without anything that WebVTT would read as markup, an arrow or the end of a cue."""
    return " ".join(text.split()).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _millis(seconds: float) -> int:
    return round(seconds * 1000)


def stamp(millis: int) -> str:
    """`00:04:36.500`, milliseconds from the start of the recording."""
    seconds, rest = divmod(millis, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}.{rest:03d}"
