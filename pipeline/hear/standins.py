"""Which foods are said to stand in for which: `if you can't find cod use hake`, `or a spoon of margarine`.

The frames stand in `models/standin_frames.csv`. A frame of lack (`if you haven't got any`) or dislike is followed by
what is lacking, or a word for it, and by what may take its place; or it follows what may.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.hear.clauses import Clauses
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases, load_rows, marked_rules, phrase_class, word_class
from pipeline.hear.offers import OfferFinder, Offers
from pipeline.hear.speech import Speech
from pipeline.phrases import Match

NOBODY = -1
_LACKING_REACH = 2
_REACH = 8
_OFFER_REACH = 4
_TOO_REACH = 4
_SPARSE = word_class("scarce-word")
_MAY_REACH = 7
_OR_REACH = 6
_KNOWN = 4
_OR_BACK = 9
_STRANGE = 1
_HAD_REACH = 4
_HAD_USE = 7
_APPROVED_BACK = 24
_PLACE_BACK = 3
_ASKS = word_class("stand-in-asking")
_SERVES = phrase_class("serves-instead")
_NAMED = frozenset({"gone", "none", "swap"})
_TELLS = phrase_class("stand-in-telling")
_NOT_THERE = phrase_class("not-there")
_AND_SO = ("and", "so")
_DO = phrase_class("does-too")
_SO_REACH = 10
_GOES = phrase_class("goes-as-well")
_USE = phrase_class("use-or-try")
_PLACED = word_class("stand-in-place")
_THEN_USE = word_class("then-use")
_ALLOWED = marked_rules("allowed")
_ALLOWED_REACH = 6
_EITHER = 3
_MAY_OUT = marked_rules("may-be-out")
_TOLD_SO = "standin.told"
_CLOSING = marked_rules("closing")
_TOLD_OF = marked_rules("told-of-others")
_IS = word_class("definition")
_ALL_RIGHT = phrase_class("all-right")
_ANSWER_REACH = 8
_NO = word_class("no-answer")
_NO_BOTHER = word_class("no-bother")
_NOT = word_class("told-not-to")


@dataclass(frozen=True, slots=True)
class StandIn:
    """A food that may take the place of food `for_`, by index; NOBODY where that was not named beside it."""

    for_: int
    rule: str

    def counts(self, aside: tuple[str, str] | None) -> bool:
        """Whether it does, by the kind and rule of what keeps the food out: what others do, and one may do as well, has
        to be told as what others do."""
        told = aside is not None and (aside[0] == "habit" or aside[1] in _TOLD_OF)
        return told or self.rule not in _ALLOWED


class StandInFinder:
    """Compiled frames of lack and replacement."""

    def __init__(self, classes: Classes) -> None:
        self._frames = load_phrases("standin_frames.csv", ("id", "kind", "pattern"), classes)
        units = {row["word"] for row in load_rows("units.csv", ("word", "unit", "kind"))}
        figures = {row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind"))}
        self._amounts = frozenset(classes["size"]) | units | figures
        self._verbs = frozenset(classes["stand-in-verb"])
        self._added = frozenset(classes["stand-in-added"])
        self._offers = frozenset(classes["stand-in-offer"])
        self._gap = frozenset(classes["stand-in-gap"]) | self._verbs
        self._determiners = frozenset(classes["determiner"]) | frozenset(classes["det"])
        self._or_gap = (
            frozenset(classes["amount-gap"]) | frozenset(classes["or-gap"]) | self._determiners | self._amounts
        )
        self._pronouns = frozenset(classes["lacking-pronoun"])
        self._pointing = frozenset((word,) for word in self._pronouns)
        self._leaving = frozenset(classes["leaving-word"])
        self._gone = frozenset(classes["gone-word"])
        self._approval = frozenset((word,) for word in classes["approval"])
        verbs = {row["form"]: row["kind"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))}
        self._kitchen_verbs = frozenset((form,) for form in verbs)
        self._preparing = frozenset(form for form, kind in verbs.items() if kind in {"cut", "cook", "combine"})
        self._takes = frozenset(classes["taking-instead"])
        self._maybe = frozenset(classes["may-word"])
        self._replacing = frozenset({"for", "with"})
        self._prepared = self._amounts | frozenset(classes["prepared-between"])
        self._stores = frozenset(classes["food-store"])
        self._plain = self._gap | self._added | self._amounts | self._determiners | self._stores
        self._offered = OfferFinder(classes)

    def find(self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan]) -> Mapping[int, StandIn]:
        """Index of each food that a frame names as a substitute -> what it may replace."""
        starts = [food.start for food in foods]
        offers = self._offered.find(speech, foods)
        found: dict[int, StandIn] = {}
        for match in self._frames.everywhere(speech.words, speech.places):
            first = bisect_left(starts, match.end)
            if match.payload["kind"] in {"had", "liked"}:
                found |= self._at_hand(speech, foods, offers, match, first)
            elif match.payload["kind"] == "allowed":
                found = {**self._allowed(speech, clauses, foods, offers, match, first), **found}
            elif match.payload["kind"] == "closing":
                found |= self._closing(speech, clauses, foods, match)
            elif match.payload["kind"] == "gone" and (had := self._had(speech, foods, match, first)):
                found |= had
            else:
                found = {**self._paired(speech, clauses, foods, match, first), **found}
        for at, (replaced, rule) in offers.serving.items():
            if not _is_answered_no(speech, foods[at].end):
                found.setdefault(at, StandIn(replaced, rule))
        for at, food in enumerate(foods):
            if self._asked(speech, food) and not _is_answered_no(speech, food.end):
                found.setdefault(at, StandIn(NOBODY, "standin.asked"))
        return found

    @staticmethod
    def _asked(speech: Speech, food: FoodSpan) -> bool:
        """`would milk not do?`, `does barley work in this?`, `is lamb all right?`: somebody asks whether it may be
        that."""
        following = speech.words[food.end : food.end + 2]
        if food.start > 0 and speech.words[food.start - 1] in _IS:
            return following in _ALL_RIGHT or following[:1] in _ALL_RIGHT
        serves = following[:1] in _SERVES or (following[:1] == ("not",) and following[1:] in _SERVES)
        return serves and food.start > 0 and speech.words[food.start - 1] in _ASKS

    def _at_hand(
        self, speech: Speech, foods: Sequence[FoodSpan], offers: Offers, match: Match[Row], first: int
    ) -> Mapping[int, StandIn]:
        """`if you've got perch go for it`, `or perch if you've got perch`, besides what one is told to use."""
        had = self._lacking(speech, foods, match, first)
        again = had > 0 and foods[had - 1].end == match.start and foods[had - 1].food == foods[had].food
        if again and speech.words[foods[had - 1].start - 1] == "or":
            return {at: StandIn(NOBODY, match.payload["id"]) for at in (had - 1, had)}
        if had != NOBODY and foods[had].end in offers.approved:
            return {had: StandIn(NOBODY, match.payload["id"])}
        return self._had(speech, foods, match, first)

    def _had(self, speech: Speech, foods: Sequence[FoodSpan], match: Match[Row], first: int) -> Mapping[int, StandIn]:
        """`if you've got pears use pears`, `if you can get fresh figs use those`, `if perch is running use perch`: what
        somebody may have at hand."""
        had = self._lacking(speech, foods, match, first)
        if had == NOBODY:
            return {}
        words, end = speech.words, foods[had].end
        verbs = self._takes if match.payload["kind"] == "gone" else self._verbs
        verb = next((at for at in range(end, min(end + _HAD_USE, len(words))) if words[at] in verbs), NOBODY)
        if verb == NOBODY or not _NOT.isdisjoint(words[end:verb]):
            return {}
        again = had + 1 < len(foods) and foods[had + 1].food == foods[had].food and foods[had + 1].start - verb <= 2
        again = again and self._determiners.issuperset(words[verb + 1 : foods[had + 1].start])
        pointed = words[verb + 1 : verb + 2] and words[verb + 1] in self._pronouns
        pointed = pointed and match.payload["kind"] == "had" and words[verb] not in self._added
        named = [had, had + 1] if again else [had] if pointed else []
        return {at: StandIn(NOBODY, match.payload["id"]) for at in named}

    def _allowed(
        self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan], offers: Offers, match: Match[Row], first: int
    ) -> Mapping[int, StandIn]:
        """`some use barley and you can do that`, `gran put dripping in place of the lard and that's fine`: what others
        do, and one may."""
        at = next((at for at in range(first - 1, -1, -1) if foods[at].end <= match.start), NOBODY)
        if at == NOBODY or match.start - foods[at].end > _ALLOWED_REACH:
            return {}
        if match.payload["id"] in _CLOSING and not _is_closed(speech, clauses, match.end):
            return {}
        since = foods[at - 1].end if at else 0
        if "of" in speech.words[max(since, foods[at].start - _LACKING_REACH) : foods[at].start] and at:
            return {at - 1: StandIn(at, match.payload["id"])}
        either = at > 0 and foods[at].start - since <= _EITHER and "or" in speech.words[since : foods[at].start]
        named = [at - 1, at] if either else [at]
        told = not offers.others.isdisjoint(named) and speech.words[match.end : match.end + 1] != ("but",)
        rule = _TOLD_SO if told else match.payload["id"]
        return {one: StandIn(NOBODY, rule) for one in named}

    def _paired(
        self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan], match: Match[Row], first: int
    ) -> Mapping[int, StandIn]:
        """The food that stands in, where a frame names it within a sentence, with the one it replaces."""
        pair = self._offered_before(speech, foods, match, first) or self._framed(speech, foods, match, first)
        if pair is None or clauses.sentence_of[foods[pair[0]].head] - clauses.sentence_of[match.start] > 1:
            return {}
        standin = StandIn(pair[1], match.payload["id"])
        at = pair[0] + 1
        again = match.payload["kind"] == "only" and at < len(foods) and foods[at].food == foods[pair[0]].food
        again = again and foods[at].start - foods[at - 1].end <= _HAD_REACH
        return {pair[0]: standin, at: standin} if again else {pair[0]: standin}

    @staticmethod
    def _closing(
        speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan], match: Match[Row]
    ) -> Mapping[int, StandIn]:
        """`coconut oil works`, `masoor dal you can also take`, where nothing follows that the words would be about."""
        before = bisect_left(foods, match.start, key=lambda food: food.end)
        if before == len(foods) or foods[before].end != match.start:
            return {}
        closed = _is_closed(speech, clauses, match.end)
        return {before: StandIn(NOBODY, match.payload["id"])} if closed else {}

    def _offered_before(
        self, speech: Speech, foods: Sequence[FoodSpan], match: Match[Row], first: int
    ) -> tuple[int, int] | None:
        """`or margarine if you don't have butter`: the food before the frame, and what is lacking."""
        before = max((at for at in range(max(0, first - 2), first) if foods[at].end <= match.start), default=NOBODY)
        if match.payload["kind"] == "place":
            return self._in_place(speech, foods, match, (before, first))
        if match.payload["kind"] == "gone" and before != NOBODY:
            return self._unless_gone(speech, foods, match, (before, first))
        if match.payload["kind"] not in {"lack", "dislike"} or before == NOBODY:
            return None
        if not _PLACED.issuperset(speech.words[foods[before].end : match.start]):
            return None
        lacking = self._lacking(speech, foods, match, first)
        offered = self._is_offered(speech, foods, match, before, lacking)
        return (before, lacking) if offered else None

    def _unless_gone(
        self, speech: Speech, foods: Sequence[FoodSpan], match: Match[Row], around: tuple[int, int]
    ) -> tuple[int, int] | None:
        """`goat's cheese if feta's too salty for you`: the food before, and what there may be something against."""
        before, first = around
        lacking = self._lacking(speech, foods, match, first)
        if lacking == NOBODY or match.start != foods[before].end or foods[lacking].food == foods[before].food:
            return None
        following = speech.words[foods[lacking].end : foods[lacking].end + _TOO_REACH]
        against = {"too", "for"}.issubset(following) or not _SPARSE.isdisjoint(following)
        return (before, lacking) if against else None

    def _is_offered(
        self, speech: Speech, foods: Sequence[FoodSpan], match: Match[Row], before: int, lacking: int
    ) -> bool:
        """Whether the words round a food that stands before a frame offer it: `or margarine if you don't have butter`,
        `you can brush it with milk if you've no egg`, `perch if your shop has no trout`."""
        words, start = speech.words, foods[before].start
        if self._offers.intersection(words[max(0, start - _OFFER_REACH) : start]):
            return match.start == foods[before].end
        lead = words[max(0, start - _MAY_REACH) : start]
        if not self._leaving.isdisjoint(lead):
            return False
        if lacking != NOBODY and (foods[lacking].food == foods[before].food or self._serves(speech, foods[lacking])):
            return False
        if lacking != NOBODY and match.payload["kind"] == "lack":
            return True
        pointed = match.payload["kind"] == "lack" and words[match.end : match.end + 1] in self._pointing
        return (pointed or lacking != NOBODY) and not self._maybe.isdisjoint(lead)

    def _in_place(
        self, speech: Speech, foods: Sequence[FoodSpan], match: Match[Row], around: tuple[int, int]
    ) -> tuple[int, int] | None:
        """`you can use quinces here in place of the plums`, `you could swap turkey in for the beef`: one may, but does
        not. `I use oil instead of butter` tells what is done."""
        before, first = around
        lacking = self._lacking(speech, foods, match, first)
        if NOBODY in (before, lacking) or match.start - foods[before].end > _PLACE_BACK:
            return None
        lead = speech.words[max(0, foods[before].start - _OR_REACH) : match.start]
        then = "then" in speech.words[max(0, foods[before].start - 2) : foods[before].start]
        told = speech.words[foods[lacking].end : foods[lacking].end + 1] in _TELLS
        other = "or" in speech.words[max(0, foods[before].start - 2) : foods[before].start]
        return (before, lacking) if told or other or then or self._maybe.intersection(lead) else None

    def _framed(
        self, speech: Speech, foods: Sequence[FoodSpan], match: Match[Row], first: int
    ) -> tuple[int, int] | None:
        """The food that stands in and the one it replaces, by index, as one frame names them."""
        lacking = self._lacking(speech, foods, match, first)
        if match.payload["kind"] == "only":
            return None if lacking == NOBODY else (lacking, NOBODY)
        if match.payload["kind"] == "place" or (match.payload["kind"] == "out" and lacking == NOBODY):
            return None
        other = first if lacking == NOBODY else first + 1
        if other >= len(foods) or (lacking == NOBODY and match.payload["kind"] in _NAMED):
            return None
        since = match.end if lacking == NOBODY else foods[lacking].end
        between = speech.words[since : foods[other].start]
        known = lacking != NOBODY and any(
            food.food == foods[lacking].food for food in foods[max(0, lacking - _KNOWN) : lacking]
        )
        told = match.payload["kind"] == "lack" and lacking != NOBODY and self._told(speech, between, foods[other])
        lead = speech.words[max(0, match.start - 2) : match.start]
        if match.payload["kind"] == "out" and (self._maybe | {"or"}).isdisjoint(lead):
            return None
        named = lacking != NOBODY or match.payload["id"] in _MAY_OUT
        if not told and not self._leads_on(between, match.payload["kind"], named=named, known=known):
            return None
        swapped_in = match.payload["kind"] == "swap" and "in" in between
        return (lacking, other) if swapped_in else (other, lacking)

    def _serves(self, speech: Speech, food: FoodSpan) -> bool:
        """`if you can't get that lime juice will do`: the food is what serves, and `that` what is lacking."""
        return speech.words[food.end : food.end + 1] in self._approval

    def _lacking(self, speech: Speech, foods: Sequence[FoodSpan], match: Match[Row], first: int) -> int:
        if first >= len(foods) or foods[first].start - match.end > _LACKING_REACH:
            return NOBODY
        apart = any(speech.stop_after[match.end : foods[first].start])
        pointed = self._determiners.issuperset(speech.words[match.end : foods[first].start])
        return first if pointed and not apart else NOBODY

    def _leads_on(self, between: Sequence[str], kind: str, *, named: bool, known: bool) -> bool:
        """Whether the words between what is lacking, which is `known` where it was spoken of before, and the next food
        offer that food."""
        if len(between) > _REACH or self._is_refused(between):
            return False
        plain = self._gap.issuperset(between)
        if kind == "swap":
            return (self._gap | self._replacing).issuperset(between) and bool(self._replacing.intersection(between))
        verbs = self._verbs | self._added if named else self._verbs
        offered = bool(verbs.intersection(between[-_OFFER_REACH:]))
        if kind == "lack" and named and self._prepares(between):
            return True
        if kind == "none" and known and (not between or tuple(between) == ("then",)):
            return True
        if kind == "none" and between[2:3] and between[2] in self._stores:
            return _THEN_USE.issuperset(between[3:])
        if kind == "none":
            return between[:1] in _USE or (between[:1] == ("no",) and between[2:3] in _USE)
        if kind == "out":
            return "and" in between[:2] and not verbs.isdisjoint(between)
        if kind == "gone":
            gone = bool(self._gone.intersection(between)) or _NOT_THERE.intersection(pairwise(between))
            return bool(gone) and (offered or between[-1] == "then")
        if offered:
            strange = [word for word in between if word not in self._plain]
            unknown = tuple(strange) == tuple(between[: len(strange)]) and not named
            return len(strange) <= _STRANGE + unknown
        if kind == "dislike":
            return named and plain
        if not named:
            return plain and between[0] in self._pronouns if between else False
        return plain or ("then" not in between and (self._gap | self._amounts).issuperset(between))

    def _told(self, speech: Speech, between: Sequence[str], food: FoodSpan) -> bool:
        """`where you can't find any leeks the ordinary onions go just fine`: what is said to serve is named next."""
        strange = [word for word in between if word not in self._determiners and word not in self._gap]
        return len(strange) <= _STRANGE and speech.words[food.end : food.end + 1] in _TELLS | _GOES

    def _prepares(self, between: Sequence[str]) -> bool:
        """`if there's no breadcrumbs crush up some crackers`."""
        opening = next((at for at, word in enumerate(between) if word not in self._gap), len(between))
        verb = between[opening : opening + 1]
        return bool(verb) and verb[0] in self._preparing and self._prepared.issuperset(between[opening + 1 :])

    def _is_refused(self, between: Sequence[str]) -> bool:
        """`if you can't find any don't use onion`."""
        return any(word in self._verbs and before in _NOT for before, word in pairwise(between))

    def after_so(self, speech: Speech, foods: Sequence[FoodSpan], at: int) -> bool:
        """`cod would do, and so would hake`: whether the same is said of food `at` as of the one before it."""
        lead = speech.words[foods[at - 1].end : foods[at].start]
        return len(lead) <= _SO_REACH and lead[-3:-1] == _AND_SO and lead[-1:] in _TELLS | _DO

    def after_or(self, speech: Speech, foods: Sequence[FoodSpan], counted: frozenset[int], at: int) -> bool:
        """`cod or flounder`, `or a spoon of margarine`, `or grate some lime if you have it`: whether `or` leads to food
        `at` from the one before it.

        `counted` are the words of amounts: the `or` of `two or three` leads to nothing.
        """
        food = foods[at]
        lead = speech.words[max(foods[at - 1].end, food.start - _OR_REACH) : food.start]
        if "or" not in lead:
            return False
        place = food.start - 1 - lead[::-1].index("or")
        back = _APPROVED_BACK if speech.words[food.end : food.end + 1] in self._approval else _OR_BACK
        if place - foods[at - 1].end > back or any(speech.stop_after[foods[at - 1].end - 1 : place]):
            return False
        between = speech.words[place + 1 : food.start]
        if between[:1] in self._kitchen_verbs and speech.words[food.end : food.end + 1] == ("if",):
            between = between[1:]
        return place not in counted and self._or_gap.issuperset(between)


def _is_closed(speech: Speech, clauses: Clauses, end: int) -> bool:
    """Whether a clause or a line ends before word `end`."""
    closed = end == len(speech) or clauses.clause_of[end] > clauses.clause_of[end - 1]
    return closed or speech.line[end] > speech.line[end - 1]


def _is_answered_no(speech: Speech, place: int) -> bool:
    """`is pork all right // no, too fatty`: whether the next turn or line after word `place` opens with a no."""
    turns = range(place, min(place + _ANSWER_REACH, len(speech) - 1))
    turn = next((at for at in turns if speech.turn_before[at] or speech.line[at] > speech.line[at - 1]), NOBODY)
    return turn != NOBODY and speech.words[turn] in _NO and speech.words[turn + 1] not in _NO_BOTHER
