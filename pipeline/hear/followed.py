"""Hears what the words right after a food tell of it: that it goes in (`red pepper is low in potassium so in it goes`),
or that it may be left out (`you can put sugar on but it's extra`)."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from itertools import pairwise
from operator import attrgetter

from pipeline.hear.claims import ClaimSpan
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases, marked_rules, word_class
from pipeline.hear.scopes import Scope
from pipeline.hear.speech import Speech
from pipeline.phrases import Match

PUT, OWN, OPTION, REFUSED = "usage.put-later", "usage.our-own", "usage.option", "usage.refused"
_ON = 11
_OPTION_ON = 14
_OPTION_BESIDE = 5
_REFUSED_IN = 4
_UPON = 2
_OFFERS = marked_rules("offer")
_ASKED = marked_rules("asked")
_WAYS = marked_rules("own-way")
_IF = marked_rules("condition")
_IF_HAD = marked_rules("if-had")
_GONE = marked_rules("gone-elsewhere")
_LACKING = marked_rules("done-without")
_KEEPS_OUT = frozenset({"negated", "elsewhere", "habit", "hypothetical", "interrupted", "alternative"})
_OURSELVES = word_class("ourselves")
_start = attrgetter("start")
_RULES = {"put": PUT, "own": OWN}


class FollowUpFinder:
    """Compiled words for putting in what was just named, and for refusing it."""

    def __init__(self, classes: Classes) -> None:
        self._puts = load_phrases("follow_ups.csv", ("id", "kind", "number", "pattern"), classes)
        self._refusing = frozenset(classes["negating"])
        self._where_put = frozenset(classes["where-put"])
        self._definite = frozenset(classes["definite"])

    def find(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        over: Sequence[Sequence[Scope]],
        claims: Sequence[ClaimSpan],
    ) -> Mapping[int, str]:
        """The rule for every food, by index, that is put in, or offered, by the words after it."""
        puts = self._said(speech, over)
        warned = {claim.subject.food for claim in claims if claim.subject is not None and claim.sense == "high"}
        found: dict[int, str] = {}
        for at, food in enumerate(foods):
            if food.food in warned:
                continue
            rule = self._put(speech, foods, at, puts) or self._option(speech, foods, at, over[food.head])
            if rule is not None:
                found[at] = rule
        return found

    def _said(self, speech: Speech, over: Sequence[Sequence[Scope]]) -> Sequence[Match[Row]]:
        """What is put in, but not what is denied, told of others or only thought of."""
        return [
            match
            for match in self._puts.everywhere(speech.words, speech.places)
            if _KEEPS_OUT.isdisjoint(scope.kind for scope in over[match.start] if scope.cue_start < match.start)
        ]

    def _put(self, speech: Speech, foods: Sequence[FoodSpan], at: int, puts: Sequence[Match[Row]]) -> str | None:
        food = foods[at]
        limit = min(foods[at + 1].start if at + 1 < len(foods) else len(speech), food.end + _ON)
        first = bisect_left(puts, food.end, key=_start)
        for match in puts[first : bisect_left(puts, limit, key=_start)]:
            if not self._refusing.isdisjoint(speech.words[food.end : match.start]):
                return None
            if _agrees(speech, food, match) and speech.words[match.end : match.end + 1] != ("but",):
                return _RULES[match.payload["kind"]]
        return None

    def _option(self, speech: Speech, foods: Sequence[FoodSpan], at: int, scopes: Sequence[Scope]) -> str | None:
        """Said to be a matter of taste by words after it, or right before, and not refused: `if you like, i don't`."""
        if at and self._upon(speech, foods, at - 1):
            return None
        last = at + self._upon(speech, foods, at)
        end, after = foods[last].end, foods[last + 1].start if last + 1 < len(foods) else len(speech)
        offers = [scope.cue_start for scope in scopes if scope.rule in _OFFERS]
        reach = _OPTION_ON if offers else _OPTION_BESIDE
        for scope in scopes:
            if scope.kind != "optional" or scope.rule in _LACKING:
                continue
            follows = end <= scope.cue_start <= min(end + reach, after)
            leads = scope.rule in _IF and any(0 <= start - scope.cue_end <= 1 for start in offers)
            if follows and scope.rule in _IF and self._is_refused(speech.words[scope.cue_end :][:2]):
                return REFUSED
            if follows or leads:
                refused = self._is_refused(speech.words[scope.cue_end - 1 : scope.cue_end + _REFUSED_IN])
                return None if refused else OPTION
        return None

    def _upon(self, speech: Speech, foods: Sequence[FoodSpan], at: int) -> bool:
        """`dill on the beans if you've got it`: whether a food is put on the next one named."""
        between = speech.words[foods[at].end : foods[at + 1].start] if at + 1 < len(foods) else ()
        return len(between) == _UPON and between[0] in self._where_put and between[1] in self._definite

    def _is_refused(self, words: Sequence[str]) -> bool:
        """`but i wouldn't`, not `it's not needed`."""
        return any(one in _OURSELVES and two in self._refusing for one, two in pairwise(words))


def after_all(aside: tuple[str, str] | None, told: str | None, *, ours: bool) -> tuple[str, str] | None:
    """What keeps a food out when the words after it are heard too: `sesame if you've got it, i don't`."""
    if told == REFUSED:
        return "negated", REFUSED
    return None if aside is not None and _overruled(aside, told, ours=ours) else aside


def _overruled(aside: tuple[str, str], told: str | None, *, ours: bool) -> bool:
    """Whether what is said right after a food tells that it goes in, though something before keeps it out, or its
    amount is our own."""
    kind, rule = aside
    if ours and rule in _WAYS:
        return True
    ours = told == OWN and kind in {"habit", "negated"}
    put = told == PUT and ((kind == "elsewhere" and rule not in _GONE) or rule in _ASKED or rule in _IF_HAD)
    return ours or put or (told == OPTION and rule in _OFFERS)


def _agrees(speech: Speech, food: FoodSpan, match: Match[Row]) -> bool:
    """`they` are the onions, `it` is the rice."""
    word = speech.words[food.end - 1]
    many = word.endswith("s") and not word.endswith(("ss", "'s"))
    return match.payload["number"] == ("many" if many else "one") or match.payload["number"] == "any"
