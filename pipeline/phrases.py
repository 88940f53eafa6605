"""Longest-match look-up of word sequences written in a small notation.

`a|b` one of several words, `a?` a word that may be missing, `<class>` any word of a class of `models/classes.csv`,
`*` any one word, `'s`, `'ll` and `'d` any word that ends so. A set of phrases is compiled into one tree of
dictionaries, so that the cost of a look-up does not grow with the number of phrases (spaCy's Matcher tries every
pattern at every token: three hundred patterns cost thirteen times the tokeniser).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

Payload = TypeVar("Payload")

ANY = "*"
ENDINGS = ("'s", "'ll", "'d")


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
        self.payloads: list[tuple[int, Payload]] = []


class Phrases(Generic[Payload]):
    """A compiled set of phrases. Look-ups take the words of a speech, lower case.

    A class is one step of the tree, whatever the number of its words: two in a row would else make thousands.
    """

    def __init__(
        self, entries: Iterable[tuple[str, Payload]], classes: Mapping[str, Sequence[str]] | None = None
    ) -> None:
        self._root: _Node[Payload] = _Node()
        self._classes: dict[str, tuple[str, ...]] = {}
        self._forms: set[str] = set()
        known: set[str] = set()
        for number, (phrase, payload) in enumerate(entries):
            for form in self._add(phrase.split(), number, payload) - known:
                known.add(form)
                for word in dict.fromkeys((classes or {})[form[1:-1]]):
                    self._classes[word] = (*self._classes.get(word, ()), form)
        first = self._root.next
        self._any = tuple(form for form in (ANY, *self._classes.get(ANY, ())) if form in self._forms)
        self._known_keys: dict[str, tuple[str, ...]] = {}
        self._endings = tuple(ending for ending in ENDINGS if ending in first)
        self._anything = any(form in first for form in self._any)
        self._first = {*first, *(word for word, held in self._classes.items() if any(form in first for form in held))}

    def _add(self, parts: list[str], number: int, payload: Payload) -> set[str]:
        """Add a phrase; the classes in it."""
        ends, classes = [self._root], set()
        for part in parts:
            optional = len(part) > 1 and part.endswith("?")
            forms = (part[:-1] if optional else part).split("|")
            self._forms.update(forms)
            classes |= {form for form in forms if form.startswith("<")}
            reached = [node.next.setdefault(form, _Node()) for node in ends for form in forms]
            ends = ends + reached if optional else reached
        for node in ends:
            if all(payload != other for _, other in node.payloads):
                node.payloads.append((number, payload))
        return classes

    def at(self, words: Sequence[str], start: int) -> list[Match[Payload]]:
        """All matches that begin at `start`, longest first; matches of one length in the order they were added."""
        return self._from(words, start) if start < len(words) and self._opens(words[start]) else []

    def _from(self, words: Sequence[str], start: int) -> list[Match[Payload]]:
        """The matches of `at` from a word that is known to open one."""
        found: list[tuple[int, int, Payload]] = []
        nodes = [self._root]
        place = start
        while nodes:
            for node in nodes:
                if node.payloads:
                    found.extend([(-place, number, payload) for number, payload in node.payloads])
            if place >= len(words):
                break
            keys = self._keys(words[place])
            nodes = [step for node in nodes if node.next for key in keys if (step := node.next.get(key)) is not None]
            place += 1
        if len(found) < 2:
            return [Match(start, -end, payload) for end, _, payload in found]
        found.sort(key=lambda one: one[:2])
        matches: list[Match[Payload]] = []
        for end, _, payload in found:
            match = Match(start, -end, payload)
            if match not in matches:
                matches.append(match)
        return matches

    def _keys(self, word: str) -> tuple[str, ...]:
        """The steps of the tree that a word may take."""
        keys = self._known_keys.get(word)
        if keys is None:
            own = (word,) if word in self._forms else ()
            ending = tuple(ending for ending in ENDINGS if ending in self._forms and word.endswith(ending))
            keys = self._known_keys[word] = (*own, *self._any, *self._classes.get(word, ()), *ending)
        return keys

    def longest(self, words: Sequence[str], start: int) -> Match[Payload] | None:
        """The longest match that begins at `start`, or None."""
        if not self._opens(words[start]):
            return None
        found = self._from(words, start)
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
            found = self._from(words, place)
            matches.extend(match for match in found if match.end == found[0].end)
        return matches

    def every(self, words: Sequence[str]) -> list[Match[Payload]]:
        """All matches from every position, the shorter ones too."""
        return [match for place in self._openings(words) for match in self._from(words, place)]

    def _openings(self, words: Sequence[str]) -> Iterable[int]:
        """The places at which a phrase may begin: few, so that most words cost one look-up."""
        if self._anything:
            return range(len(words))
        if self._endings:
            return [place for place, word in enumerate(words) if self._opens(word)]
        first = self._first
        return [place for place, word in enumerate(words) if word in first]

    def _opens(self, word: str) -> bool:
        return self._anything or word in self._first or word.endswith(self._endings)
