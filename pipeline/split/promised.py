"""Finds the dishes that are promised by number and named by words that no list knows: `three things, the bulgogi, a
cucumber muchim and the rolled egg`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows
from pipeline.split.dishes import aside, stem
from pipeline.split.titles import Announcement, TitleReader

_LISTED_WITHIN = 45
_LONGEST = 3
_OFTEN = 2


class PromisedReader:
    """Compiled words that join the dishes of a list and that begin and end their names."""

    def __init__(self, titles: TitleReader, classes: Classes) -> None:
        self._titles = titles
        self._articles = frozenset(classes["title-article"]) | frozenset(classes["own-article"])
        self._joining = frozenset(classes["menu-joining"])
        self._not_named = frozenset(classes["title-stop"]) | frozenset(classes["title-lead"]) | self._joining
        forms = (row["form"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label")))
        self._not_named |= {form for form in forms if not form.endswith("ed")}
        self._not_named |= frozenset(row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind")))

    def find(
        self, hearing: Hearing, start: int, taken: Sequence[tuple[int, int]], missing: int
    ) -> tuple[Announcement, ...]:
        """At most `missing` things that the list after word `start` names beside those that are `taken`."""
        found = [item for item in self._listed(hearing, start) if not _touches(item, taken)]
        return tuple(found[:missing])

    def _listed(self, hearing: Hearing, start: int) -> Iterator[Announcement]:
        """What follows a joining word and an article, ends in a noun that is spoken of again, and is short."""
        words = hearing.speech.words
        for place in range(start + 1, min(len(words) - 1, start + _LISTED_WITHIN)):
            if words[place] not in self._articles or words[place - 1] not in self._joining:
                continue
            first = place + 1
            end = min(self._titles.phrase_end(hearing, first), self._cut(words, first))
            if first < end <= first + _LONGEST and self._is_spoken_of(hearing, end - 1):
                title = " ".join(words[first:end])
                yield Announcement(first, end, title, words[end - 1], (), "dish", True, "title.promised")

    def _cut(self, words: Sequence[str], start: int) -> int:
        end = start
        while end < len(words) and words[end] not in self._not_named and words[end].isalpha():
            end += 1
        return end

    def _is_spoken_of(self, hearing: Hearing, place: int) -> bool:
        name = stem(hearing.speech.words[place])
        again = [at for at, word in enumerate(hearing.speech.words) if at > place and stem(word) == name]
        return sum(not aside(hearing, at) for at in again) >= _OFTEN and not aside(hearing, place)


def _touches(item: Announcement, taken: Sequence[tuple[int, int]]) -> bool:
    return any(start <= item.end and item.start <= end for start, end in taken)
