"""All that is said of one food in a talk, as signs: how each mention was judged and the words beside it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import log2

from pipeline.foods.table import FoodTable
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.hear.quantity import Quantity
from pipeline.hear.usage import SHOWN, USED
from pipeline.split.dishes import Dish, Topic, stem
from pipeline.split.makings import Makings

_OPENING, _EARLY, _END = 0.12, 0.3, 0.85
_NEAR = 8
_PEOPLE_BEFORE = 14
_CLAIM_REACH = 25
_MOST_TIMES = 3
_MOST_SAID = 1.5
_NUMBER, _FOOD, _START, _STOP = "#", "<food>", "<start>", "<end>"


@dataclass(frozen=True, slots=True)
class Talk:
    """What is known of a talk whichever food is asked about: the foods its dishes are known to be made of, the
    quantities of each mention, the places of foods, and the names of all foods that are used."""

    hearing: Hearing
    made_of: Sequence[frozenset[str]]
    said: Mapping[int, Sequence[Quantity]]
    in_foods: frozenset[int]
    used: frozenset[frozenset[str]]


class FoodSigns:
    """Compiled words for people and for not."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self._groups = {food.id: food.group for food in table}
        self._makings = Makings(classes)
        self._people = frozenset(classes["person"]).union(classes["people"], classes["kin"], classes["other-person"])
        self._not = frozenset(classes["negating"]) | {"no"}

    def talk(self, hearing: Hearing, dishes: Sequence[Dish]) -> Talk:
        """What the signs of every food of a talk are read from."""
        said: dict[int, list[Quantity]] = {}
        for item in hearing.measured:
            said.setdefault(item.food, []).append(item.quantity)
        live = (at for at, usage in enumerate(hearing.usages) if usage.status in {USED, SHOWN})
        return Talk(
            hearing,
            [self._makings.of(dish, Topic(at)) for at, dish in enumerate(dishes)],
            said,
            frozenset(place for food in hearing.foods for place in range(food.start, food.end)),
            frozenset(frozenset(_stems(hearing.foods[at])) for at in live),
        )

    def of(self, talk: Talk, mentions: Sequence[int]) -> Mapping[str, float]:
        """Sign -> how strong it is, for the food that is named at these mentions."""
        signs: dict[str, float] = {"any": 1}
        signs.update(self._food(talk, mentions))
        signs.update(self._sides(talk.hearing, mentions))
        signs.update(_judged(talk.hearing, mentions))
        signs.update(_amounts(talk, mentions))
        signs.update(_claimed(talk.hearing, mentions))
        words: Counter[str] = Counter()
        for at in mentions:
            words.update(set(_beside(talk, talk.hearing.foods[at])))
        return signs | {sign: min(_MOST_SAID, log2(1 + times)) for sign, times in words.items()}

    def _food(self, talk: Talk, mentions: Sequence[int]) -> Iterator[tuple[str, float]]:
        """Its group, whether a dish is known to be made of it, whether another food that is used goes by a longer or a
        shorter name, and when it is named."""
        foods = [talk.hearing.foods[at] for at in mentions]
        group = self._groups.get(foods[0].food, "")
        yield f"group.{group}", 1
        names = {_stems(food) for food in foods}
        yield "makings", any(self._makings.holds(made, name, group) for made in talk.made_of for name in names)
        words = {frozenset(name) for name in names}
        others = talk.used - words
        yield "longer-used", any(name < other for name in words for other in others)
        yield "shorter-used", any(other < name for name in words for other in others)
        yield "named", log2(1 + len(mentions))
        length = len(talk.hearing.speech)
        yield f"first.{_zone(foods[0].start / length)}", 1
        yield f"last.{_zone(foods[-1].start / length)}", 1

    def _sides(self, hearing: Hearing, mentions: Sequence[int]) -> Iterator[tuple[str, float]]:
        """Whether people are spoken of before or after it, and whether a word for not stands there."""
        words, foods = hearing.speech.words, [hearing.foods[at] for at in mentions]
        before = [words[max(0, food.start - _PEOPLE_BEFORE) : food.start] for food in foods]
        after = [words[food.end : food.end + _NEAR] for food in foods]
        people = [not self._people.isdisjoint(said) for said in before]
        negated = [not self._not.isdisjoint(said[-_NEAR:]) for said in before]
        yield "people-before", any(people)
        yield "people-before-all", all(people)
        yield "people-after", any(not self._people.isdisjoint(said) for said in after)
        yield "not-before", any(negated)
        yield "not-before-all", all(negated)
        yield "not-after", any(not self._not.isdisjoint(said) for said in after)


