"""Stillroom: from the transcript of a renal-cookery programme to written recipes with their renal load.

The stages, in the order the data flows. A stage imports only what stands above it.

    errors     faults with file, line and time          -> StillroomError and its kinds
    resources  names of rule files and tables           -> paths and rows
    phrases    word sequences in a small notation        -> matches in running words
    files      text, path                               -> a file written whole
    record     the contract between stages              -> Episode and its parts
    written    amounts, times                           -> words of a written recipe
    read       bytes of a transcript                    -> Transcript
    foods      spoken name                              -> row of the food table
    hear       Transcript                               -> mentions
    split      mentions                                 -> dishes and components
    compose    mentions of a dish                       -> ingredient lines, written method
    measure    amounts                                  -> grams
    load       grams                                    -> nutrients per recipe and serving
    review     Recipe                                   -> findings and questions
    audit      Recipe                                   -> stated settings and times, checked
    version    nothing                                  -> the version of the rules, the caution
    draft      Transcript                               -> Episode
    explain    Transcript, a moment of it               -> what was read there, what became of it
    publish    Episode                                  -> Markdown, text, HTML
    shelf      Episodes                                 -> the back-catalogue
    cli        command line                             -> files and messages

The functions below are the short way in from Python; each imports what it needs when it is called.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pipeline.read.transcript import Transcript
    from pipeline.record import Episode

__all__ = ["draft_episode", "read_bytes", "read_file"]


def read_file(path: Path) -> Transcript:
    """The transcript in the file `path`; raises TranscriptError where it is none."""
    from pipeline.read import read_file as read

    return read(path)


def read_bytes(content: bytes, *, file: str) -> Transcript:
    """The transcript in `content`; `file` is the name it goes by. Raises TranscriptError where it is none."""
    from pipeline.read import read_bytes as read

    return read(content, file)


def draft_episode(transcript: Transcript, *, measures: str | None = None) -> Episode:
    """The record of `transcript`. `measures` is us, british or metric: whose cup and pint is meant, if known."""
    from pipeline.draft import draft

    return draft(transcript, measures=measures)
