"""Follows the talk from one dish or component to another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, Row, load_phrases
from pipeline.phrases import Match
from pipeline.split.dishes import MAIN, Dish, Topic, aside, stem

_LEAD = 9
_TAIL_LEAD = 5
_FRAME = 6
_INTRODUCTION = 150
_SHORTEST_VISIT = 6
_BEFORE_AMOUNT = 45
_LATE = 0.6
_ASSEMBLY_LEAD = 2
ASSEMBLY = "assembly"


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
        self._clause_lead = frozenset(classes["clause-lead"])
        self._tail = frozenset(classes["topic-tail"])
        self._vessels = frozenset(classes["vessel"])
        self._resuming = frozenset(classes["resuming"])
        self._assembly = load_phrases("assembly_cues.csv", ("id", "pattern"), classes)
        self._frames = load_phrases("topic_frames.csv", ("id", "kind", "pattern"), classes)

    def follow(self, hearing: Hearing, dishes: Sequence[Dish]) -> tuple[Topic, ...]:
        """The topic of every word of the speech."""
        length = len(hearing.speech)
        if len(dishes) == 1 and not dishes[0].parts:
            return (Topic(0),) * length
        first = self._first_amount(hearing)
        calls = {call.start: call for call in self._calls(hearing, dishes) if call.key >= first}
        frames = self._vessel_frames(hearing)
        used: list[Counter[str]] = [Counter() for _ in dishes]
        serving = self._serving(hearing)
        topic, came_from, visit_since = Topic(0), Topic(0), -1
        topics: list[Topic] = []
        for place, word in enumerate(hearing.speech.words):
            call = calls.get(place)
            if call is not None:
                came_from, visit_since = (topic, place) if call.visit else (topic, -1)
                topic = call.topic
            elif visit_since >= 0 and self._resumes(hearing, place, visit_since):
                topic, visit_since = came_from, -1
            elif place in serving and dishes[topic.dish].parts and place > _LATE * length:
                topic = Topic(topic.dish, ASSEMBLY)
            elif place in frames:
                topic = _by_vessel(frames[place], topic, used)
            if word in self._vessels:
                used[topic.dish][word] += 1
            topics.append(topic)
        return tuple(topics)

    @staticmethod
    def _first_amount(hearing: Hearing) -> int:
        """Where the introduction is over: a little before the first amount of a food."""
        places = [
            item.quantity.start
            for item in hearing.measured
            if item.quantity.low is not None
            and not item.quantity.article
            and hearing.usages[item.food].status in {"used", "shown"}
        ]
        return max(0, min(places, default=0) - _BEFORE_AMOUNT)

    def _serving(self, hearing: Hearing) -> frozenset[int]:
        """Starts of the sentences that turn to putting the dish together."""
        found = [
            (match.start, hearing.clauses.sentence(match.start)[0])
            for match in self._assembly.everywhere(hearing.speech.words)
        ]
        return frozenset(sentence for start, sentence in found if start - sentence <= _ASSEMBLY_LEAD)

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

    def local(self, hearing: Hearing, dishes: Sequence[Dish], topics: Sequence[Topic]) -> tuple[int, ...]:
        """The dish of every word, by a word for another dish in its own clause where there is one."""
        keywords = self.keywords(dishes)
        found = [topic.dish for topic in topics]
        heads = {dish.head for dish in dishes}
        for place, word in enumerate(hearing.speech.words):
            topic = keywords.get(stem(word)) if stem(word) in heads else None
            if topic is not None and topic.dish != topics[place].dish and not aside(hearing, place):
                start, end = hearing.clauses.clause(place)
                found[start:end] = [topic.dish] * (end - start)
        return tuple(found)

    def opens(self, hearing: Hearing, place: int) -> bool:
        """Whether a word stands where the talk turns to a new thing: only words of turning since the clause began."""
        sentence, clause = hearing.clauses.sentence(place)[0], hearing.clauses.clause(place)[0]
        words = hearing.speech.words
        leads = (words[first:place] for first in (sentence, clause) if place - first <= _LEAD)
        if any(lead and self._glue.issuperset(lead) for lead in leads):
            return True
        return any(
            match.end == place and match.payload["kind"] == "switch"
            for start in range(max(0, place - _FRAME), place)
            for match in self._frames.at(words, start)
        )

    def _calls(self, hearing: Hearing, dishes: Sequence[Dish]) -> list[_Call]:
        keywords = self.keywords(dishes)
        found: list[_Call] = self._food_calls(hearing, dishes)
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
                    return self._framed(hearing, match, clause, place, topic)
        for first in {sentence, clause}:
            lead = words[first:begin]
            if len(lead) <= _LEAD and self._glue.issuperset(lead) and first <= begin:
                return _Call(start if first == sentence else clause, place, topic, False)
        following = words[place + 1] if place + 1 < len(words) else ""
        if following in self._tail and begin - clause <= _TAIL_LEAD:
            return _Call(start, place, topic, False)
        return None

    def _framed(self, hearing: Hearing, frame: Match[Row], clause: int, place: int, topic: Topic) -> _Call | None:
        """`for the sauce` turns the talk only where it opens a clause; elsewhere it tells what a thing is kept for."""
        kind = frame.payload["kind"]
        if kind == "glance" and not self._clause_lead.issuperset(hearing.speech.words[clause : frame.start]):
            return None
        return _Call(clause, place, topic, kind == "visit")

    def _food_calls(self, hearing: Hearing, dishes: Sequence[Dish]) -> list[_Call]:
        """A food of two words or more that stands in one dish's title calls that dish as its noun does."""
        found: list[_Call] = []
        titles = [{stem(word) for word in dish.title.split()} for dish in dishes]
        for food in hearing.foods:
            name = {stem(word) for word in food.name.split()}
            owners = [at for at, title in enumerate(titles) if len(name) > 1 and name <= title]
            if len(owners) == 1 and not aside(hearing, food.head):
                call = self._call(hearing, dishes, food.start, Topic(owners[0]))
                found.extend([call] if call is not None else [])
        return found

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
    return Topic(best) if used[best][vessel] else topic
