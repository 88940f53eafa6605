"""What speaks for a candidate being a dish of the episode: how the opening brings it in, and what becomes of it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.split.calls import Caller
from pipeline.split.candidates import Candidate, Noun, Phrase, opening_of
from pipeline.split.dishes import aside, first_amount, places_by_stem, stem

_SIGNS = (
    "dish weak food part common plain announced early introduced starts article planned called told_of announcing "
    "listed tail modified cooked vessel measured within held turned made much_made at_the_end the served claimed"
)
SIGNS = tuple(_SIGNS.split())
DESCRIBED = frozenset({"cooked", "modified", "tail", "vessel"})
_EARLY = 60
_EARLY_SHARE = 5
_LEAD = 3
_LONGEST_LEAD = 4
_PLAN_WITHIN = 14
_ANNOUNCED_WITHIN = 12
_MOST_ANNOUNCING = 3
_WITHIN = 8
_SAID_BESIDE = 3
_SIDE_BY_SIDE = 6
_MADE_WITHIN = 45
_MADE_OF = 2
_MUCH_MADE_OF = 3
_LAST_PART = 0.85
_SERVED_WITHIN = 8
_KEPT_BEFORE = 4
_CLAIM_ROUND = 6


@dataclass(frozen=True, slots=True)
class Talk:
    """What is asked of a talk for every candidate: the places of every word by its singular, where the opening ends,
    where the first amount is said, the foods with an amount, those with a vague one (a bit of mash), the places and
    foods of amounts, the spans of phrases that may name dishes, the words near claims, and where it is said how many
    are fed or how long a thing keeps."""

    places: dict[str, list[int]]
    opening: int
    first_amount: int
    measured: frozenset[int]
    vague: frozenset[int]
    amounts: Sequence[tuple[int, int]]
    phrases: Sequence[tuple[str, int, int]]
    claimed: frozenset[int]
    served: Sequence[int]


class MenuSigns:
    """Compiled words of announcing, planning and serving."""

    def __init__(self, classes: Classes, table: FoodTable, caller: Caller) -> None:
        self._caller = caller
        self._group = {food.id: food.group for food in table}
        rows = load_rows("group_words.csv", ("word", "groups"))
        self._group_words = {
            row["word"]: frozenset(row["groups"].split()) for row in rows if row["word"] in classes["main-food"]
        }
        self._common = frozenset(classes["dish-ending"])
        self._holders = frozenset(classes["title-vessel"])
        self._articles = frozenset(classes["title-article"])
        self._own = frozenset(classes["own-article"])
        self._lead = frozenset(classes["title-lead"])
        self._glue = frozenset(classes["clause-lead"]) | self._lead
        self._between = frozenset(classes["menu-joining"]) | self._lead
        self._poured = frozenset(classes["poured-part"])
        self._beside_it = frozenset(classes["beside-it"])
        self._day = frozenset(classes["menu-day"])
        self._announcing = frozenset(classes["announcing"])
        self._naming = frozenset(classes["naming"])
        self._kept = frozenset(classes["kept-word"])
        self._leads = load_phrases("menu_leads.csv", ("id", "when", "pattern"), classes)

    def talk(self, hearing: Hearing, candidates: Sequence[Candidate]) -> Talk:
        """What is asked of the talk for all its candidates."""
        amounts = [(said.quantity.start, said.food) for said in hearing.measured if not said.quantity.article]
        first = first_amount(hearing)
        told = [said for said in hearing.measured if not said.quantity.article and said.quantity.unit != "piece"]
        claimed = {
            place for claim in hearing.claims for place in range(claim.start - _CLAIM_ROUND, claim.end + _CLAIM_ROUND)
        }
        kept = (span.start for span in hearing.times if self._is_kept(hearing, span.start))
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
        )

    def _is_kept(self, hearing: Hearing, start: int) -> bool:
        return not self._kept.isdisjoint(hearing.speech.words[max(0, start - _KEPT_BEFORE) : start])

    def find(self, hearing: Hearing, talk: Talk, candidate: Candidate) -> dict[str, float]:
        """Signs that speak for or against the candidate; `announcing` counts words, the others are there or not."""
        signs: dict[str, float] = {candidate.kind: 1}
        if candidate.name in self._common:
            signs["common"] = 1
        for phrase in candidate.phrases:
            signs |= dict.fromkeys(self._said(hearing, talk, candidate, phrase), 1)
            announcing = signs.get("announcing", 0)
            signs["announcing"] = max(announcing, self._announced(hearing, phrase.item.start))
        if candidate.kind != "dish" and DESCRIBED.isdisjoint(signs):
            signs["plain"] = 1
        signs |= dict.fromkeys(self._later(hearing, talk, candidate), 1)
        return {sign: value for sign, value in signs.items() if value}

    def _announced(self, hearing: Hearing, start: int) -> int:
        """How many of the words before the phrase are those of announcing, up to a limit."""
        words = hearing.speech.words[max(0, start - _ANNOUNCED_WITHIN) : start]
        return min(_MOST_ANNOUNCING, sum(word in self._announcing for word in words))

    def _said(self, hearing: Hearing, talk: Talk, candidate: Candidate, phrase: Phrase) -> Iterator[str]:
        """Signs of one phrase of the opening."""
        words, noun, start = hearing.speech.words, phrase.noun, phrase.item.start
        before = words[start - 1] if start else ""
        yield from self._placed(hearing, talk, noun, start)
        if before in self._articles:
            yield "article"
            if words[start - 2 : start - 1] and words[start - 2] in self._naming:
                yield "told_of"
        if before in self._naming:
            yield "called"
        if self._planned(hearing, start):
            yield "planned"
        if self._listed(words, talk, candidate.name, phrase):
            yield "listed"
        if self._is_within(hearing, noun, start):
            yield "within" if noun.kind == "dish" else "held"
        yield from self._described(hearing, talk, phrase)

    def _placed(self, hearing: Hearing, talk: Talk, noun: Noun, start: int) -> Iterator[str]:
        words = hearing.speech.words
        if noun.start < min(_EARLY, len(hearing.speech) // _EARLY_SHARE):
            yield "early"
        if start < talk.first_amount:
            yield "introduced"
        firsts = (hearing.clauses.sentence(start)[0], hearing.clauses.clause(start)[0])
        if any(start - first <= _LEAD and self._glue.issuperset(words[first:start]) for first in firsts):
            yield "starts"

    def _described(self, hearing: Hearing, talk: Talk, phrase: Phrase) -> Iterator[str]:
        """Whether more is said than the noun, and how it is cooked, held or measured."""
        words, noun, start = hearing.speech.words, phrase.noun, phrase.item.start
        if noun.kind != "dish":
            if phrase.cooked:
                yield "cooked"
            elif start < min((food.start for food in hearing.foods if food.end == noun.end), default=noun.start):
                yield "modified"
            if words[max(0, start - 1) : start] == ("of",) and words[max(0, start - 2)] in self._holders:
                yield "vessel"
            if len(phrase.item.title.split()) > noun.end - start and not phrase.cooked:
                yield "tail"
        measured = talk.measured if noun.kind == "dish" else talk.measured - talk.vague
        if any(place in measured for place in range(start, noun.end)):
            yield "measured"

    def _planned(self, hearing: Hearing, start: int) -> bool:
        """Whether the phrase follows words of planning (`second stop is`), some of them only soon after a word for the
        day: `so tonight we've got`."""
        words = hearing.speech.words
        while start and words[start - 1] in self._lead:
            start -= 1
        led = {
            match.payload["when"]
            for place in range(max(0, start - _LONGEST_LEAD), start)
            for match in self._leads.at(words, place)
            if match.end == start
        }
        today = not self._day.isdisjoint(words[max(0, start - _PLAN_WITHIN) : start])
        return "always" in led or ("day" in led and today)

    def _listed(self, words: Sequence[str], talk: Talk, name: str, phrase: Phrase) -> bool:
        """Whether nothing but joining words stands between the phrase and another that may name a dish."""
        for other, start, end in talk.phrases:
            if other == name:
                continue
            first, second = sorted([(start, end), (phrase.item.start, phrase.item.end)])
            between = words[first[1] : second[0]]
            if second[0] >= first[1] and len(between) <= _SIDE_BY_SIDE and self._between.issuperset(between):
                return True
        return False

    def _is_within(self, hearing: Hearing, noun: Noun, start: int) -> bool:
        """Whether the phrase is what something comes with: `with a SALAD`, `with a sauce and a SALAD`, but not
        `with leeks and a SALAD`; and what is poured over, `crumble and CUSTARD`."""
        words = hearing.speech.words
        if not self._beside_it.isdisjoint(words[noun.end : noun.end + _SAID_BESIDE]):
            return False
        if words[start] in self._poured and words[max(0, start - 1)] == "and":
            return True
        first = max(hearing.clauses.sentence(start)[0], start - _WITHIN)
        place = next((at for at in range(start - 1, first - 1, -1) if words[at] == "with"), None)
        if place is None:
            return False
        between = [word for word in words[place + 1 : start] if word not in self._articles | self._lead]
        return not between or (between[-1] == "and" and words[place + 1] in self._articles)

    def _later(self, hearing: Hearing, talk: Talk, candidate: Candidate) -> Iterator[str]:
        """What becomes of the noun in the whole talk."""
        words = hearing.speech.words
        places = sorted(place for name in self._names(hearing, candidate) for place in talk.places.get(name, ()))
        good = [place for place in places if not aside(hearing, place)]
        late = [place for place in good if place >= talk.opening]
        turns = [place for place in late if self._caller.turns(hearing, place)]
        if turns:
            yield "turned"
        if any(_made_of(talk, place) >= _MADE_OF for place in turns):
            yield "made"
        if any(_made_of(talk, place) >= _MUCH_MADE_OF for place in late):
            yield "much_made"
        if any(place > len(words) * _LAST_PART for place in good):
            yield "at_the_end"
        if any(words[place - 1] in self._own for place in late if place):
            yield "the"
        if self._is_served(hearing, talk, places):
            yield "served"
        if good and sum(place in talk.claimed for place in good) >= len(good) / 2:
            yield "claimed"

    def _names(self, hearing: Hearing, candidate: Candidate) -> set[str]:
        """The names by which the candidate may come again: for a food all words of its name, as pork of pork
        tenderloin, those of a phrase of two foods, and the word for its group, as the fish for haddock."""
        if candidate.kind != "food":
            return {candidate.name}
        words = hearing.speech.words
        spans = {word for noun in candidate.nouns for word in words[noun.start : noun.end]}
        for phrase in candidate.phrases:
            before = words[phrase.item.start : phrase.noun.start]
            spans.update(before if "and" in before else ())
        foods = {food.name for food in hearing.foods if food.end - food.start == 1}
        ends = {noun.end for noun in candidate.nouns}
        groups = {self._group.get(food.food) for food in hearing.foods if food.end in ends}
        called = {word for word, of in self._group_words.items() if not of.isdisjoint(groups)}
        return (
            {candidate.name} | called | {stem(word) for word in spans if stem(word) in {stem(name) for name in foods}}
        )

    def _is_served(self, hearing: Hearing, talk: Talk, places: Sequence[int]) -> bool:
        """Whether it is said of the noun how many it feeds, or how long it keeps."""
        return any(
            hearing.clauses.sentence(place) == hearing.clauses.sentence(at)
            for place in places
            for at in talk.served[bisect_right(talk.served, place) : bisect_right(talk.served, place + _SERVED_WITHIN)]
        )


def _made_of(talk: Talk, place: int) -> int:
    """How many foods are measured right after a place."""
    first = bisect_left(talk.amounts, (place + 1,))
    return len({food for _, food in talk.amounts[first : bisect_left(talk.amounts, (place + _MADE_WITHIN + 1,))]})
