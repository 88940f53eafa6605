"""Follows the talk from one dish or component to another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.split.dishes import MAIN, Dish, Topic, aside, stem

_LEAD = 9
_TAIL_LEAD = 5
_FRAME = 6
_INTRODUCTION = 150
_SHORTEST_VISIT = 6


@dataclass(frozen=True, slots=True)
class _Call:
    """The talk turns to `topic` at word `start`; a visit goes back to where it came from."""

    start: int
    key: int
    topic: Topic
    visit: bool


class TopicFollower:
    """Compiled words by which a presenter turns from one dish to another."""

    def __init__(self, classes: Classes) -> None:
        self._glue = frozenset(classes["topic-glue"])
        self._tail = frozenset(classes["topic-tail"])
        self._vessels = frozenset(classes["vessel"])
        self._resuming = frozenset(classes["resuming"])
        self._frames = load_phrases("topic_frames.csv", ("id", "kind", "pattern"), classes)

    def follow(self, hearing: Hearing, dishes: Sequence[Dish]) -> tuple[Topic, ...]:
        """The topic of every word of the speech."""
        length = len(hearing.speech)
        if len(dishes) == 1 and not dishes[0].parts:
            return (Topic(0),) * length
        calls = {call.start: call for call in self._calls(hearing, dishes)}
        frames = self._vessel_frames(hearing)
        used: list[Counter[str]] = [Counter() for _ in dishes]
        topic, came_from, visit_since = Topic(0), Topic(0), -1
        topics: list[Topic] = []
        for place, word in enumerate(hearing.speech.words):
            call = calls.get(place)
            if call is not None:
                came_from, visit_since = (topic, place) if call.visit else (topic, -1)
                topic = call.topic
            elif visit_since >= 0 and self._resumes(hearing, place, visit_since):
                topic, visit_since = came_from, -1
            elif place in frames:
                topic = _by_vessel(frames[place], topic, used)
            if word in self._vessels:
                used[topic.dish][word] += 1
            topics.append(topic)
        return tuple(topics)

    def _resumes(self, hearing: Hearing, place: int, since: int) -> bool:
        opens = hearing.clauses.sentence(place)[0] == place
        return opens and place - since >= _SHORTEST_VISIT and hearing.speech.words[place] in self._resuming

    def keywords(self, dishes: Sequence[Dish]) -> Mapping[str, Topic]:
        """Word -> the topic it calls to mind; words that call two are left out."""
        calls: dict[str, list[Topic]] = {}
        for at, dish in enumerate(dishes):
            heads = {stem(part.split()[-1]): part for part in dish.parts}
            for name, part in heads.items():
                calls.setdefault(name, []).append(Topic(at, part))
            for word in sorted(dish.keywords - heads.keys()):
                calls.setdefault(word, []).append(Topic(at, MAIN))
        chosen: dict[str, Topic] = {}
        for word, topics in calls.items():
            own = [topic for topic in topics if dishes[topic.dish].head == word and topic.part == MAIN]
            if len(topics) == 1 or len(own) == 1:
                chosen[word] = (own or topics)[0]
        return chosen

    def _calls(self, hearing: Hearing, dishes: Sequence[Dish]) -> list[_Call]:
        keywords = self.keywords(dishes)
        found: list[_Call] = []
        for place, word in enumerate(hearing.speech.words):
            topic = keywords.get(stem(word))
            if topic is not None and not aside(hearing, place):
                call = self._call(hearing, dishes, place, topic)
                if call is not None:
                    found.append(call)
        for at, dish in enumerate(dishes):
            if dish.start > _INTRODUCTION and at:
                found.append(_Call(hearing.clauses.sentence(dish.start)[0], dish.start, Topic(at), False))
        return sorted(found, key=lambda call: call.key)

    def _call(self, hearing: Hearing, dishes: Sequence[Dish], place: int, topic: Topic) -> _Call | None:
        words = hearing.speech.words
        sentence, clause = hearing.clauses.sentence(place)[0], hearing.clauses.clause(place)[0]
        own = {stem(word) for word in f"{dishes[topic.dish].title} {topic.part}".split()} - self._glue
        begin = place
        while begin > sentence and stem(words[begin - 1]) in own:
            begin -= 1
        start = sentence if place - sentence <= _LEAD else clause
        for match_start in range(max(0, begin - _FRAME), begin):
            for match in self._frames.at(words, match_start):
                if match.end == begin:
                    return _Call(start, place, topic, match.payload["kind"] == "visit")
        for first in {sentence, clause}:
            lead = words[first:begin]
            if len(lead) <= _LEAD and self._glue.issuperset(lead) and first <= begin:
                return _Call(start if first == sentence else clause, place, topic, False)
        following = words[place + 1] if place + 1 < len(words) else ""
        if following in self._tail and begin - clause <= _TAIL_LEAD:
            return _Call(start, place, topic, False)
        return None

    def _vessel_frames(self, hearing: Hearing) -> dict[int, str]:
        """`back to the pot`: place of the frame -> the vessel."""
        words = hearing.speech.words
        frames: dict[int, str] = {}
        for place, word in enumerate(words):
            if word in self._vessels and words[max(0, place - 3) : place] == ("back", "to", "the"):
                frames[hearing.clauses.sentence(place)[0]] = word
        return frames


def _by_vessel(vessel: str, topic: Topic, used: Sequence[Counter[str]]) -> Topic:
    """The dish that was last spoken of with that vessel."""
    best = max(range(len(used)), key=lambda dish: (used[dish][vessel], dish == topic.dish))
    return Topic(best) if used[best][vessel] and best != topic.dish else topic
