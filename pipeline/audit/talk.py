"""What was said around a setting: the words of the recording with the cues that stand in them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from pipeline.audit.tables import Tables
from pipeline.hear.speech import Speech, listen
from pipeline.phrases import Match
from pipeline.read.transcript import Line, Transcript
from pipeline.record import Episode, Evidence

_QUOTED = 7
_NEGATED = 5
_INSTANT = 0.001


@dataclass(frozen=True, slots=True)
class Span:
    """Words `start` to `end` (exclusive) of the recording."""

    start: int
    end: int

    def widened(self, before: int, after: int) -> Span:
        """The span with so many words more on either side."""
        return Span(max(0, self.start - before), self.end + after)


@dataclass(frozen=True)
class Talk:
    """The words of a recording; `whole` is False where only the words quoted in a record are at hand."""

    speech: Speech
    tables: Tables
    whole: bool

    @classmethod
    def of(cls, episode: Episode, transcript: Transcript | None, tables: Tables) -> Talk:
        """The words of the transcript, else the words that the record quotes as evidence."""
        if transcript is not None:
            return cls(listen(transcript), tables, True)
        source = episode.source
        return cls(listen(Transcript(source.file, source.sha256, source.format, _quoted(episode))), tables, False)

    @cached_property
    def _matches(self) -> dict[str, tuple[Match[str], ...]]:
        words = self.speech.words
        return {family: tuple(phrases.scan(words)) for family, phrases in self.tables.cues.items()}

    @cached_property
    def _sentence(self) -> tuple[int, ...]:
        numbers, number = [], 0
        for stop in self.speech.stop_after:
            numbers.append(number)
            number += stop
        return tuple(numbers)

    @cached_property
    def _spoken(self) -> dict[int, Span]:
        """The words of each line that has any."""
        found: dict[int, Span] = {}
        for word, line in enumerate(self.speech.line):
            found[line] = Span(found[line].start if line in found else word, word + 1)
        return found

    def place(self, evidence: Evidence) -> Span:
        """Where the words of `evidence` stand; all words of its lines where they are not found."""
        inside = self.between(evidence.start, evidence.end)
        wanted = listen(Transcript("", "", "", (Line(1, 0, 0, evidence.words),))).words
        for start in range(inside.start, inside.end):
            if self.speech.words[start : start + len(wanted)] == wanted:
                return Span(start, start + max(1, len(wanted)))
        return inside

    def between(self, start: float, end: float) -> Span:
        """The words of the lines that run at any time from `start` to `end` seconds."""
        lines = self.speech.transcript.lines
        inside = [
            span
            for line, span in self._spoken.items()
            if lines[line].start < max(end, start + _INSTANT)
            and max(lines[line].end, lines[line].start + _INSTANT) > start
        ]
        if not inside:
            return Span(0, 0)
        return Span(min(span.start for span in inside), max(span.end for span in inside))

    def near(self, span: Span, before: int, after: int) -> Span:
        """The words around `span`, not beyond a full stop where the speech has any."""
        if not self.speech.words or span.start >= len(self.speech):
            return Span(0, 0)
        wide = span.widened(before, after)
        last = min(span.end, len(self.speech)) - 1
        sentences = {self._sentence[span.start], self._sentence[max(span.start, last)]}
        inside = [n for n in range(wide.start, min(wide.end, len(self.speech))) if self._sentence[n] in sentences]
        return Span(inside[0], inside[-1] + 1) if inside else Span(span.start, span.start)

    def found(self, cue: str, span: Span) -> tuple[Match[str], ...]:
        """Matches within `span` of a cue `family.name`, or of a whole family, not negated or otherwise."""
        family, _, name = cue.partition(".")
        return tuple(
            match
            for match in self._matches.get(family, ())
            if match.start < span.end and match.end > span.start and (not name or match.payload == name)
        )

    def has(self, cue: str, span: Span) -> bool:
        """Whether a cue stands within `span`."""
        return bool(self.found(cue, span))

    def negated(self, match: Match[str]) -> bool:
        """Whether a word like don't, never or without stands just before the match."""
        return self.has("negate", self.near(Span(match.start, match.start + 1), _NEGATED, -1))

    def meant(self, cue: str, span: Span) -> tuple[Match[str], ...]:
        """Matches of a cue within `span` that are not negated."""
        return tuple(match for match in self.found(cue, span) if not self.negated(match))

    def quote(self, span: Span, rule: str) -> Evidence:
        """The words of `span` with some on either side, timed by the line in which the span begins."""
        if not self.speech.words:
            return Evidence(start=0, end=0, words="", rule=rule)
        wide = self.near(span, _QUOTED, _QUOTED)
        return self.speech.evidence(span.start, span.end, rule).model_copy(
            update={"words": self.speech.text(wide.start, wide.end)}
        )


def cues_in(text: str, tables: Tables, family: str) -> frozenset[str]:
    """Names of the cues of a family in a short text, such as a title or the name of a food."""
    words = listen(Transcript("", "", "", (Line(1, 0, 0, text.replace("-", " ")),))).words
    return frozenset(match.payload for match in tables.cues[family].everywhere(words))


def _quoted(episode: Episode) -> tuple[Line, ...]:
    """Lines made of the evidence of steps, and of settings and foods that stand in no step."""
    parts: dict[tuple[float, float, str], None] = {}
    for recipe in episode.recipes:
        for step in recipe.method:
            parts |= dict.fromkeys((said.start, said.end, said.words) for said in step.evidence)
        others = [heat.evidence for heat in recipe.temperatures]
        others += [time.evidence for time in recipe.times]
        others += [line.evidence for line in recipe.ingredients]
        parts |= dict.fromkeys(_outside([said for evidence in others for said in evidence], list(parts)))
    return tuple(Line(n, start, end, words) for n, (start, end, words) in enumerate(sorted(parts), 1))


def _outside(evidence: Iterable[Evidence], steps: list[tuple[float, float, str]]) -> Iterable[tuple[float, float, str]]:
    for said in evidence:
        if not any(start <= said.start <= end and said.words in words for start, end, words in steps):
            yield said.start, said.end, said.words
