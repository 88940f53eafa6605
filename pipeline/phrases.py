"""Longest-match look-up of word sequences written in a small notation.

`a|b` one of several words, `a?` a word that may be missing, `<class>` any word of a class of `models/classes.csv`,
`*` any one word, `'s`, `'ll` and `'d` any word that ends so. A set of phrases is compiled into one net of
dictionaries, so that the cost of a look-up does not grow with the number of phrases (spaCy's Matcher tries every
pattern at every token: three hundred patterns cost thirteen times the tokeniser).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence, Set
from operator import itemgetter
from typing import Generic, NamedTuple, TypeVar

Payload = TypeVar("Payload")

ANY = "*"
ENDINGS = ("'s", "'ll", "'d")
_START = itemgetter(0)
Places = Mapping[str, Sequence[int]]


class Match(NamedTuple, Generic[Payload]):
    """Words `start` to `end` (exclusive) matched a phrase that carries `payload`."""

    start: int
    end: int
    payload: Payload


def places_of(words: Sequence[str], some: Set[str]) -> Places:
    """Some words of a speech with the places where each stands, in order."""
    places: dict[str, list[int]] = {}
    for place, word in enumerate(words):
        if word in some:
            places.setdefault(word, []).append(place)
    return places


class _Node(Generic[Payload]):
    """A place in the phrases that begin alike. All words of `a|b` lead from one place to one other."""

    __slots__ = ("next", "payloads")

    def __init__(self) -> None:
        self.next: dict[str, list[_Node[Payload]]] = {}
        self.payloads: list[tuple[int, Payload]] = []


class _Reached(dict[tuple[str, ...], "_Reached[Payload] | None"], Generic[Payload]):
    """All nodes that the words so far lead to, with the payloads of the phrases that end there, in the order they were
    added; and by the steps that the next word may take what that leads to, None where to nothing.

    What follows is worked out when it is first asked for, and kept: most words are met again.
    """

    __slots__ = ("_nodes", "ends")

    def __init__(self, nodes: Sequence[_Node[Payload]]) -> None:
        super().__init__()
        self._nodes = nodes
        self.ends: list[Payload] = []
        for _, payload in sorted((one for node in nodes for one in node.payloads), key=lambda one: one[0]):
            if payload not in self.ends:
                self.ends.append(payload)

    def __missing__(self, keys: tuple[str, ...]) -> _Reached[Payload] | None:
        nodes = dict.fromkeys(after for node in self._nodes for key in keys for after in node.next.get(key, ()))
        reached = self[keys] = _Reached(tuple(nodes)) if nodes else None
        return reached


class Phrases(Generic[Payload]):
    """A compiled set of phrases. Look-ups take the words of a speech, lower case; those of a whole speech also the
    places of its words, where these are known, in whatever order.

    A class is one step of the net, whatever the number of its words: two in a row would else make thousands.
    """

    def __init__(
        self, entries: Iterable[tuple[str, Payload]], classes: Mapping[str, Sequence[str]] | None = None
    ) -> None:
        self._root: _Node[Payload] = _Node()
        self._forms: set[str] = set()
        held: dict[str, tuple[str, ...]] = {}
        known: set[str] = set()
        built: dict[tuple[str, ...], _Node[Payload]] = {}
        for number, (phrase, payload) in enumerate(entries):
            for form in self._add(phrase.split(), number, payload, built) - known:
                known.add(form)
                for word in dict.fromkeys((classes or {})[form[1:-1]]):
                    held[word] = (*held.get(word, ()), form)
        self._any = tuple(form for form in (ANY, *held.get(ANY, ())) if form in self._forms)
        self._endings = tuple(ending for ending in ENDINGS if ending in self._forms)
        self._keys = {
            word: (*((word,) if word in self._forms else ()), *held.get(word, ()), *self._others(word))
            for word in self._forms.union(held)
        }
        self._start = _Reached([self._root])
        first = self._root.next.keys()
        self._first = frozenset(word for word, keys in self._keys.items() if not first.isdisjoint(keys))
        self._first_endings = tuple(ending for ending in self._endings if ending in first)
        self._anything = not first.isdisjoint(self._any)
        self._closed = not self._anything and not self._first_endings
        self._opened: dict[str, _Reached[Payload]] = {}

    def _add(
        self, parts: list[str], number: int, payload: Payload, built: dict[tuple[str, ...], _Node[Payload]]
    ) -> set[str]:
        """Add a phrase; the classes in it that no phrase of that beginning had. `built` are the nodes by what leads to
        them."""
        ends, classes = [self._root], set()
        for length, part in enumerate(parts, 1):
            optional = len(part) > 1 and part.endswith("?")
            opening = tuple(parts[:length])
            if opening not in built:
                forms = (part[:-1] if optional else part).split("|")
                built[opening] = self._link(ends, forms)
                classes |= {form for form in forms if form.startswith("<")}
            ends = [*ends, built[opening]] if optional else [built[opening]]
        for node in ends:
            node.payloads.append((number, payload))
        return classes

    def _link(self, nodes: Sequence[_Node[Payload]], forms: Sequence[str]) -> _Node[Payload]:
        """A new node, to which each of some forms leads from each of `nodes`."""
        self._forms.update(forms)
        new: _Node[Payload] = _Node()
        for node in nodes:
            for form in forms:
                node.next.setdefault(form, []).append(new)
        return new

    def _others(self, word: str) -> tuple[str, ...]:
        """The steps of the net that a word may take that stands in no phrase and no class."""
        if self._endings and "'" in word and word.endswith(self._endings):
            return (*self._any, *(ending for ending in self._endings if word.endswith(ending)))
        return self._any

    def at(self, words: Sequence[str], start: int) -> list[Match[Payload]]:
        """All matches that begin at `start`, longest first; matches of one length in the order they were added."""
        if start >= len(words) or (reached := self._after(words[start])) is None:
            return []
        found = self._ends(words, start, reached)
        return [Match(start, end, payload) for end, ends in reversed(found) for payload in ends]

    def _ends(self, words: Sequence[str], start: int, reached: _Reached[Payload]) -> list[tuple[int, list[Payload]]]:
        """Where phrases end that begin at `start`, the shortest first, with their payloads; `reached` is what the word
        at `start` leads to."""
        found = [(start + 1, reached.ends)] if reached.ends else []
        known, unknown = self._keys, self._any
        for place in range(start + 1, len(words)):
            keys = known.get(words[place], unknown)
            if keys is unknown and self._endings and "'" in words[place]:
                keys = self._others(words[place])
            following = reached[keys]
            if following is None:
                break
            reached = following
            if reached.ends:
                found.append((place + 1, reached.ends))
        return found

    def _after(self, word: str) -> _Reached[Payload] | None:
        """What the first word of a phrase leads to; for the words of the phrases themselves it is kept."""
        opened = self._opened.get(word)
        if opened is not None or (self._closed and word not in self._first):
            return opened
        keys = self._keys.get(word)
        if keys is None:
            return self._start[self._others(word)]
        reached = self._start[keys]
        if reached is not None:
            self._opened[word] = reached
        return reached

    def longest(self, words: Sequence[str], start: int) -> Match[Payload] | None:
        """The longest match that begins at `start`, or None."""
        reached = self._after(words[start])
        if reached is None or not (found := self._ends(words, start, reached)):
            return None
        end, ends = found[-1]
        return Match(start, end, ends[0])

    def scan(self, words: Sequence[str], places: Places | None = None) -> list[Match[Payload]]:
        """Longest matches from left to right, none overlapping another."""
        matches: list[Match[Payload]] = []
        done = 0
        for match in self.everywhere(words, places):
            if match.start >= done:
                matches.append(match)
                done = match.end
        return matches

    def everywhere(self, words: Sequence[str], places: Places | None = None) -> list[Match[Payload]]:
        """The longest matches from every position, overlapping ones included, in order of their start."""
        matches: list[Match[Payload]] = []
        for start, found in self._found(words, places):
            end, ends = found[-1]
            matches.extend([Match(start, end, payload) for payload in ends])
        matches.sort(key=_START)
        return matches

    def by_start(self, words: Sequence[str], places: Places | None = None) -> dict[int, Match[Payload]]:
        """By their first words the longest matches from every position."""
        found = self._found(words, places)
        return {start: Match(start, ends[-1][0], ends[-1][1][0]) for start, ends in found}

    def every(self, words: Sequence[str], places: Places | None = None) -> list[Match[Payload]]:
        """All matches from every position, the shorter ones too."""
        matches = [
            Match(start, end, payload)
            for start, found in self._found(words, places)
            for end, ends in reversed(found)
            for payload in ends
        ]
        matches.sort(key=_START)
        return matches

    def _found(
        self, words: Sequence[str], places: Places | None
    ) -> Iterator[tuple[int, list[tuple[int, list[Payload]]]]]:
        """Where phrases begin, and where they end as `_ends` tells. All places of one word come together, so that each
        different word is looked up once."""
        openers = self.openers(set(words) if places is None else places)
        where = places_of(words, openers) if places is None else places
        for word in openers:
            if (reached := self._after(word)) is None:
                continue
            for start in where[word] if reached.ends else self._led_on(words, where[word], reached):
                if found := self._ends(words, start, reached):
                    yield start, found

    def _led_on(self, words: Sequence[str], starts: Sequence[int], reached: _Reached[Payload]) -> list[int]:
        """The places of a first word, which leads to `reached`, from which the second leads further: most phrases that
        may begin end there."""
        last, known, others, unknown = len(words) - 1, self._keys, self._others, self._any
        return [
            start
            for start in starts
            if start < last
            and reached[known.get(word := words[start + 1]) or (others(word) if "'" in word else unknown)] is not None
        ]

    def openers(self, words: Collection[str]) -> Set[str]:
        """Those of some different words with which a phrase may begin."""
        if self._anything:
            return set(words)
        first = self._first.intersection(words)
        if not self._first_endings:
            return first
        return first.union(word for word in words if word.endswith(self._first_endings))


class Names(Generic[Payload]):
    """A set of plain names, each of one word or more: made and looked up faster than phrases. Of two payloads for one
    name the first counts."""

    def __init__(self, entries: Iterable[tuple[str, Payload]]) -> None:
        self._named: dict[str, dict[tuple[str, ...], Payload]] = {}
        for name, payload in entries:
            words = tuple(name.split())
            self._named.setdefault(words[0], {}).setdefault(words, payload)
        self._longest = {first: max(map(len, names)) for first, names in self._named.items()}

    def longest(self, words: Sequence[str], start: int) -> Match[Payload] | None:
        """The longest name that begins at `start`, or None."""
        names = self._named.get(words[start])
        if names is None:
            return None
        for end in range(min(len(words), start + self._longest[words[start]]), start, -1):
            name = tuple(words[start:end])
            if name in names:
                return Match(start, end, names[name])
        return None

    def scan(self, words: Sequence[str], places: Places | None = None) -> list[Match[Payload]]:
        """The longest names from left to right, none overlapping another."""
        matches: list[Match[Payload]] = []
        known = places_of(words, self._named.keys()) if places is None else places
        done = 0
        for place in sorted([place for word in self._named.keys() & known.keys() for place in known[word]]):
            match = self.longest(words, place) if place >= done else None
            if match is not None:
                matches.append(match)
                done = match.end
        return matches
