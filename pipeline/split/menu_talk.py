"""A whole talk as it is asked about every candidate for a dish: where words, amounts and claims stand, and what is told
to feed so many or to keep."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.split.candidates import Candidate, opening_of
from pipeline.split.dishes import first_amount, places_by_stem, stem
from pipeline.split.outcomes import OutcomeReader

_KEPT_BEFORE = 4
_CLAIM_ROUND = 6
_LONG_NAME = 3


@dataclass(frozen=True, slots=True)
class Talk:
    """What is asked of a talk for every candidate: the places of every word by its singular, where the opening ends,
    where the first amount is said, the foods with an amount, those with a vague one (a bit of mash), the places and
    foods of amounts, the spans of phrases that may name dishes, the words near claims, where it is said how many are
    fed or how long a thing keeps, the names of candidates of which that is said, and where such names end."""

    places: dict[str, list[int]]
    opening: int
    first_amount: int
    measured: frozenset[int]
    vague: frozenset[int]
    amounts: Sequence[tuple[int, int]]
    phrases: Sequence[tuple[str, int, int]]
    claimed: frozenset[int]
    served: Sequence[int]
    outcomes: frozenset[str]
    outcome_ends: frozenset[int]


class TalkReader:
    """Compiled words of keeping and of vessels."""

    def __init__(self, classes: Classes, outcomes: OutcomeReader) -> None:
        self._kept = frozenset(classes["kept-word"])
        self._holders = frozenset(classes["title-vessel"])
        self._outcomes = outcomes

    def read(self, hearing: Hearing, candidates: Sequence[Candidate]) -> Talk:
        """What is asked of the talk for all its candidates."""
        amounts = [(said.quantity.start, said.food) for said in hearing.measured if not said.quantity.article]
        first = first_amount(hearing)
        told = [said for said in hearing.measured if not said.quantity.article and said.quantity.unit != "piece"]
        claimed = {
            place for claim in hearing.claims for place in range(claim.start - _CLAIM_ROUND, claim.end + _CLAIM_ROUND)
        }
        kept = (span.start for span in hearing.times if self._is_kept(hearing, span.start))
        outcomes = self._outcomes.find(hearing)
        words = hearing.speech.words
        whole = (one for one in candidates if one.kind != "part" and not self.is_vessel(one))
        names = {name for one in whole for name in own_names(hearing, one)}
        return Talk(
            places_by_stem(hearing),
            opening_of(hearing),
            len(hearing.speech) if first is None else first,
            frozenset(hearing.foods[said.food].head for said in told),
            frozenset(hearing.foods[said.food].head for said in told if said.quantity.vague),
            sorted(amounts),
            [(one.name, phrase.item.start, phrase.item.end) for one in candidates for phrase in one.phrases],
            frozenset(claimed),
            sorted([*(span.start for span in hearing.servings), *kept]),
            frozenset(stem(words[told.end - 1]) for told in outcomes if told.the) & names,
            frozenset(told.end for told in outcomes),
        )

    def _is_kept(self, hearing: Hearing, start: int) -> bool:
        return not self._kept.isdisjoint(hearing.speech.words[max(0, start - _KEPT_BEFORE) : start])

    def is_vessel(self, candidate: Candidate) -> bool:
        """Whether only a vessel is named, as the dish, not a hot dish."""
        return candidate.name in self._holders and all(noun.end - noun.start == 1 for noun in candidate.nouns)


def own_names(hearing: Hearing, candidate: Candidate) -> set[str]:
    """The candidate's name; the first word of a name of three and more (toad in the hole); for a food all words of it,
    as pork of pork tenderloin, and those of a phrase of two foods."""
    words = hearing.speech.words
    if candidate.kind != "food":
        long = (noun for noun in candidate.nouns if noun.end - noun.start >= _LONG_NAME)
        return {candidate.name, *(stem(words[noun.start]) for noun in long)}
    spans = {word for noun in candidate.nouns for word in words[noun.start : noun.end]}
    for phrase in candidate.phrases:
        before = words[phrase.item.start : phrase.noun.start]
        spans.update(before if "and" in before else ())
    foods = {stem(food.name) for food in hearing.foods if food.end - food.start == 1}
    return {candidate.name} | {stem(word) for word in spans if stem(word) in foods}
