"""Follows the talk from one dish or component to another.

Where a dish is called by name the talk turns to it. Between two calls it may go back without a word: then what is
handled tells, the pot of a stew, the dough of a bread. Every clause gives points to the topics it speaks for, every
turn costs points, fewer where a speaker takes breath, and the cheapest way through the whole talk is taken.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.split.calls import Call, Caller
from pipeline.split.dishes import MAIN, Dish, Topic, aside, stem
from pipeline.split.signs import Mind, Signs
from pipeline.split.themes import Themes

_RETURN_LEAD = 4
_BEFORE_AMOUNT = 45
_LATE = 0.6
_NEVER = -1e9
_ASSEMBLY_LEAD = 2
ASSEMBLY = "assembly"
FILLING = "filling"


class TopicFollower:
    """Compiled words by which a presenter turns from one dish to another."""

    def __init__(self, classes: Classes, table: FoodTable, caller: Caller) -> None:
        self._caller = caller
        self._themes = Themes(classes, table)
        self._signs = Signs(classes)
        self._vessels = frozenset(classes["vessel"])
        self._it = frozenset(classes["moved-thing"]) - self._vessels
        self._whole_units = frozenset(classes["whole-unit"])
        self._assembly = load_phrases("assembly_cues.csv", ("id", "pattern"), classes)

    def follow(
        self, hearing: Hearing, dishes: Sequence[Dish], announced: Sequence[tuple[int, int]]
    ) -> tuple[Topic, ...]:
        """The topic of every word of the speech."""
        if len(dishes) == 1 and not dishes[0].parts:
            return (Topic(0),) * len(hearing.speech)
        first = self._first_amount(hearing)
        calls = [call for call in self._caller.calls(hearing, dishes, announced) if call.key >= first]
        topics = [Topic(at, part) for at, dish in enumerate(dishes) for part in (MAIN, *dish.parts)]
        mind = self._mind(hearing, dishes, topics, self._caller.titles(dishes, announced))
        told = self._told(hearing, topics, mind, calls, first)
        back = [*self._vessel_calls(hearing, dishes, told), *self._returns(hearing, told)]
        if back:
            told = self._told(hearing, topics, mind, [*calls, *back], first)
        return self._assembled(hearing, dishes, calls, told)

    def _told(
        self, hearing: Hearing, topics: Sequence[Topic], mind: Mind, calls: Sequence[Call], first: int
    ) -> list[Topic]:
        """The topic of every word by the cheapest way through all clauses."""
        number = {topic: at for at, topic in enumerate(topics)}
        starts = sorted({*hearing.clauses.starts, *(call.start for call in calls)})
        called: dict[int, int] = {call.start: number[call.topic] for call in calls}
        way = _Way(len(topics), self._signs.called, self._signs.wait)
        for start, end in zip(starts, [*starts[1:], len(hearing.speech)], strict=True):
            points = self._signs.points(hearing, mind, start, end) if start >= first else {}
            way.step(points, self._signs.turn(hearing, start), called.get(start))
        chosen = way.best()
        told: list[Topic] = []
        for at, start, end in zip(chosen, starts, [*starts[1:], len(hearing.speech)], strict=True):
            told.extend([topics[at]] * (end - start))
        return told

    def _mind(self, hearing: Hearing, dishes: Sequence[Dish], topics: Sequence[Topic], titles: set[int]) -> Mind:
        ways = [self._signs.ways(dishes[topic.dish], topic) for topic in topics]
        of_dish = {
            topic: [
                topics.index(topic),
                *(at for at, other in enumerate(topics) if other.dish == topic.dish and other != topic),
            ]
            for topic in topics
        }
        named = {**self._caller.mentions(hearing, dishes), **self._themes.find(hearing, dishes)}
        foods = {
            place: of_dish[topic] if topic.part == MAIN else of_dish[topic][:1]
            for place, topic in named.items()
            if place not in titles
        }
        cooked = [
            frozenset().union(*(way for way, topic in zip(ways, topics, strict=True) if topic.dish == at))
            for at in range(len(dishes))
        ]
        found = self._signs.find(hearing).items()
        signs = {place: way for place, way in found if len(dishes) == 1 or not all(way & dish for dish in cooked)}
        things = [place for place in signs if stem(hearing.speech.words[place]) in self._signs.things]
        turned = frozenset(place for place in {*foods, *things} if self._caller.heads(hearing, place))
        headed = frozenset(
            [place for place in foods if self._caller.leads(hearing, place)]
            + [place for place in things if self._caller.looks(hearing, place)]
        )
        weighed = {
            hearing.foods[item.food].head
            for item in hearing.measured
            if item.quantity.low is not None
            and not item.quantity.article
            and (item.quantity.unit is None or item.quantity.unit in self._whole_units)
            and hearing.usages[item.food].status == "used"
            and self._themes.is_main(hearing.foods[item.food])
        }
        return Mind(ways, signs, foods, turned, headed, frozenset(weighed & foods.keys()))

    def _assembled(
        self, hearing: Hearing, dishes: Sequence[Dish], calls: Sequence[Call], told: Sequence[Topic]
    ) -> tuple[Topic, ...]:
        """What is told, with what is put together at the end."""
        by_start = {call.start: call for call in calls}
        serving = self._serving(hearing)
        assembling = -1
        topics: list[Topic] = []
        for place, topic in enumerate(told):
            call = by_start.get(place)
            if call is not None and not (call.topic.dish == assembling and not call.framed):
                assembling = -1
            if place in serving and dishes[topic.dish].parts and place > _LATE * len(told):
                assembling = topic.dish
            if topic.dish != assembling:
                assembling = -1
            topics.append(Topic(topic.dish, ASSEMBLY) if topic.dish == assembling else topic)
        return tuple(_filled(dishes, topics))

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

    def local(self, hearing: Hearing, dishes: Sequence[Dish], topics: Sequence[Topic]) -> tuple[int, ...]:
        """The dish of every word, by a word for another dish in its own clause where there is one."""
        keywords = self._caller.keywords(hearing, dishes)
        found = [topic.dish for topic in topics]
        heads = {dish.head for dish in dishes}
        for place, word in enumerate(hearing.speech.words):
            topic = keywords.get(stem(word)) if stem(word) in heads else None
            if topic is not None and topic.dish != topics[place].dish and not aside(hearing, place):
                start, end = hearing.clauses.clause(place)
                found[start:end] = [topic.dish] * (end - start)
        return tuple(found)

    def _returns(self, hearing: Hearing, told: Sequence[Topic]) -> list[Call]:
        """`back to it`: to what was spoken of before."""
        found: list[Call] = []
        words = hearing.speech.words
        turned = [place for place in range(1, len(told)) if told[place] != told[place - 1]]
        for place in (at for at, word in enumerate(words) if word == "back" and words[at + 1 : at + 2] == ("to",)):
            sentence = hearing.clauses.sentence(place)[0]
            if words[place + 2 : place + 3] and words[place + 2] in self._it and place + 2 - sentence <= _RETURN_LEAD:
                before = [at for at in turned if at <= place + 2]
                found.append(Call(sentence, place + 2, told[before[-1] - 1] if before else told[0]))
        return found

    def _vessel_calls(self, hearing: Hearing, dishes: Sequence[Dish], told: Sequence[Topic]) -> list[Call]:
        """`back to the pot`: to the dish that was last spoken of with that vessel."""
        words = hearing.speech.words
        used: list[Counter[str]] = [Counter() for _ in dishes]
        found: list[Call] = []
        for place, word in enumerate(words):
            if word not in self._vessels:
                continue
            if words[max(0, place - 3) : place] == ("back", "to", "the"):
                topic = _by_vessel(word, told[place], used)
                found.append(Call(hearing.clauses.sentence(place)[0], place, topic))
            used[told[place].dish][word] += 1
        return found


class _Way:
    """The best way to each of `count` topics so far, and how it came there. The talk begins with the first.

    A topic turned to without a word is fresh until a clause speaks for it; every clause that it waits costs `wait`.
    """

    def __init__(self, count: int, called: float, wait: float) -> None:
        self._count, self._called, self._wait = count, called, wait
        self._score = [0.0, *[_NEVER] * (2 * count - 1)]
        self._came: list[list[int]] = []

    def step(self, points: dict[int, float], turn: float, called: int | None) -> None:
        """One clause on: its points, the cost of turning before it, and the topic that it calls."""
        leader = max(range(len(self._score)), key=lambda at: self._score[at])
        turned = self._score[leader]
        came: list[int] = [0] * (2 * self._count)
        score: list[float] = [_NEVER] * (2 * self._count)
        for at in range(self._count):
            fresh, gain = self._count + at, points.get(at, 0.0) + (self._called if at == called else 0.0)
            news = max((turned - turn, leader), (self._score[fresh], fresh))
            ways = [(self._score[at], at), news] if gain else [(self._score[at], at)]
            if at == called:
                ways.append((turned, leader))
            best = max(ways, key=lambda way: way[0])
            score[at], came[at] = best[0] + gain, best[1]
            if not gain:
                score[fresh], came[fresh] = news[0] - self._wait, news[1]
        self._came.append(came)
        self._score = score

    def best(self) -> list[int]:
        """The topic of every clause."""
        at = max(range(len(self._score)), key=lambda topic: self._score[topic])
        way: list[int] = []
        for came in reversed(self._came):
            way.append(at % self._count)
            at = came[at]
        return way[::-1]


def _filled(dishes: Sequence[Dish], topics: Sequence[Topic]) -> list[Topic]:
    """In a dish of a filling and what goes round it, what is said before the filling is done belongs to the filling."""
    found = list(topics)
    for at, dish in enumerate(dishes):
        filling = next((Topic(at, part) for part in dish.parts if stem(part.split()[-1]) == FILLING), None)
        if filling is None or len(dish.parts) == 1:
            continue
        done = len(topics) - 1 - topics[::-1].index(filling) if filling in topics else len(topics)
        found[:done] = [filling if topic == Topic(at) else topic for topic in topics[:done]]
    return found


def _by_vessel(vessel: str, topic: Topic, used: Sequence[Counter[str]]) -> Topic:
    """The dish that was last spoken of with that vessel."""
    best = max(range(len(used)), key=lambda dish: (used[dish][vessel], dish == topic.dish))
    return Topic(best) if used[best][vessel] else topic
