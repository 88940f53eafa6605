"""What an audit hands on: every stated setting, every finding, and the caution that goes with them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from pipeline.audit.tables import Level
from pipeline.record import Evidence

LEVELS: tuple[Level, ...] = ("stop", "caution", "note")


@dataclass(frozen=True, slots=True)
class AuditFinding:
    """One fault or gap: what it is, what an editor can do, and a caption for viewers. `dish` is the recipe's title."""

    rule: str
    level: Level
    text: str
    action: str
    caption: str
    dish: str
    evidence: tuple[Evidence, ...]
    sources: tuple[str, ...]

    @property
    def at(self) -> float:
        """Seconds of the last words it is about: the moment at which it can be noticed."""
        return max((said.start for said in self.evidence), default=0.0)

    @property
    def end(self) -> float:
        """Seconds at which those words end."""
        return max((said.end for said in self.evidence), default=0.0)


@dataclass(frozen=True, slots=True)
class Setting:
    """One stated temperature or time: `about` is oven, oil, internal, fridge, the method of a time, or another kind;
    `figure` is as said, `also` the other unit and the gas mark; `findings` index into the findings of the audit."""

    at: float
    end: float
    words: str
    about: str
    figure: str
    also: str
    dish: str
    foods: tuple[str, ...]
    step: int | None
    findings: tuple[int, ...]
    remark: str


@dataclass(frozen=True, slots=True)
class ReasonSaid:
    """Why a figure may differ in another kitchen, and the times at which the recording speaks of it."""

    id: str
    text: str
    said: tuple[Evidence, ...]


@dataclass(frozen=True, slots=True)
class Audit:
    """The audit of one recording. `heard` is False where only a record was at hand, and no transcript."""

    file: str
    heard: bool
    settings: tuple[Setting, ...]
    findings: tuple[AuditFinding, ...]
    reasons: tuple[ReasonSaid, ...]
    caution: str

    def counts(self) -> Mapping[Level, int]:
        """Number of findings by level."""
        counted = Counter(finding.level for finding in self.findings)
        return {level: counted[level] for level in LEVELS}
