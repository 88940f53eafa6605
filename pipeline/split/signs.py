"""What a clause says without naming a dish: how it is cooked, and how easily the talk turns there."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows, load_weights
from pipeline.phrases import Phrases
from pipeline.split.dishes import places_by_stem, stem
from pipeline.split.remembered import Remembered, RememberedAt
from pipeline.split.ways import Ways

_WEIGHTS = (
    "called headed measured named titled titled_dish made made_measured sign most usual turn.breath turn.sentence "
    "turn.clause turn.called turn.soon turn.home turn.unnamed"
)
_MOST_NAMES = 2
_BY_FAR = 1.5


@dataclass(frozen=True, slots=True)
class Mind:
    """What calls topics to mind: the ways in which each topic is cooked and the topics of its dish, by the place of a
    word how strongly it speaks for each topic, by that of a food the topics it speaks for, first the one named after
    it, by that of a dish's noun its topic; the places of foods that speak for a whole dish, of words with which the
    talk turns, of those that lead their clause, and of foods with an amount. `telling` are the places of all these in
    order but of what is only spoken of, `naming` those of foods and nouns."""

    ways: Sequence[Ways]
    same_dish: Sequence[tuple[int, ...]]
    signs: Mapping[int, Sequence[float]]
    foods: Mapping[int, Sequence[int]]
    names: Mapping[int, int]
    made: Mapping[int, int]
    own: frozenset[int]
    turned: frozenset[int]
    headed: frozenset[int]
    measured: frozenset[int]
    telling: Sequence[int]
    naming: Sequence[int]

    def spoken(self, places: Sequence[int]) -> set[int]:
        """The topics that are named at some places, or for which a food there speaks."""
        found: set[int] = set()
        for place in places:
            found.update(self.foods.get(place, ()))
            if place in self.names:
                found.add(self.names[place])
        return found


class Signs:
    """Compiled signs of `models/cooking_signs.csv`; the points are those of `turns.toml`."""

    def __init__(self, classes: Classes) -> None:
        self._another = frozenset(classes["another-vessel"])
        self._turning = frozenset(classes["resuming"]) - {"so"}
        self._figures = frozenset(row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind"))) | {"a"}
        self._order = frozenset(classes["topic-order"]) | {"now", "then"}
        self.things = frozenset(classes["kitchen-thing"])
        rows = [(row["word"], _strengths(row["ways"])) for row in load_rows("cooking_signs.csv", ("word", "ways"))]
        self._ways = dict(rows)
        self._signs = Phrases((word, word) for word in self._ways)
        self._weights = load_weights("turns.toml", _WEIGHTS.split())
        self.called = self._weights["called"]
        self.breath = self._weights["turn.breath"]
        self.soon = self._weights["turn.soon"]
        self.home = self._weights["turn.home"]
        self.unnamed = self._weights["turn.unnamed"]
        totals = Counter[str]()
        for _, ways in rows:
            totals.update(ways)
        self._found = Remembered(self._scanned)
        self._turning_at = RememberedAt(self._turning_of)
        self._usual = {way: self._weights["usual"] * total / len(rows) for way, total in totals.items()}

    def find(self, hearing: Hearing, topics: Sequence[Ways]) -> dict[int, Sequence[float]]:
        """Place of a word -> how strongly it speaks for or against each topic, of which the ways of cooking are given;
        not `in another pan`."""
        found = self._found(hearing)
        strengths = {word: [self._strength(self._ways[word], ways) for ways in topics] for word in {*found.values()}}
        return {place: strengths[word] for place, word in found.items()}

    def _scanned(self, hearing: Hearing) -> Mapping[int, str]:
        """Place of a word -> the sign that begins there."""
        words = tuple(map(stem, hearing.speech.words))
        return {
            match.start: match.payload
            for match in self._signs.scan(words, places_by_stem(hearing))
            if not (match.start and words[match.start - 1] in self._another)
        }

    def points(self, mind: Mind, places: Sequence[int], alone: bool = False) -> dict[int, float]:
        """Topic -> points of the clause of which `places` tell something, those for its way of cooking beside what they
        are for the others, or each `alone`."""
        if not places:
            return {}
        told = [0.0] * len(mind.ways)
        spoken: dict[tuple[int, str], int] = {}
        for place in places:
            headed = place in mind.headed
            if place in mind.signs:
                strengths = mind.signs[place]
                told = [before + strength for before, strength in zip(told, strengths, strict=True)]
                for at in _only(strengths) if headed else ():
                    spoken.setdefault((at, "headed"), 1)
            if place in mind.names:
                named = (mind.names[place], "named")
                spoken[named] = min(_MOST_NAMES, spoken.get(named, 0) + 1)
                if headed:
                    spoken.setdefault((mind.names[place], "headed"), 1)
            if place in mind.made:
                spoken[mind.made[place], "made"] = 1
                if place in mind.measured:
                    spoken[mind.made[place], "made_measured"] = 1
            if place in mind.foods:
                for mark in self._foods(mind, place):
                    spoken.setdefault(mark, 1)
        told = told if alone else _levelled(told, mind.ways)
        mean, most = 0.0 if alone else sum(told) / len(told), self._weights["most"]
        points = {at: min(most, max(-most, self._weights["sign"] * (value - mean))) for at, value in enumerate(told)}
        for (at, how), count in spoken.items():
            points[at] += count * self._weights[how]
        for dish in {mind.same_dish[mind.foods[place][0]] for place in places if place in mind.own}:
            for at in dish:
                points[at] += self._weights["titled_dish"]
        return {at: value for at, value in points.items() if value}

    def _strength(self, sign: Ways, ways: Ways) -> float:
        """How strongly a sign speaks for a topic's ways, more than words of cooking usually do."""
        return sum(weight * (sign.get(way, 0) - self._usual.get(way, 0)) for way, weight in ways.items())

    @staticmethod
    def _foods(mind: Mind, place: int) -> list[tuple[int, str]]:
        """For which topics a food speaks that a dish is named after: this dish and its components, and how."""
        topics = mind.foods[place][:1] if place in mind.turned else mind.foods[place]
        hows = [("titled", True), ("headed", place in mind.headed), ("measured", place in mind.measured)]
        return [(at, how) for at in topics for how, told in hows if told]

    def turn(self, hearing: Hearing, start: int) -> float:
        """What turning to another dish costs at the clause that begins at word `start`."""
        return self._weights[self.turning(hearing, start)]

    def turning(self, hearing: Hearing, start: int) -> str:
        """How easily the talk turns at the clause that begins at word `start`: turn.breath, turn.sentence or
        turn.clause; the lone `now` of `spice paste now` looks back to the name before it."""
        return self._turning_at(hearing, start)

    def _turning_of(self, hearing: Hearing, start: int) -> str:
        sentence, end = hearing.clauses.sentence(start)
        if sentence != start or (end == start + 1 and hearing.speech.words[start] in self._order):
            return "turn.clause"
        words = hearing.speech.words[start : start + 2]
        goes_on = words[0] == "now" and words[-1] in self._figures
        return "turn.breath" if words[0] in self._turning and not goes_on else "turn.sentence"

    def called_turn(self) -> float:
        """What turning costs where a dish is called by name."""
        return self._weights["turn.called"]


def by_clause(places: Sequence[int], starts: Sequence[int]) -> list[Sequence[int]]:
    """Those of some places in order that lie in each of the clauses that begin at `starts`."""
    bounds = [*(bisect_left(places, start) for start in starts), len(places)]
    return [places[first:end] for first, end in pairwise(bounds)]


def _levelled(told: Sequence[float], ways: Sequence[Ways]) -> list[float]:
    """What is told, with the mean for topics of whose cooking nothing is known: no sign speaks against them."""
    known = [value for value, way in zip(told, ways, strict=True) if way]
    mean = sum(known) / len(known) if known else 0.0
    return [value if way else mean for value, way in zip(told, ways, strict=True)]


def _only(strengths: Sequence[float]) -> Sequence[int]:
    """The one topic that a thing of the kitchen speaks for by far: the pot for the stew and not for the loaf."""
    best, *others = sorted(strengths, reverse=True)
    clear = not others or best - others[0] >= _BY_FAR
    return [strengths.index(best)] if clear else []


def _strengths(ways: str) -> Ways:
    """`bread:3 cake:-1` -> the strength of each way."""
    pairs = (way.split(":") for way in ways.split())
    return {way: float(strength) for way, strength in pairs}
