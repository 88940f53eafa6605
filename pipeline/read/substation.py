"""SubStation Alpha, both versions, through pysubs2.

pysubs2 keeps no line numbers, ignores the order of fields a file declares, and gives up a whole file for one time it
cannot read; so each line is checked here first, and handed on in the order that pysubs2 expects.
"""

from __future__ import annotations

import re

from pipeline.read.captions import Cue, captions
from pipeline.read.source import Reading, Source, seconds
from pipeline.read.transcript import Problem

_SECTION = re.compile(r"\s*\[(?:Script Info|V4\+? Styles|Events)\]\s*", re.IGNORECASE)
_TIME = re.compile(r"\s*([0-9]{1,2}):([0-9]{1,2}):([0-9]{1,2})[.,]([0-9]{1,3})\s*")
_FIELD_COLUMNS = ("layer", "start", "end", "style", "name", "marginl", "marginr", "marginv", "effect", "text")
_DRAWING = re.compile(r"\{[^{}]*\\p[1-9]")
_EVENTS = "[Script Info]\nScriptType: v4.00+\n\n[Events]\n"


def recognises(source: Source) -> bool:
    """Whether a line is the heading of a SubStation section."""
    return any(_SECTION.fullmatch(line) for line in source.lines)


def read(source: Source) -> Reading:
    """The lines of dialogue by their start; comments, drawings and styling are left out."""
    fields: tuple[str, ...] = _FIELD_COLUMNS
    numbers: list[int] = []
    events: list[str] = []
    problems: list[Problem] = []
    for number, line in enumerate(source.lines, 1):
        kind, _, rest = line.partition(":")
        if kind.strip() == "Format" and "text" in rest.lower():
            fields = tuple(name.strip().lower() for name in rest.split(","))
        elif kind.strip() == "Dialogue":
            values = dict(zip(fields, rest.lstrip().split(",", len(fields) - 1), strict=False))
            if _whole(values) and _DRAWING.search(values["text"]):
                continue
            if _whole(values):
                numbers.append(number)
                events.append(_event(values))
            else:
                said = f"a line of dialogue that cannot be read, left out: {rest.strip()}"
                problems.append(Problem("dialogue.unread", said, line=number))
    return Reading(captions(_cues(numbers, events)), tuple(problems))


def _whole(values: dict[str, str]) -> bool:
    times = [_TIME.fullmatch(values.get(name, "")) for name in ("start", "end")]
    readable = [time is not None and seconds(*time.groups()) is not None for time in times]
    return all(readable) and "text" in values


def _event(values: dict[str, str]) -> str:
    """The line of dialogue in the order of `_FIELD_COLUMNS`.

    A brace that is never closed becomes a character reference: it is text, and costs pysubs2 a search to the end.
    """
    name = values.get("name", "").strip()
    head, close, tail = values["text"].rpartition("}")
    text = head + close + tail.replace("{", "&#123;")
    return f"Dialogue: 0,{values['start'].strip()},{values['end'].strip()},Default,{name},0,0,0,,{text}"


def _cues(numbers: list[int], events: list[str]) -> list[Cue]:
    import pysubs2

    parsed = pysubs2.SSAFile.from_string(_EVENTS + "\n".join(events), format_="ass")
    cues = [
        Cue(number, event.start / 1000, event.end / 1000, tuple(event.plaintext.split("\n")), event.name or None)
        for number, event in zip(numbers, parsed, strict=True)
    ]
    return sorted(cues, key=lambda cue: (cue.start or 0.0, cue.number))
