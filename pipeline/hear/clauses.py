"""Where clauses and sentences begin in speech that has no full stops."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import compress, count, pairwise

from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.hear.speech import Speech, line_starts

# Captions are broken after so and so many letters, about eight words; longer lines are what was said in one go.
_UTTERANCE = 11
_LONG_LINE = 40
_CUT = 0.2


@dataclass(frozen=True, slots=True)
class Clauses:
    """For every word the number of its clause and of its sentence; both count from 0 and never fall."""

    clause_of: tuple[int, ...]
    sentence_of: tuple[int, ...]
    starts: tuple[int, ...]
    sentence_starts: tuple[int, ...]

    @property
    def sentences(self) -> tuple[tuple[int, int], ...]:
        """First word and end (exclusive) of all sentences in order."""
        return tuple(pairwise((*self.sentence_starts, len(self.clause_of))))

    def clause(self, word: int) -> tuple[int, int]:
        """First word and end (exclusive) of the clause that `word` stands in."""
        return _bounds(self.starts, self.clause_of[word], len(self.clause_of))

    def sentence(self, word: int) -> tuple[int, int]:
        """First word and end (exclusive) of the sentence that `word` stands in."""
        return _bounds(self.sentence_starts, self.sentence_of[word], len(self.clause_of))


def _bounds(starts: tuple[int, ...], number: int, length: int) -> tuple[int, int]:
    return starts[number], starts[number + 1] if number + 1 < len(starts) else length


class ClauseFinder:
    """Compiled discourse words."""

    def __init__(self, classes: Classes) -> None:
        self._openers = load_phrases("clauses.csv", ("id", "pattern", "strength"), classes)
        self._objects = frozenset(classes["clause-object"])
        numbers = {row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind"))}
        self._dangling = frozenset(classes["det"]) | frozenset(classes["preposition"]) | numbers | {"and"}
        verbs = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._governing = frozenset(classes["preposition"]).union(
            row["form"] for row in verbs if row["kind"] not in {"chat", "show"}
        )

    def find(self, speech: Speech) -> Clauses:
        """Cuts before discourse words, after full stops and pauses, and at a change of speaker."""
        words = speech.words
        weak: set[int] = {0}
        strong: set[int] = {0}
        lines = line_starts(speech)
        if len(words) >= _UTTERANCE * len(set(speech.line)) and not self._are_cut(words, lines):
            strong.update(lines)
        for first, breaks in ((1, speech.stop_after[:-1]), (0, speech.turn_before), (0, speech.pause_before)):
            strong.update(compress(count(first), breaks))
        weak.update(
            place for place in speech.where({"and"}) if words[place + 1 : place + 2] and words[place + 1][0].isdigit()
        )
        matches = self._openers.everywhere(words, speech.places)
        kept = {
            place for match in matches if match.payload["strength"] == "none" for place in range(match.start, match.end)
        }
        for match in matches:
            if match.start in kept or self._is_object(words, match.start):
                continue
            (strong if match.payload["strength"] == "strong" else weak).add(match.start)
        weak |= strong
        return Clauses(
            clause_of=_number(len(words), weak),
            sentence_of=_number(len(words), strong),
            starts=tuple(sorted(weak)) if words else (),
            sentence_starts=tuple(sorted(strong)) if words else (),
        )

    def _are_cut(self, words: Sequence[str], lines: Collection[int]) -> bool:
        """Whether lines end anywhere: many after `the`, `of` or a number."""
        dangling = sum(words[start - 1] in self._dangling for start in lines)
        return len(words) < _LONG_LINE * (len(lines) + 1) and dangling > _CUT * len(lines)

    def _is_object(self, words: tuple[str, ...], place: int) -> bool:
        """`sprinkle these`, `some of that`: a pronoun that belongs to the verb or preposition before it."""
        return place > 0 and words[place] in self._objects and words[place - 1] in self._governing


def _number(length: int, starts: set[int]) -> tuple[int, ...]:
    numbers: list[int] = []
    for number, (start, end) in enumerate(pairwise([*sorted(starts), length])):
        numbers.extend([number] * (end - start))
    return tuple(numbers)
