"""What becomes of a candidate for a dish: it is turned to and made, brought in late, or said to feed so many."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.split.calls import Caller
from pipeline.split.candidates import Candidate
from pipeline.split.dishes import aside, named_aside, stem
from pipeline.split.makings import Makings
from pipeline.split.menu_talk import Talk, TalkReader, own_names
from pipeline.split.nouns import Noun
from pipeline.split.titles import TitleReader
from pipeline.split.ways import SAUCE, DishWays

_LONGEST_LEAD = 4
_MADE_WITHIN = 45
_BEGUN_WITHIN = 80
_MAKINGS_WITHIN = 150
_MADE_OF = 2
_MUCH_MADE_OF = 3
_LAST_PART = 0.85
_SERVED_WITHIN = 8
_MADE_DISHES = frozenset({"dish", "weak"})


class LateSigns:
    """Compiled words of bringing in, and what dishes are made of."""

    def __init__(
        self, titles: TitleReader, classes: Classes, table: FoodTable, caller: Caller, talks: TalkReader
    ) -> None:
        self._titles = titles
        self._caller = caller
        self._talks = talks
        self._group = {food.id: food.group for food in table}
        rows = load_rows("group_words.csv", ("word", "groups"))
        self._group_words = {
            row["word"]: frozenset(row["groups"].split()) for row in rows if row["word"] in classes["main-food"]
        }
        self._own = frozenset(classes["own-article"])
        self._lead = frozenset(classes["title-lead"])
        self._presenting = load_phrases("presenting_leads.csv", ("id", "pattern"), classes)
        self._makings = Makings(classes)
        self._plain = frozenset(classes["plain-making"])
        self._ways = DishWays(table)

    def find(self, hearing: Hearing, talk: Talk, candidate: Candidate) -> Iterator[str]:
        """The signs of the candidate, as they are called in `models/menu.toml`."""
        places = sorted(place for name in self._names(hearing, candidate) for place in talk.places.get(name, ()))
        good = [place for place in places if not aside(hearing, place)]
        yield from self._visited(hearing, talk, good)
        served = self._is_served(hearing, talk, places)
        if served:
            yield "served"
        presented = self._presented_at(hearing, talk, candidate)
        begun = [noun for noun in presented if _made_of(talk, noun.end - 1, _BEGUN_WITHIN) >= _MADE_OF]
        if presented:
            yield "presented"
        if begun:
            yield "begun"
        if self._has_outcome(hearing, talk, candidate, begun):
            yield "outcome"
        elif len(talk.outcomes) > 1 and not served:
            yield "untold"
        if self._has_makings(hearing, talk, candidate):
            yield "makings"
        if good and sum(place in talk.claimed for place in good) >= len(good) / 2:
            yield "claimed"

    def _visited(self, hearing: Hearing, talk: Talk, places: Sequence[int]) -> Iterator[str]:
        """What is done where the candidate is named."""
        words = hearing.speech.words
        late = [place for place in places if place >= talk.opening]
        turns = [place for place in late if self._caller.turns(hearing, place)]
        if turns:
            yield "turned"
        if any(_made_of(talk, place) >= _MADE_OF for place in turns):
            yield "made"
        if any(_made_of(talk, place) >= _MUCH_MADE_OF for place in late):
            yield "much_made"
        if any(place > len(words) * _LAST_PART for place in places):
            yield "at_the_end"
        if any(words[place - 1] in self._own for place in late if place):
            yield "the"

    def _has_outcome(self, hearing: Hearing, talk: Talk, candidate: Candidate, begun: Sequence[Noun]) -> bool:
        """Whether it is said how many the candidate feeds or how long it keeps, called by its name or by a word of the
        phrase that brought it in: the beets, for a beet salad; a sauce that is no dish of its own keeps too."""
        told = {word for noun in begun for word in self._phrase(hearing, noun)} | own_names(hearing, candidate)
        told_of = not told.isdisjoint(talk.outcomes) or any(noun.end in talk.outcome_ends for noun in candidate.nouns)
        sauce = candidate.kind != "dish" and self._ways.of_words([candidate.name]).keys() == {SAUCE}
        return told_of and not sauce and not self._talks.is_vessel(candidate)

    def _presented_at(self, hearing: Hearing, talk: Talk, candidate: Candidate) -> list[Noun]:
        """The nouns after the opening that bring a dish in."""
        if candidate.kind not in _MADE_DISHES:
            return []
        late = (noun for noun in candidate.nouns if noun.start >= talk.opening)
        return [noun for noun in late if self._presented(hearing, noun)]

    def _presented(self, hearing: Hearing, noun: Noun) -> bool:
        """Whether a noun is brought in: `this is ROSTI`, `we're doing the PARSNIPS`."""
        if named_aside(hearing, noun.end - 1):
            return False
        words, start = hearing.speech.words, noun.start
        first = self._titles.noun_phrase_start(hearing, noun.start)
        ends = {start, first}
        while first and words[first - 1] in self._lead:
            first -= 1
            ends.add(first)
        places = range(max(0, first - _LONGEST_LEAD), start)
        return any(match.end in ends for at in places for match in self._presenting.at(words, at))

    def _has_makings(self, hearing: Hearing, talk: Talk, candidate: Candidate) -> bool:
        """Whether a food that the candidate is known to be made of is measured soon after it is named; flour, eggs and
        milk tell nothing."""
        if candidate.kind not in _MADE_DISHES:
            return False
        words = hearing.speech.words
        made_of = (self._makings.of_words(words[noun.start : noun.end]) for noun in candidate.nouns)
        foods = frozenset().union(*made_of) - self._plain
        return bool(foods) and any(self._is_made(hearing, talk, foods, noun.end) for noun in candidate.nouns)

    def _is_made(self, hearing: Hearing, talk: Talk, foods: frozenset[str], place: int) -> bool:
        """Whether one of some foods is measured soon after a place."""
        near = (food for start, food in talk.amounts if 0 <= start - place <= _MAKINGS_WITHIN)
        spoken = (hearing.foods[food] for food in near)
        return any(
            self._makings.holds(foods, [stem(word) for word in food.name.split()], self._group.get(food.food, ""))
            for food in spoken
        )

    def _phrase(self, hearing: Hearing, noun: Noun) -> set[str]:
        """The words of the phrase that ends in a noun, in the singular."""
        start = self._titles.noun_phrase_start(hearing, noun.start)
        return {stem(word) for word in hearing.speech.words[start : noun.end]}

    def _names(self, hearing: Hearing, candidate: Candidate) -> set[str]:
        """The names by which the candidate may come again: its own, and for a food the word for its group, as the fish
        for haddock."""
        if candidate.kind != "food":
            return {candidate.name}
        ends = {noun.end for noun in candidate.nouns}
        groups = {self._group.get(food.food) for food in hearing.foods if food.end in ends}
        called = {word for word, of in self._group_words.items() if not of.isdisjoint(groups)}
        return own_names(hearing, candidate) | called

    def _is_served(self, hearing: Hearing, talk: Talk, places: Sequence[int]) -> bool:
        """Whether it is said of the noun how many it feeds, or how long it keeps."""
        return any(
            hearing.clauses.sentence(place) == hearing.clauses.sentence(at)
            for place in places
            for at in talk.served[bisect_right(talk.served, place) : bisect_right(talk.served, place + _SERVED_WITHIN)]
        )


def _made_of(talk: Talk, place: int, within: int = _MADE_WITHIN) -> int:
    """How many foods are measured right after a place."""
    first = bisect_left(talk.amounts, (place + 1,))
    return len({food for _, food in talk.amounts[first : bisect_left(talk.amounts, (place + within + 1,))]})
