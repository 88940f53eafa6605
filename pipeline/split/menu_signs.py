"""What speaks for a candidate being a dish of the episode: how the opening brings it in, and what becomes of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.split.calls import Caller
from pipeline.split.candidates import Candidate, Phrase
from pipeline.split.late_signs import LateSigns
from pipeline.split.menu_talk import Talk, TalkReader
from pipeline.split.nouns import Noun
from pipeline.split.outcomes import OutcomeReader
from pipeline.split.titles import TitleReader

_SIGNS = (
    "dish weak food part common plain announced early introduced starts article planned called told_of announcing "
    "listed tail modified cooked vessel measured within held turned made much_made at_the_end the served claimed "
    "outcome untold presented begun makings"
)
SIGNS = tuple(_SIGNS.split())
DESCRIBED = frozenset({"cooked", "modified", "tail", "vessel"})
_BESIDE = frozenset({"held", "within"})
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
_POINTING = frozenset({"that", "it", "this", "them"})
_AS_WELL = ("as", "well")


class MenuSigns:
    """Compiled words of announcing, planning and serving."""

    def __init__(
        self, titles: TitleReader, classes: Classes, table: FoodTable, caller: Caller, outcomes: OutcomeReader
    ) -> None:
        self._talks = TalkReader(classes, outcomes)
        self._late = LateSigns(titles, classes, table, caller, self._talks)
        self._common = frozenset(classes["dish-ending"])
        self._holders = frozenset(classes["title-vessel"])
        self._articles = frozenset(classes["title-article"])
        self._lead = frozenset(classes["title-lead"])
        self._glue = frozenset(classes["clause-lead"]) | self._lead
        self._between = frozenset(classes["menu-joining"]) | self._lead
        self._poured = frozenset(classes["poured-part"])
        self._beside_it = frozenset(classes["beside-it"])
        self._day = frozenset(classes["menu-day"])
        self._announcing = frozenset(classes["announcing"])
        self._naming = frozenset(classes["naming"])
        self._leads = load_phrases("menu_leads.csv", ("id", "when", "pattern"), classes)

    def talk(self, hearing: Hearing, candidates: Sequence[Candidate]) -> Talk:
        """What is asked of the talk for all its candidates."""
        return self._talks.read(hearing, candidates)

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
        signs |= dict.fromkeys(self._late.find(hearing, talk, candidate), 1)
        if not _BESIDE.isdisjoint(signs):
            signs.pop("outcome", None)
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
        `with leeks and a SALAD`; what it lies on, `over white RICE`; and what is poured over, `crumble and CUSTARD`."""
        words = hearing.speech.words
        following = words[noun.end : noun.end + _SAID_BESIDE]
        if not self._beside_it.isdisjoint(following) or following[: len(_AS_WELL)] == _AS_WELL:
            return False
        if words[start] in self._poured and words[max(0, start - 1)] == "and":
            return True
        lead = start
        while lead and words[lead - 1] in self._articles | self._lead:
            lead -= 1
        if noun.kind != "dish" and words[max(0, lead - 1)] == "over":
            return True
        first = max(hearing.clauses.sentence(start)[0], start - _WITHIN)
        place = next((at for at in range(start - 1, first - 1, -1) if words[at] == "with"), None)
        if place is None or words[place + 1] in _POINTING:
            return False
        between = [word for word in words[place + 1 : start] if word not in self._articles | self._lead]
        return not between or (between[-1] == "and" and words[place + 1] in self._articles)
