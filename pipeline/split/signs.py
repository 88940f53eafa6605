"""What a clause says without naming a dish: how it is cooked, and how easily the talk turns there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows, load_weights
from pipeline.split.dishes import MAIN, Dish, Topic, aside, stem

_WEIGHTS = "called headed measured sign most wait turn.breath turn.sentence turn.clause"


@dataclass(frozen=True, slots=True)
class Mind:
    """What calls topics to mind: how each topic is cooked, by the place of a word the ways it belongs to, by that of a
    food the topics it speaks for, first the one named after it, the places of the words with which the talk turns, of
    those that lead their clause, and of foods with an amount."""

    ways: Sequence[frozenset[str]]
    signs: Mapping[int, frozenset[str]]
    foods: Mapping[int, Sequence[int]]
    turned: frozenset[int]
    headed: frozenset[int]
    measured: frozenset[int]


class Signs:
    """Compiled signs of `models/cooking_ways.csv`, `cooking_manners.csv` and `cooking_signs.csv`; the points are those
    of `turns.toml`."""

    def __init__(self, classes: Classes) -> None:
        self._another = frozenset(classes["another-vessel"])
        self._turning = frozenset(classes["resuming"]) - {"so"}
        self._ways = {
            row["word"]: frozenset(row["ways"].split()) for row in load_rows("cooking_ways.csv", ("word", "ways"))
        }
        self._manners = {
            row["word"]: frozenset(row["ways"].split()) for row in load_rows("cooking_manners.csv", ("word", "ways"))
        }
        rows = load_rows("cooking_signs.csv", ("word", "kind", "ways"))
        self._signs = {row["word"]: frozenset(row["ways"].split()) for row in rows}
        self.things = frozenset(row["word"] for row in rows if row["kind"] == "thing")
        weights = load_weights("turns.toml", _WEIGHTS.split())
        self.called = weights["called"]
        self.wait = weights["wait"]
        self._sign = weights["sign"]
        self._measured = weights["measured"]
        self._headed = weights["headed"]
        self._most = weights["most"]
        self._costs = {key.removeprefix("turn."): value for key, value in weights.items() if key.startswith("turn.")}

    def ways(self, dish: Dish, topic: Topic) -> frozenset[str]:
        """How a dish or a component is cooked: `pot` for rice, `pan wok` for rice that is fried. A component is told by
        its noun, a dish by all words of its title; a component of which nothing is known is cooked with its dish."""
        own = self._way_of(topic.part.split()[-1:]) if topic.part != MAIN else frozenset()
        return own or self._way_of([*dish.title.split(" with ")[0].split(), dish.head])

    def _way_of(self, words: Sequence[str]) -> frozenset[str]:
        manner = frozenset().union(*(self._manners.get(word, frozenset()) for word in words))
        return manner or frozenset().union(*(self._ways.get(stem(word), frozenset()) for word in words))

    def find(self, hearing: Hearing) -> dict[int, frozenset[str]]:
        """Place of a word -> the ways of cooking it belongs to; not within a food's name, as in baking powder."""
        inside = {place for food in hearing.foods for place in range(food.start, food.end - 1)}
        words = hearing.speech.words
        return {
            place: self._signs[stem(word)]
            for place, word in enumerate(words)
            if stem(word) in self._signs and place not in inside and not (place and words[place - 1] in self._another)
        }

    def points(self, hearing: Hearing, mind: Mind, start: int, end: int) -> dict[int, float]:
        """Topic -> points of the clause from word `start` to `end` (exclusive)."""
        found: dict[int, float] = {}
        for place in range(start, end):
            signs = mind.signs.get(place, frozenset())
            speaks = [at for at, way in enumerate(mind.ways) if signs & way]
            headed = place in mind.headed
            if place in mind.foods:
                speaks.extend(mind.foods[place][:1] if place in mind.turned else mind.foods[place])
            if not speaks or aside(hearing, place):
                continue
            for at in speaks:
                before = found.get(at, 0.0)
                soft = self._measured if place in mind.measured else min(self._most, before + self._sign)
                found[at] = max(before, self._headed if headed else soft)
        return found

    def turn(self, hearing: Hearing, start: int) -> float:
        """What turning to another dish costs at the clause that begins at word `start`."""
        if hearing.clauses.sentence(start)[0] != start:
            return self._costs["clause"]
        word = hearing.speech.words[start]
        return self._costs["breath" if word in self._turning else "sentence"]
