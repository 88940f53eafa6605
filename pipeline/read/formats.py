"""The formats, in the order in which they are tried, and the whole way from bytes to a transcript."""

from __future__ import annotations

import hashlib

from pipeline.errors import TranscriptError
from pipeline.read import cues, recogniser, stamped, substation
from pipeline.read.repair import repair
from pipeline.read.source import EXPECTED, Format, decode
from pipeline.read.transcript import Transcript

FORMATS = (
    Format("webvtt", cues.recognises_webvtt, cues.read_webvtt),
    Format("substation", substation.recognises, substation.read),
    Format("subrip", cues.recognises_subrip, cues.read_subrip),
    Format("stamped", stamped.recognises, stamped.read, has_ends=False),
    Format("recogniser", recogniser.recognises, recogniser.read),
)


def read_content(raw: bytes, name: str) -> Transcript:
    """The transcript in `raw`, its format known by its content; raises TranscriptError where it is none."""
    source = decode(raw, name)
    form = next((form for form in FORMATS if form.recognises(source)), None)
    if form is None:
        raise TranscriptError(f"no times found; {EXPECTED}", file=name)
    lines, problems = repair(form.read(source), has_ends=form.has_ends)
    if not lines:
        raise TranscriptError(f"no line of speech found; {EXPECTED}", file=name)
    return Transcript(name, hashlib.sha256(raw).hexdigest(), form.name, lines, source.problems + problems)
