"""Decides for each food spoken of whether it goes into the dish, stands in for another, or is only talked about."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import pairwise

from pipeline.hear.again import put_right, told_again
from pipeline.hear.called import CalledFinder
from pipeline.hear.claims import ClaimSpan
from pipeline.hear.clauses import Clauses
from pipeline.hear.followed import FollowUpFinder, after_all
from pipeline.hear.foods import FoodSpan
from pipeline.hear.goes_on import goes_on
from pipeline.hear.lexicon import Classes, Row, load_dish_words, load_phrases, load_rows, marked_rules, phrase_class
from pipeline.hear.measured import Measured, is_ahead, of_one
from pipeline.hear.opened import OpenedTurns
from pipeline.hear.scopes import Scope
from pipeline.hear.speech import Speech
from pipeline.hear.standins import NOBODY, StandInFinder
from pipeline.hear.waters import WaterJudge
from pipeline.phrases import Match

USED, SHOWN, SPOKEN, ASIDE, ALTERNATIVE = "used", "shown", "spoken", "aside", "alternative"
_WHY_ORDER = ("negated", "alternative", "elsewhere", "habit", "comparison", "hypothetical", "interrupted")
_DOING = frozenset({"add", "cut", "combine", "cook", "wash", "shape", "frame-add"})
_ADDING = frozenset({"add", "frame-add"})
_HAVING = frozenset({"use", "show", "frame-shown", "discard", "make", "serve"})
_FRAGMENT = 12
_LEAD = 8
_TAKEN_BACK = 6
_IF_NOT = 12
_AT_HAND = 3
_TOLD_REACH = 12
_OTHER_KIND = "food.ellipsis"
_SYNONYM = marked_rules("same-thing")
_OURS_LEAD = 6
_TOLD_BY = 4
_PUTS_RIGHT = phrase_class("puts-right")
_JUDGED = phrase_class("judging-verb")
_REFUSED = marked_rules("forbidden")
_HOLDS = phrase_class("holds-verb")
_IS_LIKE = phrase_class("is-like")
_FOR_EACH = phrase_class("for-each")
_OPEN = frozenset({"usage.none", "usage.claim-only"})
_TOUR = 150
_GIVES_OR_IS = phrase_class("gives-or-is")


@dataclass(frozen=True, slots=True)
class Usage:
    """What becomes of one food of the speech: `status` is used, shown (on the table), spoken (nothing says that it is
    used), aside (kept out, `why` tells the kind of scope) or alternative. `rule` names what decided. `stands_for` is
    the index of the food that an alternative was offered for, NOBODY where none was named beside it."""

    status: str
    why: str
    rule: str
    stands_for: int = NOBODY


@dataclass(frozen=True, slots=True)
class _Heard:
    speech: Speech
    clauses: Clauses
    foods: Sequence[FoodSpan]
    frames: Sequence[Match[Row]]
    amounts: frozenset[int]
    articles: frozenset[int]
    named: Set[int]
    subjects: frozenset[int]
    toured: frozenset[int]
    verbs: Sequence[str]
    frame_starts: Sequence[int]
    counted: frozenset[int]
    waters: frozenset[int]
    single: frozenset[int]
    within: frozenset[int]


class UsageJudge:
    """Compiled verbs and frames."""

    def __init__(self, classes: Classes) -> None:
        self._turning, self._our_way = frozenset(classes["turning-word"]), frozenset(classes["our-way"])
        self._taking = frozenset(classes["share-verb"])
        self._verbs: Mapping[str, str] = {
            row["form"]: row["kind"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        }
        self._frames = load_phrases("usage_frames.csv", ("id", "kind", "pattern"), classes)
        self._tours = load_phrases("tour_cues.csv", ("id", "pattern"), classes)
        self._joins = frozenset(classes["joining"]) | frozenset(classes["list-joining"])
        self._waters = WaterJudge(classes)
        self._fillers = frozenset(classes["amount-filler"]) | frozenset(classes["oh-well"])
        self._owning = frozenset(classes["have"]) | frozenset(classes["owning-lead"])
        self._nutrients = frozenset(row["words"] for row in load_rows("nutrients.csv", ("words", "nutrient")))
        dishes = {row["words"] for row in load_dish_words()}
        self._dish_nouns = frozenset((word,) for word in dishes - self._verbs.keys())
        self._turns = OpenedTurns(classes)
        self._places = frozenset(classes["preposition"])
        self._one = frozenset(classes["single-article"])
        self._us = frozenset(classes["ourselves-cooking"])
        self._standins = StandInFinder(classes)
        self._follow_ups = FollowUpFinder(classes)
        self._names = CalledFinder(classes)

    def judge(
        self,
        speech: Speech,
        clauses: Clauses,
        foods: Sequence[FoodSpan],
        measured: Sequence[Measured],
        over: Sequence[Sequence[Scope]],
        claims: Sequence[ClaimSpan],
    ) -> tuple[Usage, ...]:
        """One usage for each food, in the same order."""
        heard = self._heard(speech, clauses, foods, measured, claims)
        called = self._names.find(speech, foods)
        ahead = {item.food for item in measured if item.food in heard.amounts and is_ahead(foods, item)}
        standins = self._standins.find(speech, clauses, foods)
        replaced = {standin.for_ for standin in standins.values()}
        weighed = {item.food for item in measured if item.quantity.kind == "measure"}
        ours = {item.food for item in measured if self._is_ours(speech, foods[item.food], item)}
        ours |= put_right(foods, measured)
        vague = {item.food for item in measured if item.quantity.vague}
        told = self._follow_ups.find(speech, foods, over, claims)
        usages: list[Usage] = []
        for at, food in enumerate(foods):
            aside = self._aside(over[food.head], weighed=at in weighed)
            aside = after_all(aside, told.get(at), ours=at in ours)
            if food.head in called and at not in ahead:
                usages.append(Usage(ASIDE, "a name", "usage.name"))
            elif food.head in heard.within and at not in heard.amounts:
                usages.append(Usage(ASIDE, "claim", "usage.nutrient"))
            elif at in standins and standins[at].counts(aside):
                usages.append(Usage(ALTERNATIVE, "alternative", standins[at].rule, standins[at].for_))
            elif aside is not None and aside[1] in _SYNONYM and at and foods[at - 1].food == food.food:
                usages.append(Usage(SPOKEN, "a name", "usage.other-name"))
            elif (too := self._alternative_too(heard, at, usages, aside)) is not None:
                usages.append(too)
            elif aside is not None:
                usages.append(_kept_out(*(("negated", "usage.replaced") if at in replaced else aside)))
            else:
                usage = self._by_context(heard, at, usages)
                usage = Usage(USED, "", told[at]) if usage.rule in _OPEN and at in told else usage
                again = at in vague and usages and usages[-1].why == "habit" and told_again(speech, foods, at)
                usages.append(usages[-1] if again else usage)
        return self._without_taken_back(heard, usages)

    def _heard(
        self,
        speech: Speech,
        clauses: Clauses,
        foods: Sequence[FoodSpan],
        measured: Sequence[Measured],
        claims: Sequence[ClaimSpan],
    ) -> _Heard:
        named = {place for food in foods for place in range(food.head, food.end)}
        verbs = [""] * len(speech)
        for place in speech.where(self._verbs.keys()):
            verbs[place] = "" if place in named else self._verbs[speech.words[place]]
        frames = self._frames.everywhere(speech.words, speech.places)
        within = frozenset(place for claim in claims for place in range(claim.start, claim.end))
        return _Heard(
            speech,
            clauses,
            foods,
            frames,
            frozenset(item.food for item in measured if self._is_amount(foods[item.food], item, within)),
            frozenset(item.food for item in measured if item.quantity.article),
            named,
            frozenset(claim.subject.head for claim in claims if claim.subject is not None),
            self._toured(speech, verbs),
            verbs,
            [frame.start for frame in frames],
            frozenset(place for item in measured for place in range(item.quantity.start, item.quantity.end)),
            self._waters.find(speech, foods, measured),
            of_one(speech, measured),
            within,
        )

    def _is_amount(self, food: FoodSpan, item: Measured, within: Set[int]) -> bool:
        """Not the article of `a leek`, nor what a food is said to hold: `the soda has plenty of sodium`, `it's high in
        salt // one spoonful and that's half your day`."""
        claimed = food.head in within and food.name in self._nutrients and item.quantity.start >= food.end
        held = item.quantity.vague and item.quantity.start in within
        return not item.quantity.article and not held and not claimed

    def _is_ours(self, speech: Speech, food: FoodSpan, item: Measured) -> bool:
        """`my mother used a cup of butter but i do half a cup`: a figure said after what others do is our own."""
        quantity = item.quantity
        lead = frozenset(speech.words[max(food.end, quantity.start - _OURS_LEAD) : quantity.start])
        figure = quantity.low is not None and not quantity.article
        told = frozenset(speech.words[max(food.end, quantity.start - _TOLD_BY) : quantity.start - 1])
        verb = speech.words[quantity.start - 1 - (speech.words[quantity.start - 1] == "in")]
        if figure and verb in self._taking and not self._us.isdisjoint(told):
            return True
        return figure and not self._turning.isdisjoint(lead) and not self._our_way.isdisjoint(lead)

    def _without_taken_back(self, heard: _Heard, usages: Sequence[Usage]) -> tuple[Usage, ...]:
        """`a pinch of salt, no, no salt`, `then lentils // lentils, not today`: what is named and at once denied was
        never meant, nor `milk if it's dry, no milk`; `and leeks // my aunt puts leeks in` names what is told of. Not so
        `no leeks, use onions`, which tells what to do without them."""
        kept = list(usages)
        replaced = {usage.stands_for for usage in usages if usage.status == ALTERNATIVE}
        for at, (food, after) in enumerate(pairwise(heard.foods)):
            between = heard.speech.words[food.end : after.head]
            perhaps = between[:1] == ("if",) and between[-1] == "no" and len(between) <= _IF_NOT
            denied = (len(between) <= _TAKEN_BACK or perhaps) and _is_said_again(food, after, between)
            denied = denied and at + 1 not in heard.amounts
            denied = denied and at + 1 not in replaced and not self._has_another(heard, usages, at + 2)
            refused = usages[at + 1].why == "negated" and (perhaps or at not in heard.amounts)
            refused = refused or (usages[at + 1].why == "habit" and kept[at].rule == "usage.named-alone")
            if denied and kept[at].status in {USED, SHOWN, ALTERNATIVE} and (refused or self._denies(between)):
                kept[at] = kept[at + 1] = Usage(ASIDE, "negated", "usage.taken-back")
        return tuple(kept)

    @staticmethod
    def _has_another(heard: _Heard, usages: Sequence[Usage], at: int) -> bool:
        """`no mirin, sherry will do`: what is lacking has something in its place right after."""
        offered = at < len(usages) and usages[at].status == ALTERNATIVE
        return offered and heard.foods[at].start - heard.foods[at - 1].end <= _AT_HAND

    def _denies(self, between: Sequence[str]) -> bool:
        if _PUTS_RIGHT.intersection(pairwise(between)):
            return False
        opening = [word for word in between if word not in self._fillers]
        return opening[:1] == ["no"] or (opening[-1:] == ["no"] and self._owning.issuperset(opening))

    def _aside(self, scopes: Sequence[Scope], *, weighed: bool) -> tuple[str, str] | None:
        """Kind and rule of the scope that keeps a food out, where one does."""
        covering = [
            scope for scope in scopes if scope.kind in _WHY_ORDER and not (weighed and scope.kind == "interrupted")
        ]
        if not covering:
            return None
        offered = [scope for scope in covering if scope.kind == "alternative" and scope.cue_start < scope.start]
        offered = [] if any(scope.rule in _REFUSED for scope in covering) else offered
        offered = [] if offered and any(_denies_after(scope, offered[0]) for scope in covering) else offered
        if offered and all(scope.cue_start > offered[0].start for scope in covering if scope not in offered):
            covering = offered
        first = min(covering, key=lambda scope: _WHY_ORDER.index(scope.kind))
        return first.kind, first.rule

    def _alternative_too(
        self, heard: _Heard, at: int, before: Sequence[Usage], aside: tuple[str, str] | None
    ) -> Usage | None:
        """`cod or flounder`: what follows `or` stands in for what came before it, as that did or for that itself; so
        does the other kind of it, `fresh if they're in season`. `if you can't get cod hake is lovely or haddock` goes
        on with what one may take, though the `if` reaches so far."""
        again = at > 1 and before[-2].status == ALTERNATIVE and before[-1].status == ASIDE
        if again and goes_on(heard.speech, heard.foods[at - 1], heard.foods[at], before[-1].why, before[-1].rule):
            again = self._standins.after_or(heard.speech, heard.foods, heard.counted, at)
            return Usage(ALTERNATIVE, "alternative", "alternative.or", at - 1) if again else None
        if not at or before[-1].status not in {ALTERNATIVE, USED, SHOWN}:
            return None
        if aside is not None and (aside[0] != "hypothetical" or before[-1].status != ALTERNATIVE):
            return None
        food = heard.foods[at]
        if food.rule == _OTHER_KIND and heard.speech.words[food.end : food.end + 1] == ("if",):
            return Usage(ALTERNATIVE, "alternative", "alternative.other-kind", at - 1)
        same = before[-1].status == ALTERNATIVE and self._standins.after_so(heard.speech, heard.foods, at)
        if not same and not self._standins.after_or(heard.speech, heard.foods, heard.counted, at):
            return None
        first = before[-1].stands_for if before[-1].status == ALTERNATIVE else at - 1
        return Usage(ALTERNATIVE, "alternative", "alternative.or", first)

    def _toured(self, speech: Speech, verbs: Sequence[str]) -> frozenset[int]:
        """The places where the presenter shows what stands on the table, up to the first thing that is done."""
        toured: set[int] = set()
        for match in self._tours.everywhere(speech.words, speech.places):
            end = match.end
            limit = min(len(speech), match.end + _TOUR)
            while end < limit and verbs[end] not in {"add", "combine", "cook"}:
                end += 1
            toured.update(range(match.start, end))
        return frozenset(toured)

    def _by_context(self, heard: _Heard, at: int, before: Sequence[Usage]) -> Usage:
        food = heard.foods[at]
        kinds = self._kinds(heard, *heard.clauses.clause(food.head))
        shown = food.head in heard.toured
        if at in heard.waters:
            return Usage(SPOKEN, "water to cook in", "usage.water")
        if at not in heard.amounts and heard.speech.words[food.start - 2 : food.start] in _FOR_EACH:
            return Usage(SPOKEN, "dish", "usage.for-each")
        if at in heard.single and self._in_dish_name(heard, food):
            return Usage(SPOKEN, "dish", "usage.one-dish")
        if at in heard.amounts and (self._portion(heard, at, before) or self._told_of(heard, food)):
            return Usage(SPOKEN, "claim", "usage.portion")
        if at in heard.amounts:
            only_shown = shown or (("frame-shown" in kinds or "show" in kinds) and not kinds & _DOING)
            return Usage(SHOWN if only_shown else USED, "", "usage.amount")
        if at not in heard.amounts and self._in_dish_name(heard, food):
            return Usage(SPOKEN, "dish", "usage.in-dish-name")
        if food.head in heard.subjects and not self._put(heard, food) and not self._put_ahead(heard, food):
            return Usage(SPOKEN, "claim", "usage.claim-only")
        if shown:
            return Usage(SHOWN, "", "usage.tour")
        if kinds & _DOING:
            return Usage(USED, "", "usage.added" if kinds & _ADDING else "usage.verb")
        if kinds & _HAVING or at in heard.articles:
            return Usage(SHOWN, "", "usage.shown")
        return self._in_list(heard, at, before) or self._named_alone(heard, at) or self._in_fragment(heard, at)

    def _portion(self, heard: _Heard, at: int, before: Sequence[Usage]) -> bool:
        """`one pepper is a good serving of protein`: said of one of those that are in already."""
        food, words = heard.foods[at], heard.speech.words
        one = words[food.start - 1] in self._one and words[food.end : food.end + 1] in _GIVES_OR_IS
        last = food.name.split()[-1]
        known = (heard.foods[other].name.split()[-1] for other in range(at) if before[other].status in {USED, SHOWN})
        return one and any(name.startswith(last) for name in known)

    def _in_dish_name(self, heard: _Heard, food: FoodSpan) -> bool:
        """`corn chowder`, `the lemon dressing`: a food that only tells what kind of dish it is."""
        apart = heard.speech.stop_after[food.end - 1] or heard.speech.comma_after[food.end - 1]
        return (
            not apart
            and food.end not in heard.named
            and heard.speech.words[food.end : food.end + 1] in self._dish_nouns
        )

    @staticmethod
    def _put(heard: _Heard, food: FoodSpan) -> bool:
        """`mint leaves on top`: the words right after say where it goes."""
        first = bisect_left(heard.frame_starts, food.end)
        frames = heard.frames[first : bisect_left(heard.frame_starts, food.end + 2)]
        return any(frame.payload["kind"] == "add" for frame in frames)

    def _put_ahead(self, heard: _Heard, food: FoodSpan) -> bool:
        """`what goes in is barley and it's low in potassium`, not `no salt goes in this barley`."""
        first = bisect_left(heard.frame_starts, food.start - _LEAD)
        frames = heard.frames[first : bisect_left(heard.frame_starts, food.start)]
        ends = (frame.end for frame in frames if frame.payload["kind"] == "add" and frame.end == food.start)
        return any(heard.speech.words[end - 1] not in self._places for end in ends)

    def _told_of(self, heard: _Heard, food: FoodSpan) -> bool:
        """`a cup of milk has a third of your phosphorus`: an amount named to tell what it holds."""
        end = heard.clauses.clause(food.head)[1]
        following = heard.speech.words[food.end : min(end, food.end + _TOLD_REACH)]
        holds = following[:1] in _HOLDS or following[:2] in _IS_LIKE
        return holds and not self._nutrients.isdisjoint(following)

    def _kinds(self, heard: _Heard, start: int, end: int) -> set[str]:
        kinds = set(heard.verbs[start:end]) - {""}
        first, last = bisect_left(heard.frame_starts, start), bisect_left(heard.frame_starts, end)
        kinds |= {"frame-" + frame.payload["kind"] for frame in heard.frames[first:last] if frame.end <= end}
        return kinds

    def _in_list(self, heard: _Heard, at: int, before: Sequence[Usage]) -> Usage | None:
        """The next of several foods that are named in a row."""
        if not at or before[at - 1].status not in {USED, SHOWN}:
            return None
        between = heard.speech.words[heard.foods[at - 1].end : heard.foods[at].start]
        end = heard.foods[at].end
        judged = not between and heard.speech.words[end : end + 1] in _JUDGED
        if len(between) <= 4 and self._joins.issuperset(between) and not judged:
            return Usage(before[at - 1].status, "", "usage.list")
        return None

    def _named_alone(self, heard: _Heard, at: int) -> Usage | None:
        if self._turns.goes_on(heard.speech, heard.clauses, heard.foods, at):
            return Usage(USED, "", "usage.named-alone")
        clause = heard.clauses.clause(heard.foods[at].head)
        opens = self._turns.opens(heard.speech, heard.verbs, clause, heard.foods[at])
        return Usage(USED, "", "usage.topic") if opens else None

    @staticmethod
    def _goes_on_with_claim(heard: _Heard, start: int, end: int) -> bool:
        """`because brown rice is high in phosphorus with all the bran on it`: what is named after a claim."""
        return any(start <= claim < end for claim in heard.subjects)

    def _in_fragment(self, heard: _Heard, at: int) -> Usage:
        """A clause without a verb of cooking goes with the one before it in the same sentence."""
        food = heard.foods[at]
        start = heard.clauses.clause(food.head)[0]
        sentence = heard.clauses.sentence(food.head)[0]
        if start > sentence and start - sentence <= _FRAGMENT and food.head not in heard.subjects:
            kinds = self._kinds(heard, sentence, start)
            if kinds & _DOING and not self._goes_on_with_claim(heard, sentence, food.head):
                return Usage(USED, "", "usage.fragment")
        return Usage(SPOKEN, "", "usage.none")


def _denies_after(scope: Scope, offer: Scope) -> bool:
    """`you can use gammon, no, please DON'T USE gammon`: what is said last before a food counts."""
    return scope.kind == "negated" and offer.start <= scope.cue_start < scope.cue_end <= scope.start


def _is_said_again(food: FoodSpan, after: FoodSpan, between: Sequence[str]) -> bool:
    """`dried beans ... the beans` are the same; `spring roll wrappers are fine but not egg roll wrappers` are two."""
    if food.food != after.food:
        return food.name.endswith(f" {after.name}")
    return food.name == after.name or "but" not in between


def _kept_out(kind: str, rule: str) -> Usage:
    return Usage(ALTERNATIVE if kind == "alternative" else ASIDE, kind, rule)
