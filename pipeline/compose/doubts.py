"""Weighs whether a food that would be a line goes into a dish at all, by everything said of it together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import exp

from pipeline.compose.amounts import unit_kinds
from pipeline.compose.line_draft import LineDraft
from pipeline.foods.table import FoodTable
from pipeline.hear.claims import ClaimSpan
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_sign_weights
from pipeline.hear.usage import ALTERNATIVE, ASIDE, SPOKEN, USED
from pipeline.split.dishes import FEW_WORDS, Dish, Topic, stem
from pipeline.split.makings import Makings
from pipeline.split.remembered import Remembered

_DOUBTED = 0.6
_MOSTLY = 0.75
_PEOPLE_BEFORE = 14
_BESIDE = 8
_CLAIM_REACH = 25
_COMPANY = 15
_MOST_COMPANY = 6
_OUT = frozenset({ALTERNATIVE, ASIDE, SPOKEN})


class LineDoubts:
    """What speaks for and against a line, weighed by `models/line_doubts.csv`."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self._weights = load_sign_weights("line_doubts.csv")
        self._groups = {food.id: food.group for food in table}
        self._makings = Makings(classes)
        self._used = Remembered(_used_by_food)
        self._claimed = Remembered(_claims_by_food)
        self._people = frozenset(classes["person"]).union(classes["people"], classes["kin"], classes["other-person"])
        self._not = frozenset(classes["negating"]) | {"no"}
        self._is = frozenset(classes["be"]) | {"has", "have", "had"}

    def doubted(self, hearing: Hearing, dishes: Sequence[Dish], lines: Sequence[LineDraft]) -> list[LineDraft]:
        """The lines that are more likely only spoken of; none in a few sentences, which tell too little, or where few
        foods have an amount, so that to have none tells nothing."""
        measured = sum(bool(line.said) for line in lines)
        if len(hearing.speech) < FEW_WORDS or measured < _MOSTLY * len(lines):
            return []
        made_of = [self._makings.of(dish, Topic(at)) for at, dish in enumerate(dishes)]
        return [line for line in lines if self.likelihood(hearing, made_of, line) > _DOUBTED]

    def likelihood(self, hearing: Hearing, made_of: Sequence[frozenset[str]], line: LineDraft) -> float:
        """How likely, from 0 to 1, it is that a line is of a food that goes into no dish. `made_of` are the foods that
        the dishes are known to be made of."""
        signs = self.signs(hearing, made_of, line)
        return 1 / (1 + exp(-sum(weight * self._weights.get(sign, 0.0) for sign, weight in signs)))

    def signs(
        self, hearing: Hearing, made_of: Sequence[frozenset[str]], line: LineDraft
    ) -> Iterator[tuple[str, float]]:
        """Each sign there is and how strong it is, from 0 to 1."""
        yield "any", 1
        yield f"group.{self._groups.get(line.food, '')}", 1
        yield from ((rule, 1) for rule in {hearing.usages[at].rule for at in line.mentions})
        yield "spoken", any(hearing.usages[at].status == SPOKEN for at in line.mentions)
        yield "optional", line.optional
        yield "offered-for", bool(line.alternatives)
        yield from self._amounts(line)
        yield from self._claims(hearing, line)
        yield from self._words(hearing, line)
        yield from self._company(hearing, line)
        others = self._used(hearing).get(line.food, set()).difference(line.mentions)
        yield "used-elsewhere", bool(others)
        words = [stem(word) for word in line.name.split()]
        group = self._groups.get(line.food, "")
        yield "makings", any(self._makings.holds(foods, words, group) for foods in made_of)

    @staticmethod
    def _amounts(line: LineDraft) -> Iterator[tuple[str, float]]:
        """Whether an amount is said by figure, and whether by a measure."""
        figures = [said.quantity for said in line.said if not said.quantity.article]
        yield "said", bool(line.said)
        yield "figure", bool(figures)
        yield "measured", any(unit_kinds().get(one.unit or "") == "measure" for one in figures)
        yield "vague", any(one.vague for one in figures)

    def _claims(self, hearing: Hearing, line: LineDraft) -> Iterator[tuple[str, float]]:
        """Whether the food is said to be high in something soon after it is named, or to be low."""
        places = [hearing.heads[at] for at in line.mentions]
        senses = {
            claim.sense
            for claim in self._claimed(hearing).get(line.food, [])
            if any(0 <= claim.start - place <= _CLAIM_REACH for place in places)
        }
        yield "warned-of", "high" in senses
        yield "praised", bool(senses - {"high"})

    def _words(self, hearing: Hearing, line: LineDraft) -> Iterator[tuple[str, float]]:
        """What stands before and after the food each time it is named."""
        foods = [hearing.foods[at] for at in line.mentions]
        words = hearing.speech.words
        before = [words[max(0, food.start - _PEOPLE_BEFORE) : food.start] for food in foods]
        after = [words[food.end : food.end + _BESIDE] for food in foods]
        yield "people-before", not any(self._people.isdisjoint(said) for said in before)
        yield "people-after", not any(self._people.isdisjoint(said) for said in after)
        yield "not-before", not any(self._not.isdisjoint(said[-_BESIDE:]) for said in before)
        yield "not-after", not any(self._not.isdisjoint(said) for said in after)
        yield "is-after", all(self._is_told(words, food) for food in foods)

    def _is_told(self, words: Sequence[str], food: FoodSpan) -> bool:
        """`a stock cube is`, `avocado's`: something is said of it."""
        return words[food.end - 1].endswith("'s") or not self._is.isdisjoint(words[food.end : food.end + 1])

    @staticmethod
    def _company(hearing: Hearing, line: LineDraft) -> Iterator[tuple[str, float]]:
        """The foods named near it, and how many of these are kept out."""
        own = set(line.mentions)
        near = {
            at
            for mention in own
            for at in hearing.foods_in(hearing.heads[mention] - _COMPANY, hearing.heads[mention] + _COMPANY + 1)
        } - own
        out = sum(hearing.usages[at].status in _OUT for at in near)
        yield "company", min(len(near), _MOST_COMPANY) / _MOST_COMPANY
        yield "company-out", out / len(near) if near else 0.0


def _used_by_food(hearing: Hearing) -> Mapping[str, set[int]]:
    """Each food -> where it is named and used."""
    found: dict[str, set[int]] = {}
    for at, (food, usage) in enumerate(zip(hearing.foods, hearing.usages, strict=True)):
        if usage.status == USED:
            found.setdefault(food.food, set()).add(at)
    return found


def _claims_by_food(hearing: Hearing) -> Mapping[str, list[ClaimSpan]]:
    """Each food -> what is claimed of it."""
    found: dict[str, list[ClaimSpan]] = {}
    for claim in hearing.claims:
        if claim.subject is not None:
            found.setdefault(claim.subject.food, []).append(claim)
    return found
