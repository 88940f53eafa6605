"""What an explanation is made from: everything heard, the lines made of it, and the record that came out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from pipeline.compose.amounts import AmountResolver
from pipeline.compose.line_draft import LineDraft
from pipeline.compose.lines import Lines
from pipeline.draft import Drafted
from pipeline.errors import clock
from pipeline.hear.hearing import Hearing
from pipeline.record import Episode, Evidence
from pipeline.split.outline import Outline


@dataclass(frozen=True, slots=True)
class Reading:
    """Words that a rule read as something. `start` in seconds; `kind` is what sort of thing: food, not a food, amount,
    weight, time, temperature, claim, servings, cue or step."""

    start: float
    words: str
    kind: str
    read_as: str
    rule: str
    became: str


@dataclass(frozen=True)
class Traced:
    """All stages of one transcript, and the words `first` to `end` (exclusive) that are to be explained."""

    made: Drafted
    first: int
    end: int

    @property
    def hearing(self) -> Hearing:
        """The mentions, as they were judged in the end."""
        return self.made.hearing

    @property
    def outline(self) -> Outline:
        """The dishes."""
        return self.made.outline

    @property
    def lines(self) -> Lines:
        """The lines, and what was left out."""
        return self.made.lines

    @property
    def amounts(self) -> AmountResolver:
        """What settles the amount of a line."""
        return self.made.amounts

    @property
    def episode(self) -> Episode:
        """The record."""
        return self.made.episode

    @cached_property
    def owners(self) -> dict[int, tuple[LineDraft, ...]]:
        """The lines made of each food that was heard, by its place among the foods."""
        found: dict[int, tuple[LineDraft, ...]] = {}
        for line in self.lines.lines:
            for mention in line.mentions:
                found[mention] = (*found.get(mention, ()), line)
        return found

    def within(self, start: int, end: int) -> bool:
        """Whether words `start` to `end` touch the words to be explained."""
        return start < self.end and end > self.first

    def evidence(self, start: int, end: int, rule: str) -> Evidence:
        """The words with their times and the rule."""
        return self.hearing.speech.evidence(start, end, rule)

    def reading(self, start: int, end: int, rule: str, *, kind: str, read_as: str, became: str) -> Reading:
        """A reading of words `start` to `end`."""
        said = self.evidence(start, end, rule)
        return Reading(said.start, said.words, kind, read_as, rule, became)

    def dish(self, number: int) -> str:
        """The title of a dish."""
        return self.episode.recipes[number].title

    def place(self, line: LineDraft) -> str:
        """The dish of a line, and the component where the dish has several."""
        recipe = self.episode.recipes[line.dish]
        part = line.part or self.outline.dishes[line.dish].head
        return f"{recipe.title}, {part}" if recipe.components else recipe.title

    def told_at(self, word: int) -> str:
        """When a word is said, as `m:ss`."""
        return clock(self.hearing.speech.line_at(word).start)

    def cue(self, word: int, rule: str = "") -> str:
        """The cues over a word, or those of one rule; empty where there are none."""
        over = [scope for scope in self.hearing.over[word] if scope.rule == rule or not rule]
        words = [f"“{self.hearing.speech.text(scope.cue_start, scope.cue_end)}”" for scope in over]
        return ", ".join(dict.fromkeys(words))
