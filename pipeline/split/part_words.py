"""Reads the words for components in a talk: how often each is spoken, whether the talk turns to it, and what is
measured into it then."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows
from pipeline.phrases import Match
from pipeline.split.calls import Caller
from pipeline.split.dishes import aside, stem
from pipeline.split.remembered import Remembered
from pipeline.split.titles import TitleReader

_MADE_WITHIN = 60
_BOUGHT_WITHIN = 8
_LONGEST_NAME = 3
_KINDS = frozenset({"part", "weak-part", "stage"})


@dataclass(frozen=True, slots=True)
class PartWord:
    """A noun for a component: its longest name, its kind, where it is spoken first, how often, how often the talk turns
    to it, how many foods are measured after such a turn, at most, and whether it was bought when the talk turned to it
    (a spoon of curry paste)."""

    noun: str
    name: str
    kind: str
    first: int
    count: int
    turns: int
    measured: int
    bought: bool


class PartWords:
    """Compiled words that tell the noun from the verb (`dip the chops`) and from what food it is."""

    def __init__(self, classes: Classes, titles: TitleReader, caller: Caller) -> None:
        self._objects = frozenset(classes["object-pronoun"]) | frozenset(classes["det"])
        self._pronouns = frozenset(classes["object-pronoun"])
        self._speakers = frozenset(classes["speaking-pronoun"]) | {"to"}
        self._being = frozenset(classes["being"])
        self._det = frozenset(classes["det"])
        self._toward = frozenset(classes["toward"])
        self._done = frozenset(classes["done-lead"])
        self._verbs = frozenset(row["form"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label")))
        self._figures = frozenset(row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind")))
        self._self_made = frozenset(classes["self-made-part"])
        self._becoming = frozenset(classes["becoming"])
        self._weighed = Remembered(_weighed_nouns)
        self._amounts = Remembered(
            lambda hearing: {item.quantity.start for item in hearing.measured if item.quantity.unit is not None}
        )
        self._titles = titles
        self._caller = caller

    def find(self, hearing: Hearing) -> list[PartWord]:
        """The words for components, in the order in which they are spoken first."""
        found: dict[str, PartWord] = {}
        for head, turn in self._apposed(hearing, list(self._spoken(hearing))):
            word = self._read(hearing, head, turn)
            before = found.get(word.noun, word)
            name = max(before.name, word.name, key=lambda item: len(item.split()))
            found[word.noun] = PartWord(
                word.noun,
                name,
                min(before.kind, word.kind),
                before.first,
                word.count + (before.count if before is not word else 0),
                word.turns + (before.turns if before is not word else 0),
                max(word.measured, before.measured),
                word.bought if not before.turns else before.bought,
            )
        return list(found.values())

    def turned_to(self, hearing: Hearing, place: int) -> bool:
        """Whether the talk turns to the component that is named at `place`; `what's the topping` asks for it."""
        words = hearing.speech.words
        lead = words[max(hearing.clauses.sentence(place)[0], place - 2) : place]
        if self._caller.turns(hearing, place):
            return self._done.isdisjoint(lead)
        return (self._toward | self._done).isdisjoint(lead) and self._caller.opens(hearing, place)

    def _apposed(self, hearing: Hearing, heads: Sequence[Match[str]]) -> Iterator[tuple[Match[str], int]]:
        """Each word with the place where the talk may turn to it; of `the topping the gremolata` only the second."""
        words, start = hearing.speech.words, -1
        for head, after in zip_longest(heads, heads[1:]):
            turn = head.start if start < 0 else start
            named_again = after is not None and after.start == head.end + 1 and words[head.end] in self._det
            start = turn if named_again else -1
            if not named_again:
                yield head, turn

    def _read(self, hearing: Hearing, head: Match[str], turn: int) -> PartWord:
        turned = self.turned_to(hearing, turn) and not self._thickens(hearing, head)
        measured = self._measured(hearing, head.end) if turned else 0
        noun = stem(hearing.speech.words[head.end - 1])
        bought = turned and self._weighed(hearing).get(noun, len(hearing.speech)) < head.end + _BOUGHT_WITHIN
        return PartWord(noun, self._name(hearing, head), head.payload, head.start, 1, int(turned), measured, bought)

    def _thickens(self, hearing: Hearing, head: Match[str]) -> bool:
        """`the gravy gets thick`: what it becomes by itself."""
        words = hearing.speech.words[head.end - 1 : head.end + 1]
        return stem(words[0]) in self._self_made and words[-1] in self._becoming

    def _spoken(self, hearing: Hearing) -> Iterator[Match[str]]:
        words = hearing.speech.words
        inside = {place for food in hearing.foods if food.end - food.start > 1 for place in range(food.start, food.end)}
        for head in self._titles.heads(hearing):
            if head.payload not in _KINDS or head.start in inside or aside(hearing, head.start):
                continue
            before = words[max(0, head.start - 1)]
            if before in self._speakers or (words[head.start].endswith("ing") and before in self._being):
                continue
            if not self._is_verb(hearing, head):
                yield head

    def _is_verb(self, hearing: Hearing, head: Match[str]) -> bool:
        """`dip the chops`, `blend it`: a verb and what it is done to; not `the glaze the ham wants`, nor `for
        tempering a tablespoon of oil`."""
        words = hearing.speech.words
        if head.end == len(words) or head.end - head.start > 1 or words[max(0, head.start - 1)] in self._det:
            return False
        following, word = words[head.end], words[head.start]
        if hearing.clauses.sentence(head.start) != hearing.clauses.sentence(head.end):
            return False
        if words[head.start - 1 : head.start] == ("for",) and head.end in self._amounts(hearing):
            return False
        if word in self._verbs and (following in self._objects or following in self._figures):
            return True
        return following in self._pronouns and word[-1] != "e"

    @staticmethod
    def _measured(hearing: Hearing, end: int) -> int:
        """How many foods are measured soon after word `end`."""
        near = (item for item in hearing.measured if 0 <= item.quantity.start - end <= _MADE_WITHIN)
        return len({item.food for item in near if not item.quantity.article})

    def _name(self, hearing: Hearing, head: Match[str]) -> str:
        words = hearing.speech.words
        item = self._titles.phrase_before(hearing, head)
        whole = item.start >= hearing.clauses.sentence(head.start)[0] and len(item.title.split()) <= _LONGEST_NAME
        return item.title if whole else " ".join(words[head.start : head.end])


def _weighed_nouns(hearing: Hearing) -> Mapping[str, int]:
    """The nouns of foods with an amount before them -> where each is first measured."""
    found: dict[str, int] = {}
    for item in hearing.measured:
        food = hearing.foods[item.food]
        noun = stem(food.name.split()[-1])
        if item.quantity.start < food.head:
            found[noun] = min(found.get(noun, item.quantity.start), item.quantity.start)
    return found
