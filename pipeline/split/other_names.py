"""Words that give a dish another name, or tell what it is: they bring in no other dish."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.split.candidates import Phrase
from pipeline.split.dishes import stem
from pipeline.split.titles import Announcement, TitleReader
from pipeline.split.ways import DishWays

_NAMED_BEFORE = 3
_SO = ("so",)
_IT_IS = ("it's",)
_TO_US = ("to", "you", "and", "me")
_BUT_IT_IS = ("but", "it's")
_CALLED_WITHIN = 12
_TOLD_WITHIN = 30
_DEFINED_WITHIN = 7
_DESCRIBED_BY = 3


class OtherNames:
    """Compiled words that rename and define."""

    def __init__(self, titles: TitleReader, classes: Classes, table: FoodTable) -> None:
        self._ways = DishWays(table)
        self._heads = titles.heads
        self._kinds = frozenset(classes["kind-of-dish"])
        self._lead = frozenset(classes["title-lead"])
        self._renaming = frozenset(classes["renaming"])
        self._definition = frozenset(classes["definition"])
        self._courses = frozenset(classes["course-told"])
        self._definite = frozenset(classes["own-article"])
        self._calling = frozenset(classes["calling"])
        self._it = frozenset(classes["object-pronoun"])
        self._sorts = frozenset(classes["sort-asked"])
        self._called = frozenset(classes["another-name"])

    def renamed(self, hearing: Hearing, phrase: Phrase, ends: Mapping[int, str]) -> int:
        """`stuffed peppers, that's gemista`, `which is beef and onions`, `pancit the skinny noodles`, `pie, what sort,
        beef`: where the name ends to which the phrase gives another, 0 where it does not; `ends` tells where names end
        and what kind of noun they have."""
        words, start = hearing.speech.words, phrase.item.start
        defined = self._defined(words, start, ends)
        if defined or self._explains(words, phrase, ends):
            return defined or start - 1
        if words[phrase.item.end : phrase.item.end + len(_TO_US)] == _TO_US:
            return max((end for end in ends if start - _CALLED_WITHIN <= end <= start), default=0)
        if words[max(0, start - 2) : start] == _BUT_IT_IS and phrase.noun.kind != "dish":
            near = (end for end, kind in ends.items() if start - _TOLD_WITHIN <= end < start and kind == "dish")
            return max(near, default=0)
        if words[start - 2 : start - 1] == ("what",) and words[start - 1] in self._sorts:
            return max((end for end in ends if start - _CALLED_WITHIN <= end < start), default=0)
        if words[start - 2 : start - 1] and words[start - 2] in self._calling and words[start - 1] in self._it:
            return max((end for end in ends if start - _CALLED_WITHIN <= end < start), default=0)
        if before := self._sentence_before(hearing, start, ends):
            return before
        first = start
        while first and words[first - 1] in self._renaming:
            first -= 1
        named = first in ends and not self._is_course(words, first)
        if named and words[first:start] == _SO and phrase.noun.kind in {"dish", "weak"}:
            ways = self._ways.of_words(words[max(0, first - _NAMED_BEFORE) : first])
            told = self._ways.of_words(words[phrase.noun.start : phrase.noun.end])
            return 0 if ways.keys().isdisjoint(told) else first
        defined_so = words[first:start] == _IT_IS and ends.get(first) == "dish"
        called = defined_so or not self._called.isdisjoint(words[first:start])
        return first if first < start and named and called else 0

    def _sentence_before(self, hearing: Hearing, start: int, ends: Mapping[int, str]) -> int:
        """`we're making rusks. little dry breads`: where the dish ends that the sentence before names last, else 0."""
        words = hearing.speech.words
        while start and words[start - 1] in self._lead:
            start -= 1
        return start if start and hearing.speech.stop_after[start - 1] and ends.get(start) == "dish" else 0

    def _defined(self, words: Sequence[str], start: int, ends: Mapping[int, str]) -> int:
        """`turon is the fried roll`, `which is a crispy little roll`: where `turon` ends, else 0; not `the bake, which
        is a tart`."""
        before = range(start - 1, max(0, start - _DEFINED_WITHIN), -1)
        verb = next((at for at in before if words[at] in self._definition), 0)
        told = verb - (words[verb - 1] == "which")
        if not verb or self._is_course(words, told):
            return 0
        if told < verb:
            return max((end for end in range(told - _NAMED_BEFORE, told + 1) if end in ends), default=0)
        near = verb >= start - 1 - (words[start - 1] in self._lead)
        return verb if near and verb in ends else 0

    def tells(self, hearing: Hearing, item: Announcement) -> bool:
        """Whether an announcement tells what the dish is that was named just before: `bobotie it's baked mince`."""
        words = hearing.speech.words
        end = item.start - 1
        named = any(head.end == end and head.payload == "dish" for head in self._heads(hearing))
        return words[end : item.start] == _IT_IS and named

    def _is_course(self, words: Sequence[str], end: int) -> bool:
        """Whether `the bake` ends there, of which the dish is told: it is no name of one."""
        return words[end - 1] in self._courses and words[max(0, end - 2)] in self._definite

    def _explains(self, words: Sequence[str], phrase: Phrase, ends: Mapping[int, str]) -> bool:
        """`tinola our chicken soup`, `blini the thin little pancakes`: a kind of dish, or one described, told right
        after the name of one."""
        before = range(phrase.item.start - 1, max(0, phrase.item.start - 1 - _DESCRIBED_BY), -1)
        article = next((at for at in before if words[at] in self._definite), 0)
        told = phrase.noun.kind == "dish" or (phrase.noun.kind == "weak" and " " in phrase.item.title)
        described = phrase.noun.kind == "dish" and article < phrase.item.start - 1
        kind = stem(phrase.item.head) in self._kinds
        return article > 0 and ends.get(article) == "dish" and told and (kind or described)