def by_food(hearing: Hearing) -> Mapping[str, Sequence[int]]:
    """Each known food -> its mentions, in order."""
    found: dict[str, list[int]] = {}
    for at, food in enumerate(hearing.foods):
        if food.food:
            found.setdefault(food.food, []).append(at)
    return found


def _judged(hearing: Hearing, mentions: Sequence[int]) -> Iterator[tuple[str, float]]:
    """What the mentions were judged to be, by which rules, and the scopes they stand in."""
    usages = [hearing.usages[at] for at in mentions]
    for sign, times in Counter(usage.status for usage in usages).items():
        yield f"status.{sign}", min(_MOST_TIMES, times)
    for sign, times in Counter(usage.rule for usage in usages).items():
        yield f"rule.{sign}", min(_MOST_TIMES, times)
    yield "none-used", all(usage.status not in {USED, SHOWN} for usage in usages)
    for kind in {scope.kind for at in mentions for scope in hearing.over[hearing.heads[at]]}:
        yield f"scope.{kind}", 1


def _claimed(hearing: Hearing, mentions: Sequence[int]) -> Iterator[tuple[str, float]]:
    """Whether the food is said to be high in something soon after it is named, or to be low."""
    places, food = [hearing.heads[at] for at in mentions], hearing.foods[mentions[0]].food
    senses = {
        claim.sense
        for claim in hearing.claims
        if claim.subject is not None
        and claim.subject.food == food
        and any(0 <= claim.start - place <= _CLAIM_REACH for place in places)
    }
    yield "warned-of", "high" in senses
    yield "praised", bool(senses - {"high"})


def _amounts(talk: Talk, mentions: Sequence[int]) -> Iterator[tuple[str, float]]:
    said = [quantity for at in mentions for quantity in talk.said.get(at, ())]
    yield "figure", any(one.low is not None and not one.article for one in said)
    yield "article", any(one.article for one in said)
    yield "vague", any(one.vague for one in said)


def _beside(talk: Talk, food: FoodSpan) -> Iterator[str]:
    """The words round a mention: the one and the two next to it on each side, and within eight each word
    that is no food."""
    words = talk.hearing.speech.words
    left, right = _token(talk, food.start, -1), _token(talk, food.end, 0)
    left2 = _START if left == _START else _token(talk, food.start - 1, -1)
    yield f"left:{left}"
    yield f"left:{left2} {left}"
    yield f"right:{right}"
    yield f"right:{right} {_token(talk, food.end + 1, 0)}"
    before = range(max(0, food.start - _NEAR), food.start)
    after = range(food.end, min(len(words), food.end + _NEAR))
    yield from (f"before:{words[at]}" for at in before if at not in talk.in_foods)
    yield from (f"after:{words[at]}" for at in after if at not in talk.in_foods)


def _token(talk: Talk, place: int, step: int) -> str:
    """The word at `place + step`: numbers and foods by their kind; where a sentence begins at `place`, nothing stands
    before it."""
    at = place + step
    words = talk.hearing.speech.words
    if at < 0 or (step < 0 and talk.hearing.clauses.sentence(place)[0] == place):
        return _START
    if at >= len(words):
        return _STOP
    if words[at][0].isdigit():
        return _NUMBER
    return _FOOD if at in talk.in_foods else words[at]


def _zone(share: float) -> str:
    """A part of the talk: its opening, soon after it, the middle, or the end."""
    if share < _OPENING:
        return "opening"
    if share < _EARLY:
        return "early"
    return "middle" if share < _END else "end"


def _stems(food: FoodSpan) -> tuple[str, ...]:
    return tuple(stem(word) for word in food.name.split())
