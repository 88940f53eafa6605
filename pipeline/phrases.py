"""Longest-match look-up of word sequences written in a small notation.

`a|b` one of several words, `a?` a word that may be missing, `<class>` any word of a class of `models/classes.csv`,
`*` any one word. A set of phrases is compiled into one tree of dictionaries, so that the cost of a look-up does not
grow with the number of phrases (spaCy's Matcher tries every pattern at every token: three hundred patterns cost
thirteen times the tokeniser).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

Payload = TypeVar("Payload")

ANY = "*"


@dataclass(frozen=True, slots=True)
class Match(Generic[Payload]):
    """Words `start` to `end` (exclusive) matched a phrase that carries `payload`."""

    start: int
    end: int
    payload: Payload


class _Node(Generic[Payload]):
    __slots__ = ("next", "payloads")

    def __init__(self) -> None:
        self.next: dict[str, _Node[Payload]] = {}
        self.payloads: list[Payload] = []


class Phrases(Generic[Payload]):
    """A compiled set of phrases. Look-ups take the words of a speech, lower case."""

    def __init__(
        self, entries: Iterable[tuple[str, Payload]], classes: Mapping[str, Sequence[str]] | None = None
    ) -> None:
        self._root: _Node[Payload] = _Node()
        for phrase, payload in entries:
            self._add(phrase.split(), payload, classes or {})

    def _add(self, parts: list[str], payload: Payload, classes: Mapping[str, Sequence[str]]) -> None:
        ends = [self._root]
        for part in parts:
            optional = len(part) > 1 and part.endswith("?")
            forms = _forms(part[:-1] if optional else part, classes)
            reached = [node.next.setdefault(form, _Node()) for node in ends for form in forms]
            ends = ends + reached if optional else reached
        for node in ends:
            if payload not in node.payloads:
                node.payloads.append(payload)

    def at(self, words: Sequence[str], start: int) -> list[Match[Payload]]:
        """All matches that begin at `start`, longest first; matches of one length in the order they were added."""
        found: list[Match[Payload]] = []
        nodes = [self._root]
        place = start
        while nodes:
            found.extend([Match(start, place, payload) for node in nodes for payload in node.payloads])
            if place >= len(words):
                break
            keys = (words[place], ANY)
            nodes = [step for node in nodes for key in keys if (step := node.next.get(key)) is not None]
            place += 1
        found.sort(key=lambda match: -match.end)
        return found

    def longest(self, words: Sequence[str], start: int) -> Match[Payload] | None:
        """The longest match that begins at `start`, or None."""
        found = self.at(words, start) if words[start] in self._root.next or ANY in self._root.next else None
        return found[0] if found else None

    def scan(self, words: Sequence[str]) -> list[Match[Payload]]:
        """Longest matches from left to right, none overlapping another."""
        matches: list[Match[Payload]] = []
        done = 0
        for place in self._openings(words):
            if place >= done and (match := self.longest(words, place)):
                matches.append(match)
                done = match.end
        return matches

    def everywhere(self, words: Sequence[str]) -> list[Match[Payload]]:
        """The longest matches from every position, overlapping ones included, in order of their start."""
        matches: list[Match[Payload]] = []
        for place in self._openings(words):
            found = self.at(words, place)
            matches.extend(match for match in found if match.end == found[0].end)
        return matches

    def _openings(self, words: Sequence[str]) -> Iterable[int]:
        """The places at which a phrase may begin: few, so that most words cost one look-up."""
        first = self._root.next
        return range(len(words)) if ANY in first else [place for place, word in enumerate(words) if word in first]


def _forms(part: str, classes: Mapping[str, Sequence[str]]) -> list[str]:
    forms: list[str] = []
    for form in part.split("|"):
        forms.extend(classes[form[1:-1]] if form.startswith("<") else [form])
    return forms
