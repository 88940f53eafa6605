"""Follows the talk from one dish or component to another.

Where a dish is called by name the talk turns to it. Between two calls it may go back without a word: then what is
handled tells, the pot of a stew, the dough of a bread. Every clause gives points to the topics it speaks for, every
turn costs points, fewer where a speaker takes breath, and the cheapest way through the whole talk is taken. By the
foods that then stand together it is settled of which dish each clause is, and the way is taken once more, for its
components.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.split.calls import Call, Caller
from pipeline.split.candidates import opening_of
from pipeline.split.cheapest_way import CheapestWay
from pipeline.split.company import Company
from pipeline.split.dish_signs import Followed
from pipeline.split.dish_way import DishWay, Moved
from pipeline.split.dishes import MAIN, Dish, Topic, aside, first_amount, stem, where
from pipeline.split.layers import ASSEMBLY, FILLING, Layers
from pipeline.split.remembered import Remembered
from pipeline.split.signs import Mind, Signs, by_clause
from pipeline.split.themes import Themes
from pipeline.split.ways import DishWays

_RETURN_LEAD = 4
_BEFORE_AMOUNT = 45
_LATE = 0.6
_ASSEMBLY_LEAD = 2
_STAYS = 60
# More than all that speaks against it.
_SETTLED = 100.0
_POINTING = frozenset({"this", "that"})


_Told = tuple[tuple[Dish, ...], tuple[tuple[int, int], ...]]
_Points = Callable[[int, tuple[int, ...]], Mapping[int, float]]


@dataclass(frozen=True, slots=True)
class _Clues:
    """What tells of which dish the talk is: the word after which it does, the dishes and components, where they are
    called, and what calls them to mind."""

    first: int
    topics: tuple[Topic, ...]
    calls: tuple[Call, ...]
    mind: Mind


class TopicFollower:
    """Compiled words by which a presenter turns from one dish to another."""

    def __init__(self, classes: Classes, table: FoodTable, caller: Caller, company: Company) -> None:
        self._caller = caller
        self._themes = Themes(classes, table)
        self._signs = Signs(classes)
        self._dish_way = DishWay(company, self._signs)
        self._ways = DishWays(table)
        self._layers = Layers(classes, table)
        self._vessels = frozenset(classes["vessel"])
        self._it = frozenset(classes["moved-thing"]) - self._vessels
        self._everywhere = frozenset(classes["everywhere-food"])
        self._outer = frozenset(classes["upper-part"]) | frozenset(classes["shell-part"])
        self._whole_units = frozenset(classes["whole-unit"])
        self._assembly = load_phrases("assembly_cues.csv", ("id", "pattern"), classes)
        self._known: Remembered[dict[_Told, _Clues]] = Remembered(lambda hearing: {})

    def follow(
        self, hearing: Hearing, dishes: Sequence[Dish], announced: Sequence[tuple[int, int]]
    ) -> tuple[Topic, ...]:
        """The topic of every word of the speech."""
        if len(dishes) == 1 and not dishes[0].parts:
            return (Topic(0),) * len(hearing.speech)
        clues = self._clues(hearing, dishes, announced)
        points = self._points_of(clues)
        followed = self._followed(hearing, dishes, clues, points)
        told = followed.told
        if len(dishes) > 1:
            settled = self._settled(hearing, followed, points)
            told, _ = self._told(hearing, dishes, clues, [*followed.calls.values()], settled)
        return self._assembled(hearing, dishes, clues.calls, told)

    def followed(self, hearing: Hearing, dishes: Sequence[Dish], announced: Sequence[tuple[int, int]]) -> Followed:
        """The talk as it is followed before it is settled of which dish each clause is."""
        clues = self._clues(hearing, dishes, announced)
        return self._followed(hearing, dishes, clues, self._points_of(clues))

    def moved(
        self, hearing: Hearing, dishes: Sequence[Dish], announced: Sequence[tuple[int, int]]
    ) -> tuple[Moved, ...]:
        """The clauses that were settled to be of another dish than they were told of at first."""
        if len(dishes) == 1:
            return ()
        return tuple(self._dish_way.moved(hearing, self.followed(hearing, dishes, announced)))

    def _followed(self, hearing: Hearing, dishes: Sequence[Dish], clues: _Clues, points: _Points) -> Followed:
        told, _ = self._told(hearing, dishes, clues, clues.calls, points)
        calls = [*clues.calls, *self._vessel_calls(hearing, dishes, told), *self._returns(hearing, told)]
        if len(calls) > len(clues.calls):
            told, _ = self._told(hearing, dishes, clues, calls, points)
        return Followed(
            starts=_starts(hearing, calls),
            calls={call.start: call for call in calls},
            mind=clues.mind,
            topics=clues.topics,
            first=clues.first,
            named=[self._first_named(hearing, dish) for dish in dishes],
            told=told,
        )

    def _points_of(self, clues: _Clues) -> _Points:
        """The points of clauses by what calls topics to mind."""

        @cache
        def points(start: int, places: tuple[int, ...]) -> Mapping[int, float]:
            return self._signs.points(clues.mind, places) if start >= clues.first else {}

        return points

    def _settled(self, hearing: Hearing, followed: Followed, points_of: _Points) -> _Points:
        """The points of clauses by which the way keeps to the likeliest dish of each."""
        likeliest = dict(zip(followed.starts, self._dish_way.likeliest(hearing, followed), strict=True))

        def points(start: int, places: tuple[int, ...]) -> Mapping[int, float]:
            told = points_of(start, places)
            return dict(told) | {at: told.get(at, 0.0) + _SETTLED for at in followed.topics_of[likeliest[start]]}

        return points

    def weigh(
        self, hearing: Hearing, dishes: Sequence[Dish], announced: Sequence[tuple[int, int]]
    ) -> tuple[Sequence[Topic], float]:
        """The topic of every word, and how well the dishes tell the talk: the points of the way that is taken."""
        clues = self._clues(hearing, dishes, announced)

        def points(start: int, places: tuple[int, ...]) -> Mapping[int, float]:
            return self._signs.points(clues.mind, places, alone=True) if start >= clues.first else {}

        return self._told(hearing, dishes, clues, clues.calls, points)

    def _clues(self, hearing: Hearing, dishes: Sequence[Dish], announced: Sequence[tuple[int, int]]) -> _Clues:
        """What tells of which dish the talk is; read once for the same dishes."""
        known, key = self._known(hearing), (tuple(dishes), tuple(announced))
        if key not in known:
            first = self._first_amount(hearing)
            calls = tuple(call for call in self._caller.calls(hearing, dishes, announced) if call.key >= first)
            topics = tuple(Topic(at, part) for at, dish in enumerate(dishes) for part in (MAIN, *dish.parts))
            mind = self._mind(hearing, dishes, topics, self._caller.titles(dishes, announced))
            known[key] = _Clues(first, topics, calls, mind)
        return known[key]

    def _told(
        self,
        hearing: Hearing,
        dishes: Sequence[Dish],
        clues: _Clues,
        calls: Sequence[Call],
        points_of: _Points,
    ) -> tuple[list[Topic], float]:
        """The topic of every word by the cheapest way through all clauses, and its points; without a word for it, the
        talk does not turn to a component."""
        topics, mind = clues.topics, clues.mind
        number = {topic: at for at, topic in enumerate(topics)}
        parts = {at for at, topic in enumerate(topics) if topic.part != MAIN}
        length = len(hearing.speech)
        starts = _starts(hearing, calls)
        called = {call.start: call for call in calls}
        way = CheapestWay([topics.index(Topic(topic.dish)) for topic in topics], self._signs.home, self._signs.unnamed)
        named = [self._first_named(hearing, dishes[topic.dish]) for topic in topics]
        way.begin({at for at, first in enumerate(named) if first >= opening_of(hearing)})
        begun, unnamed = -_STAYS, max(named)
        told_by, named_by = by_clause(mind.telling, starts), by_clause(mind.naming, starts)
        for start, telling, naming, end in zip(starts, told_by, named_by, [*starts[1:], length], strict=True):
            points = points_of(start, tuple(telling))
            turn = self._signs.turn(hearing, start)
            if start not in called:
                if start - begun < _STAYS and turn > self._signs.breath:
                    turn += self._signs.soon
                if not points and way.stays(turn):
                    continue
            spoken = mind.spoken(naming)
            if start in called:
                at, points = number[called[start].topic], {**points}
                spoken.add(at)
                whole = _is_of_whole(hearing, called[start], topics[way.leader], dishes)
                for called_at in {at, way.leader} if whole else {at}:
                    points[called_at] = points.get(called_at, 0.0) + self._signs.called
                turn = turn if whole else min(turn, self._signs.called_turn())
                begun = start if not whole and _is_turned_to(called[start], dishes) else -_STAYS
            later = [at for at, first in enumerate(named) if end <= first] if end <= unnamed else ()
            way.step(points, turn, parts - spoken if spoken else parts, later)
        chosen = way.best()
        told: list[Topic] = []
        for at, start, end in zip(chosen, starts, [*starts[1:], length], strict=True):
            told.extend([topics[at]] * (end - start))
        return told, way.most

    @staticmethod
    def _first_named(hearing: Hearing, dish: Dish) -> int:
        """Where a dish is named first, by any word of its names."""
        return min([dish.start, *where(hearing, dish.keywords)])

    def _mind(self, hearing: Hearing, dishes: Sequence[Dish], topics: Sequence[Topic], titles: set[int]) -> Mind:
        ways = [self._ways.of(dishes[topic.dish], topic) for topic in topics]
        same_dish = [tuple(at for at, other in enumerate(topics) if other.dish == topic.dish) for topic in topics]
        nouns = self._caller.mentions(hearing, dishes)
        number = {topic: at for at, topic in enumerate(topics)}
        named = self._themes.find(hearing, dishes)
        announced = titles.union(place for place in {*nouns, *named} if self._caller.is_kept_for(hearing, place))
        seasonings = self._themes.seasonings(hearing)
        names = {
            place: number[topic]
            for place, topic in nouns.items()
            if place not in announced
            and place not in seasonings
            and not (topic.part == MAIN and _is_whole(dishes[topic.dish]))
        }
        foods = {
            place: [
                number[topic],
                *(at for at in same_dish[number[topic]] if topics[at] != topic and topic.part == MAIN),
            ]
            for place, topic in named.items()
            if place not in announced
        }
        made = {
            place: number[topic] for place, topic in self._themes.made_of(hearing, dishes).items() if place not in foods
        }
        signs = self._signs.find(hearing, ways)
        things = where(hearing, self._signs.things)
        turned = frozenset(place for place in {*foods, *things} if self._caller.heads(hearing, place))
        headed = frozenset(
            [place for place in {*foods, *names} if self._caller.leads(hearing, place)]
            + [place for place in things if self._caller.looks(hearing, place)]
        )
        weighed = frozenset(self._weighed(hearing))
        telling = [place for place in sorted({*signs, *foods, *names, *made}) if not aside(hearing, place)]
        own = frozenset(foods.keys() - self._put_in_all(hearing))
        naming = sorted({*foods, *names})
        return Mind(ways, same_dish, signs, foods, names, made, own, turned, headed, weighed, telling, naming)

    def _put_in_all(self, hearing: Hearing) -> set[int]:
        """The places of foods that go into everything."""
        return {food.head for food in hearing.foods if food.name.split()[-1] in self._everywhere}

    def _weighed(self, hearing: Hearing) -> set[int]:
        """The places of main foods that are weighed or counted out, not of an onion, which goes into everything."""
        return {
            hearing.foods[item.food].head
            for item in hearing.measured
            if item.quantity.low is not None
            and not item.quantity.article
            and (item.quantity.unit is None or item.quantity.unit in self._whole_units)
            and hearing.usages[item.food].status == "used"
            and hearing.foods[item.food].name.split()[-1] not in self._everywhere
            and self._themes.is_main(hearing.foods[item.food])
        }

    def _assembled(
        self, hearing: Hearing, dishes: Sequence[Dish], calls: Sequence[Call], told: Sequence[Topic]
    ) -> tuple[Topic, ...]:
        """What is told, with what is put together at the end."""
        by_start = {call.start: call for call in calls}
        serving = self._serving(hearing)
        assembling = -1
        first = next((place for place in sorted(serving) if place > _LATE * len(told)), len(told))
        topics = list(told[:first])
        together = [Topic(at, ASSEMBLY) for at in range(len(dishes))]
        for place, topic in enumerate(told[first:], first):
            if place in by_start and not (by_start[place].topic.dish == assembling and not by_start[place].framed):
                assembling = -1
            if place in serving and dishes[topic.dish].parts:
                assembling = topic.dish
            if topic.dish != assembling:
                assembling = -1
            topics.append(together[topic.dish] if topic.dish == assembling else topic)
        return tuple(self._layers.follow(hearing, dishes, _filled(dishes, topics, self._outer), by_start))

    @staticmethod
    def _first_amount(hearing: Hearing) -> int:
        """Where the introduction is over: a little before the first amount of a food."""
        return max(0, (first_amount(hearing) or 0) - _BEFORE_AMOUNT)

    def _serving(self, hearing: Hearing) -> frozenset[int]:
        """Starts of the sentences that turn to putting the dish together."""
        found = [
            (match.start, hearing.clauses.sentence(match.start)[0])
            for match in self._assembly.everywhere(hearing.speech.words, hearing.speech.places)
        ]
        return frozenset(sentence for start, sentence in found if start - sentence <= _ASSEMBLY_LEAD)

    def local(self, hearing: Hearing, dishes: Sequence[Dish], topics: Sequence[Topic]) -> tuple[int, ...]:
        """The dish of every word, by a word for another dish in its own clause where there is one."""
        keywords = self._caller.keywords(hearing, dishes)
        found = [topic.dish for topic in topics]
        heads = {dish.head for dish in dishes}
        for place in where(hearing, heads):
            topic = keywords.get(stem(hearing.speech.words[place]))
            if topic is not None and topic.dish != topics[place].dish and not aside(hearing, place):
                start, end = hearing.clauses.clause(place)
                found[start:end] = [topic.dish] * (end - start)
        return tuple(found)

    def _returns(self, hearing: Hearing, told: Sequence[Topic]) -> list[Call]:
        """`back to it`: to what was spoken of before."""
        found: list[Call] = []
        words = hearing.speech.words
        for place in (at for at in hearing.speech.where({"back"}) if words[at + 1 : at + 2] == ("to",)):
            sentence = hearing.clauses.sentence(place)[0]
            if words[place + 2 : place + 3] and words[place + 2] in self._it and place + 2 - sentence <= _RETURN_LEAD:
                here = told[place + 2]
                before = next((told[at] for at in range(place + 1, -1, -1) if told[at] != here), here)
                found.append(Call(sentence, place + 2, before))
        return found

    def _vessel_calls(self, hearing: Hearing, dishes: Sequence[Dish], told: Sequence[Topic]) -> list[Call]:
        """`back to the pot`: to the dish that was last spoken of with that vessel."""
        words = hearing.speech.words
        used: list[Counter[str]] = [Counter() for _ in dishes]
        found: list[Call] = []
        for place in hearing.speech.where(self._vessels):
            word = words[place]
            if words[max(0, place - 3) : place] == ("back", "to", "the"):
                topic = _by_vessel(word, told[place], used)
                found.append(Call(hearing.clauses.sentence(place)[0], place, topic))
            used[told[place].dish][word] += 1
        return found


def _starts(hearing: Hearing, calls: Sequence[Call]) -> list[int]:
    """Where clauses begin; a call begins one."""
    return sorted({*hearing.clauses.starts, *(call.start for call in calls)})


def _is_turned_to(call: Call, dishes: Sequence[Dish]) -> bool:
    """Whether a dish is called that was named before: the talk stays with it for a while."""
    return call.key != dishes[call.topic.dish].start


def _is_of_whole(hearing: Hearing, call: Call, here: Topic, dishes: Sequence[Dish]) -> bool:
    """Whether `this pie` is said in talk of its crust and means the whole: it turns to no other part."""
    same = call.topic.part == MAIN and call.topic.dish == here.dish
    return same and hearing.speech.words[call.key - 1] in _POINTING and _is_whole(dishes[here.dish])


def _is_whole(dish: Dish) -> bool:
    """Whether the dish's noun means it with all its parts, as a pie is its filling and its crust."""
    return dish.main_part != dish.head


def _filled(dishes: Sequence[Dish], topics: Sequence[Topic], outer: Collection[str]) -> list[Topic]:
    """In a dish of a filling and a crust round it, what is said before the filling is done belongs to the filling."""
    found = list(topics)
    for at, dish in enumerate(dishes):
        filling = next((Topic(at, part) for part in dish.parts if stem(part.split()[-1]) == FILLING), None)
        if filling is None or not any(stem(part.split()[-1]) in outer for part in dish.parts):
            continue
        done = len(topics) - 1 - topics[::-1].index(filling) if filling in topics else len(topics)
        found[:done] = [filling if not topic.part and topic.dish == at else topic for topic in topics[:done]]
    return found


def _by_vessel(vessel: str, topic: Topic, used: Sequence[Counter[str]]) -> Topic:
    """The dish that was last spoken of with that vessel."""
    best = max(range(len(used)), key=lambda dish: (used[dish][vessel], dish == topic.dish))
    return Topic(best) if used[best][vessel] else topic
