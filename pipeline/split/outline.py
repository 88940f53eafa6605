"""The dishes of an episode, their components, and for every word the dish it is about."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.split.titles import Announcement, TitleReader

MAIN = ""
_OFTEN_DISH = 4
_OFTEN_PART = 3
_NEAR_START = 4


@dataclass(frozen=True, slots=True)
class Dish:
    """A dish: `title` as announced, `head` its noun, `parts` the names of its components besides the main one, and the
    words that call it and each part to mind."""

    title: str
    head: str
    start: int
    parts: tuple[str, ...]
    keywords: frozenset[str]
    rule: str


@dataclass(frozen=True, slots=True)
class Topic:
    """A dish by index and a component of it; MAIN is the dish's own."""

    dish: int
    part: str = MAIN


@dataclass(frozen=True, slots=True)
class Outline:
    """`topics` holds one topic a word of the speech; `turns` the words at which the topic was called by name."""

    dishes: tuple[Dish, ...]
    topics: tuple[Topic, ...]
    turns: tuple[int, ...] = field(default=())
    announced: tuple[tuple[int, int], ...] = field(default=())


class Outliner:
    """Finds dishes and follows the talk between them."""

    def __init__(self, classes: Classes, singular: dict[str, str] | None = None) -> None:
        self._titles = TitleReader(classes)
        self._glue = frozenset(classes["topic-glue"])
        self._tail = frozenset(classes["topic-tail"])
        self._vessels = frozenset(classes["vessel"])
        self._dull = frozenset(classes["title-dull"])

    def outline(self, hearing: Hearing) -> Outline:
        """At least one dish, in order of first mention."""
        announcements = self._titles.find(hearing)
        dishes = self._dishes(hearing, announcements)
        spans = tuple((item.start, item.end) for item in announcements)
        return Outline(dishes, *self._topics(hearing, dishes), announced=spans)

    def _dishes(self, hearing: Hearing, announcements: Sequence[Announcement]) -> tuple[Dish, ...]:
        dishes: list[Dish] = []
        for item in announcements:
            self._admit(dishes, item)
        self._often_named(hearing, dishes)
        if not dishes:
            dishes.append(self._fallback(hearing))
        return tuple(self._with_parts(hearing, dishes))

    def _admit(self, dishes: list[Dish], item: Announcement) -> None:
        known = next((at for at, dish in enumerate(dishes) if _stem(item.head) in dish.keywords), None)
        if known is not None:
            dish = dishes[known]
            dishes[known] = replace(dish, parts=tuple(dict.fromkeys((*dish.parts, *item.parts))))
            return
        if item.kind in {"part", "weak-part", "stage"} and dishes:
            return
        if item.kind in {"food", "weak"} and dishes and not item.beside:
            return
        dishes.append(Dish(item.title, _stem(item.head), item.start, item.parts, self._keywords(item), item.rule))

    def _keywords(self, item: Announcement) -> frozenset[str]:
        main = item.title.split(" with ")[0].split()
        return frozenset(_stem(word) for word in main if word not in self._dull) | {_stem(item.head)}

    def _often_named(self, hearing: Hearing, dishes: list[Dish]) -> None:
        """A word for a dish that comes again and again names a dish even where it was never announced."""
        heads = [
            head for head in self._titles.heads(hearing) if head.payload == "dish" and not _aside(hearing, head.start)
        ]
        counts = Counter(_stem(hearing.speech.words[head.end - 1]) for head in heads)
        for head in heads:
            name = _stem(hearing.speech.words[head.end - 1])
            if counts[name] >= _OFTEN_DISH and not any(name in dish.keywords for dish in dishes):
                dishes.append(
                    self._from_head(hearing, [h for h in heads if _stem(hearing.speech.words[h.end - 1]) == name])
                )
        dishes.sort(key=lambda dish: dish.start)

    def _from_head(self, hearing: Hearing, heads: Sequence[object]) -> Dish:
        phrases = [self._titles.phrase_before(hearing, head) for head in heads]  # type: ignore[arg-type]
        best = max(phrases, key=lambda item: (len(item.title.split()), -item.start))
        return Dish(best.title, _stem(best.head), phrases[0].start, (), self._keywords(best), best.rule)

    def _fallback(self, hearing: Hearing) -> Dish:
        """No dish was announced: the one named most often, else the food used most."""
        heads = [
            head
            for head in self._titles.heads(hearing)
            if head.payload in {"dish", "weak"} and not _aside(hearing, head.start)
        ]
        if heads:
            counts = Counter(_stem(hearing.speech.words[head.end - 1]) for head in heads)
            name = max(counts, key=lambda word: (counts[word], word))
            return self._from_head(hearing, [h for h in heads if _stem(hearing.speech.words[h.end - 1]) == name])
        foods = Counter(
            food.name for food, usage in zip(hearing.foods, hearing.usages, strict=True) if usage.status == "used"
        )
        title = max(foods, key=lambda name: (foods[name], name)) if foods else "untitled dish"
        return Dish(title, _stem(title.split()[-1]), 0, (), frozenset({_stem(title.split()[-1])}), "title.food")

    def _with_parts(self, hearing: Hearing, dishes: list[Dish]) -> list[Dish]:
        """Adds components that are spoken of often; words that two dishes share call neither to mind."""
        words = hearing.speech.words
        inside = {place for food in hearing.foods if food.end - food.start > 1 for place in range(food.start, food.end)}
        counts: Counter[str] = Counter()
        first: dict[str, int] = {}
        longest: dict[str, str] = {}
        for head in self._titles.heads(hearing):
            if head.payload != "part" or head.start in inside or _aside(hearing, head.start):
                continue
            name = _stem(words[head.end - 1])
            counts[name] += 1
            first.setdefault(name, head.start)
            phrase = self._titles.phrase_before(hearing, head).title
            if len(phrase.split()) > len(longest.get(name, "").split()) and len(phrase.split()) <= 3:
                longest[name] = phrase
        for name, count in sorted(counts.items(), key=lambda item: first[item[0]]):
            taken = any(
                name in dish.keywords or any(_stem(part.split()[-1]) == name for part in dish.parts) for dish in dishes
            )
            if count >= _OFTEN_PART and not taken:
                owner = max((at for at, dish in enumerate(dishes) if dish.start <= first[name]), default=0)
                dishes[owner] = replace(dishes[owner], parts=(*dishes[owner].parts, longest[name]))
        return dishes

    def _calls(self, dishes: Sequence[Dish]) -> dict[str, Topic]:
        """Word -> the topic it calls, for words that call just one."""
        calls: dict[str, list[Topic]] = {}
        for at, dish in enumerate(dishes):
            heads = {_stem(part.split()[-1]): part for part in dish.parts}
            for name, part in heads.items():
                calls.setdefault(name, []).append(Topic(at, part))
            for word in dish.keywords - heads.keys():
                calls.setdefault(word, []).append(Topic(at))
        return {
            word: topics[0] for word, topics in calls.items() if len(topics) == 1 or word == dishes[topics[0].dish].head
        }

    def _topics(self, hearing: Hearing, dishes: Sequence[Dish]) -> tuple[tuple[Topic, ...], tuple[int, ...]]:
        words = hearing.speech.words
        calls = self._calls(dishes)
        several = len(dishes) > 1 or any(dish.parts for dish in dishes)
        topic = Topic(0)
        topics: list[Topic] = []
        turns: list[int] = []
        vessels: list[Counter[str]] = [Counter() for _ in dishes]
        pending: dict[int, Topic] = {}
        for place in range(len(words)):
            if several:
                called = self._called(hearing, place, calls, vessels)
                if called is not None:
                    pending[self._from(hearing, place)] = called
        for place in range(len(words)):
            if place in pending:
                if pending[place] != topic:
                    turns.append(place)
                topic = pending[place]
            topics.append(topic)
        return tuple(topics), tuple(turns)

    def _from(self, hearing: Hearing, place: int) -> int:
        """The topic holds from the start of the sentence that calls it."""
        start = hearing.clauses.sentence(place)[0]
        return start if place - start <= 8 else hearing.clauses.clause(place)[0]

    def _called(
        self, hearing: Hearing, place: int, calls: dict[str, Topic], vessels: list[Counter[str]]
    ) -> Topic | None:
        words = hearing.speech.words
        topic = calls.get(_stem(words[place]))
        if topic is None or _aside(hearing, place):
            return None
        start = hearing.clauses.sentence(place)[0]
        lead = words[start:place]
        before = words[max(0, place - 4) : place]
        frame = " ".join(before)
        if self._glue.issuperset(word for word in lead[-7:]) and len(lead) <= 8:
            return topic
        if any(
            frame.endswith(ending)
            for ending in (
                "back to the",
                "back to my",
                "for the",
                "for my",
                "on to the",
                "now the",
                "then the",
                "start the",
                "on the",
            )
        ):
            return topic
        joined = _stem(words[place - 1]) if place else ""
        if joined and any(
            frame.endswith(f"{ending} {words[place - 1]}") for ending in ("back to the", "for the", "now the")
        ):
            return topic
        following = words[place + 1] if place + 1 < len(words) else ""
        return topic if following in self._tail and len(lead) <= _NEAR_START + 3 else None


def _aside(hearing: Hearing, place: int) -> bool:
    return any(
        scope.start <= place < scope.end
        for scope in hearing.scopes
        if scope.kind in {"elsewhere", "habit", "negated", "comparison", "hypothetical", "interrupted"}
    )


def _stem(word: str) -> str:
    """A plural and its singular as one key."""
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("shes", "ches", "xes", "oes")):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word
