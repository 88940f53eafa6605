"""Stretches of speech in which a food is only spoken of: negated, other people's, another day's, only possible.

The cues stand in `models/cues.csv`: a phrase, the kind of scope it opens, the direction in which it works and how far
it reaches: the food next to it or the nearest, with those joined to it, or the one it is said right after; the clause;
the sentence; or a stretch up to a word of resumption.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass

from pipeline.hear.clauses import Clauses
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases, load_rows, marked_rules, word_class
from pipeline.hear.measured import Measured
from pipeline.hear.people import PeopleFinder
from pipeline.hear.postposed import PostposedReader
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech
from pipeline.phrases import ENDINGS, Match

_COLUMNS = ("id", "kind", "pattern", "direction", "reach")
_FOOD_DISTANCE = 6
_ENDED_BY_AMOUNT = frozenset({"habit", "hypothetical", "negated", "elsewhere", "comparison"})
_SAID_BESIDE = frozenset({"amount.before-food", "amount.after-food"})
_OURSELVES = frozenset({"i", "we"})
_JOINED_DISTANCE = 4
_NEXT_DISTANCE = 1
_NEAR = 30
_CHOICE_REACH = 3
_THAT_IS = frozenset({"that's", "it's"})
_CHOOSES = word_class("choosing-word")
_TODAY = word_class("today-word")
_LONGEST_ROW = 60
# Somebody who is named right before a food or an amount does nothing with it: `like my mother. Two cups of flour`.
_PERSON = marked_rules("person")
_LONGEST_NAME = 6
_LONGEST_SENTENCE = 24
_LONGEST_STRETCH = 60
_LONGEST_LEAD = 4


@dataclass(frozen=True, slots=True)
class Scope:
    """Words `start` to `end` (exclusive) are under `kind`; the cue itself stands at `cue_start` to `cue_end`."""

    start: int
    end: int
    kind: str
    rule: str
    cue_start: int
    cue_end: int


@dataclass(frozen=True, slots=True)
class _Ground:
    """What cues work on. `amounts` are the starts of the amounts said of foods, by the start of the food."""

    speech: Speech
    clauses: Clauses
    foods: Sequence[FoodSpan]
    resumes: Sequence[int]
    amounts: Mapping[int, int]


def _between(foods: Sequence[FoodSpan], start: int, end: int) -> Sequence[FoodSpan]:
    """The foods that begin within words `start` to `end` (exclusive)."""
    first = bisect_left(foods, start, key=lambda food: food.start)
    return foods[first : bisect_left(foods, end, key=lambda food: food.start)]


def cover(length: int, scopes: Sequence[Scope]) -> tuple[tuple[Scope, ...], ...]:
    """For every word of a speech of `length` words the scopes it stands in, in order of their cues."""
    over: list[tuple[Scope, ...]] = [()] * length
    for scope in scopes:
        for place in range(scope.start, min(scope.end, length)):
            over[place] = (*over[place], scope)
    return tuple(over)


class ScopeFinder:
    """Compiled cues."""

    def __init__(self, classes: Classes) -> None:
        self._cues = load_phrases("cues.csv", _COLUMNS, classes)
        verbs = {row["form"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))}
        self._governors = frozenset(classes["amount-governor"]) | verbs
        self._orders = frozenset(classes["imperative"])
        self._people = PeopleFinder(classes)
        self._postposed = PostposedReader(classes, verbs)
        self._joins = frozenset(classes["joining"])
        self._where_put = frozenset(classes["where-put"])
        self._auxiliary = frozenset(classes["aux"])
        self._adjuncts = frozenset(classes["adjunct-opener"])
        self._choosing = frozenset(classes["choosing-lead"])
        self._using = frozenset(classes["stand-in-verb"])
        modifiers = load_rows("modifiers.csv", ("words", "kind"))
        prepared = {row["words"] for row in modifiers if row["kind"] == "preparation"}
        self._subject_gap = frozenset(classes["subject-gap"]) | prepared | {"up"}
        self._prepositions = frozenset(classes["preposition"])
        self._no_subject = frozenset(classes["no-subject"])
        self._spoken_to = self._no_subject | frozenset(classes["we-or-you"])
        self._pointing_at_one = frozenset(classes["it-or-this"])
        self._pronouns = frozenset(classes["pronoun-host"])
        self._meals = frozenset(classes["meal"])
        self._now = frozenset(classes["menu-day"]) | frozenset(classes["clause-lead"])

    def find(
        self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan], measured: Sequence[Measured] = ()
    ) -> tuple[Scope, ...]:
        """Scopes in order of their cues. A cue inside a food's name or inside a longer cue counts for nothing."""
        named = {place for food in foods for place in range(food.start, food.end)}
        words = self._people.told_apart(speech, foods)
        matches = [
            match
            for match in self._longest(speech, words, foods)
            if (match.start not in named or match.end - 1 not in named) and not _is_cut(speech, match)
        ]
        weighed = {item.quantity.start for item in measured if item.quantity.kind == "measure"}
        resumes = sorted(weighed.union(match.start for match in matches if match.payload["kind"] == "resume"))
        fresh = self._fresh_amounts(speech, foods, measured)
        joined = self._joined_amounts(speech, foods, measured, frozenset())
        joined_later = self._joined_amounts(speech, foods, measured, self._where_put)
        ground = _Ground(speech, clauses, foods, resumes, self._amount_starts(foods, measured))
        named_next = {food.start for food in foods if speech.words[food.start] not in self._governors}
        named_next |= set(ground.amounts.values())
        scopes: list[Scope] = []
        for match in matches:
            if match.payload["kind"] in {"ignore", "resume"} or self._is_enough(match, ground):
                continue
            if match.end in named_next and match.payload["id"] in _PERSON:
                continue
            if self._is_todays(match, ground):
                continue
            start, end = self._reach(match, ground)
            others = match.payload["kind"] == "habit"
            if others and start < match.start:
                start = max((scope.cue_start for scope in scopes if _leads(scope, start, match)), default=start)
            end = self._to_fresh(match, foods, fresh, joined_later if others else joined, start, end)
            if start < end:
                row = match.payload
                scopes.append(Scope(start, end, row["kind"], row["id"], match.start, match.end))
        return tuple(scopes)

    def _is_todays(self, match: Match[Row], ground: _Ground) -> bool:
        """`today it's a chicken pie for our tea`: the meal that is cooked here, not another."""
        words, first = ground.speech.words, ground.clauses.sentence(match.start)[0]
        meal = match.payload["kind"] == "elsewhere" and words[match.end - 1] in self._meals
        return meal and not _TODAY.isdisjoint(words[first : match.start])

    def _is_enough(self, match: Match[Row], ground: _Ground) -> bool:
        """`a fistful of parsley will do`: how much is enough, and no other choice, which has `or`, `too` or `if`."""
        words, foods = ground.speech.words, ground.foods
        if words[match.start : match.start + 2] != ("will", "do") or match.payload["kind"] != "alternative":
            return False
        at = bisect_right(foods, match.start, key=lambda food: food.end) - 1
        start = ground.amounts.get(foods[at].start) if at >= 0 and match.start == foods[at].end else None
        if start is None or words[max(0, start - 1)] in _CHOOSES - {"just"}:
            return False
        return _CHOOSES.isdisjoint(words[match.start + 2 : match.end + 1])

    @staticmethod
    def _amount_starts(foods: Sequence[FoodSpan], measured: Sequence[Measured]) -> Mapping[int, int]:
        return {
            foods[item.food].start: item.quantity.start
            for item in measured
            if item.rule == "amount.before-food" and not item.quantity.article
        }

    @staticmethod
    def _to_fresh(
        match: Match[Row],
        foods: Sequence[FoodSpan],
        fresh: Sequence[int],
        joined: Mapping[int, tuple[int, int]],
        start: int,
        end: int,
    ) -> int:
        """Where a scope ends at the latest: an amount of something new begins another instruction, unless it is joined
        to a food of the scope.

        What could be used instead may have an amount of its own, so that the food after it is the first new one. A cue
        that stands after what it is about (`on thursday`) takes nothing as its own.
        """
        kind = match.payload["kind"]
        if (kind not in _ENDED_BY_AMOUNT and kind != "alternative") or end <= match.end or start > match.end:
            return end
        first = match.end - (match.payload["direction"] == "around")
        if kind == "alternative":
            first = min((food.end - 1 for food in _between(foods, match.end, end)), default=end)
        for at in range(bisect_right(fresh, first), len(fresh)):
            place = fresh[at]
            if place >= end:
                break
            if joined.get(place, (0, 0))[0] < match.end:
                return place
        while kind == "habit" and joined.get(end + 1, (0, 0))[0] >= match.end:
            end = joined[end + 1][1]
        return end

    @staticmethod
    def _joined_amounts(
        speech: Speech, foods: Sequence[FoodSpan], measured: Sequence[Measured], between: frozenset[str]
    ) -> Mapping[int, tuple[int, int]]:
        """Starts of the amounts that `and` joins to a food -> where that food starts and their own food ends. Words
        of `between` may follow the food: `she put bacon in it and a spoon of sugar`."""
        ends: dict[int, int] = {}
        for food in foods:
            for place in range(food.end, food.end + _JOINED_DISTANCE):
                ends[place] = food.start
                if not between.issuperset(speech.words[place : place + 1]):
                    break
        return {
            item.quantity.start: (ends[item.quantity.start - 1], foods[item.food].end)
            for item in measured
            if item.rule == "amount.before-food"
            and item.quantity.start - 1 in ends
            and speech.words[item.quantity.start - 1] == "and"
        }

    def _fresh_amounts(self, speech: Speech, foods: Sequence[FoodSpan], measured: Sequence[Measured]) -> list[int]:
        """Where something new begins: an amount before its food, or a food with its amount after it, that is not
        governed by the word before."""
        starts = {
            item.quantity.start if item.rule == "amount.before-food" else foods[item.food].start: item.quantity
            for item in measured
            if item.rule in _SAID_BESIDE and not item.quantity.article and not item.quantity.vague
        }
        ends = {food.end for food in foods}
        return sorted(
            start for start, quantity in starts.items() if start and not self._governed(speech, start, quantity, ends)
        )

    def _governed(self, speech: Speech, start: int, quantity: Quantity, ends: Set[int]) -> bool:
        """`my mother used two cups`, `with a cup`: the word before an amount, or a food, takes it as its own.

        Not so `going in this, two carrots`: two are not this; nor `everybody loves thyme // add one sprig`, an order.
        """
        before = speech.words[start - 1]
        if start - 1 in ends and before in self._orders:
            return False
        many = quantity.low is not None and quantity.low > 1
        return before in self._governors and not (many and before in self._pointing_at_one)

    def _longest(self, speech: Speech, words: Sequence[str], foods: Sequence[FoodSpan]) -> list[Match[Row]]:
        """Cues that do not lie inside another one; of two of the same words one to be ignored wins."""
        matches = self._cues.everywhere(words, speech.places if words is speech.words else None)
        kept: list[Match[Row]] = []
        furthest = 0
        for match in sorted(matches, key=lambda match: (match.start, -match.end, match.payload["kind"] != "ignore")):
            leads_on = match.payload["reach"] == "said" and self._postposed.leads_on(foods, match.end)
            if leads_on or (match.payload["kind"] != "ignore" and _is_cut(speech, match)):
                continue
            again = bool(kept) and kept[-1].start == match.start and kept[-1].end == match.end
            if match.end > furthest or (again and kept[-1].payload["kind"] != "ignore"):
                kept.append(match)
            furthest = max(furthest, match.end)
        return kept

    def _reach(self, match: Match[Row], ground: _Ground) -> tuple[int, int]:
        reach, direction = match.payload["reach"], match.payload["direction"]
        clauses, length = ground.clauses, len(ground.speech)
        last = min(match.end, length) - 1
        if reach == "near":
            return max(0, match.start - _NEAR), min(length, match.end + _NEAR)
        if reach == "stretch":
            following = [place for place in ground.resumes if place > match.end]
            limit = min(length, match.end + _LONGEST_STRETCH)
            return match.start, min([limit, *following[:1]])
        if reach in {"food", "next", "row"}:
            return self._food(match, ground)
        if reach == "said":
            return self._postposed.reach(ground.speech, clauses, ground.foods, ground.amounts, match.start)
        bounds = clauses.sentence if reach == "sentence" else clauses.clause
        start, end = bounds(match.start)[0], bounds(last)[1]
        if direction == "after" and end == match.end < length and self._runs_on(match, ground.speech.words):
            end = bounds(end)[1]
        alone = match.payload["kind"] == "elsewhere" and (start, end) == (match.start, match.end) and end < length
        opens = start - clauses.sentence(match.start)[0] < _LONGEST_LEAD
        if alone and opens and direction == "around" and ground.speech.words[end] not in self._now:
            end = bounds(end)[1]
        end = min(end, match.end + _LONGEST_SENTENCE)
        if direction == "around":
            return (match.start, end) if end - match.end > 2 else (start, end)
        if direction in {"from", "within"}:
            return match.start, end if direction == "from" else match.end
        if direction == "after":
            leads = match.start - start <= _LONGEST_LEAD
            ends_sentence = reach == "sentence" and end - match.end <= 1 and end < length and leads
            return match.end, bounds(end)[1] if ends_sentence else end
        if direction == "before":
            return max(start, match.start - _LONGEST_SENTENCE), match.start
        return start, end

    def _runs_on(self, match: Match[Row], words: Sequence[str]) -> bool:
        """`my mother // puts cream in`, `i never boiled // one egg`: what the words are about is on the next line. Not
        so `eggs from my sister // add a leek`."""
        kind = match.payload["kind"]
        if kind == "habit":
            return not (match.payload["id"] in _PERSON and words[match.start - 1] in self._prepositions)
        return kind == "negated" and words[match.end - 1] in self._governors

    def _food(self, match: Match[Row], ground: _Ground) -> tuple[int, int]:
        """The nearest food in the same sentence, with the foods joined to it by and, or, nor."""
        speech, clauses, foods = ground.speech, ground.clauses, ground.foods
        sentence = clauses.sentence_of[min(match.end, len(clauses.sentence_of)) - 1]
        distance = _NEXT_DISTANCE if match.payload["reach"] == "next" else _FOOD_DISTANCE
        if match.payload["direction"] == "after":
            near = _between(foods, match.end - _LONGEST_NAME, match.end + _LONGEST_ROW)
            row = [food for food in near if match.end <= food.head and clauses.sentence_of[food.head] == sentence]
            if not row or row[0].start - match.end > distance or self._after_another(speech, match, row[0]):
                return 0, 0
            return match.end, self._joined(speech, row, self._joins, match)[-1].end
        end = match.start + speech.words[match.start].endswith(ENDINGS)
        near = _between(foods, match.start - _LONGEST_ROW, end)
        before = [food for food in near if food.end <= end and match.start - food.end <= distance]
        if not before or self._bids(speech, match) or self._of_unknown(speech, match, before[-1]):
            return 0, 0
        alternative = match.payload["kind"] == "alternative"
        if not alternative:
            return self._joined(speech, before[::-1], self._joins, match)[-1].start, end
        if not self._is_subject(ground, before[-1], match):
            return 0, 0
        single = set() if match.payload["reach"] == "row" else {"or", "any"}
        joined = self._joined(speech, before[::-1], self._joins - single, match)
        if match.payload["reach"] == "row" and speech.words[joined[-1].start - 1] in self._governors | self._no_subject:
            joined = joined[:-1] or joined
        return _as_measured(ground, joined)[-1].start, end

    @staticmethod
    def _after_another(speech: Speech, match: Match[Row], food: FoodSpan) -> bool:
        """`cut like a pencil and parsley`: what it is compared with was named, and the food is the next thing."""
        between = speech.words[match.end : food.start]
        return match.payload["kind"] == "comparison" and "and" in between[1:]

    def _of_unknown(self, speech: Speech, match: Match[Row], food: FoodSpan) -> bool:
        """`two spoons of lard // schmaltz'd do`: what is said to do is none that is known, and not the one before."""
        word = speech.words[match.start]
        own = next((word.removesuffix(ending) for ending in ENDINGS if word.endswith(ending)), "")
        return bool(own) and food.end <= match.start and own not in self._pronouns

    def _bids(self, speech: Speech, match: Match[Row]) -> bool:
        """`and don't come near it`, `you don't go anywhere`: what no noun does is said to the viewer, not of a food."""
        return speech.words[match.start] in self._auxiliary and speech.words[match.start - 1] in self._spoken_to

    def _is_subject(self, ground: _Ground, food: FoodSpan, match: Match[Row]) -> bool:
        """`hake works too`, not `peas, frozen is fine`: what is said to do as well stands right before the verb.

        `It's hake instead` says what is used, `if you're vegan tofu is fine` is about tofu, `or whatsit instead` not.
        """
        words = ground.speech.words
        if words[match.start] not in self._adjuncts:
            added = words[match.start] in _THAT_IS and words[match.start - 1] == "and"
            gap = words[food.end : match.start - added]
            turned = words[match.start] == "but" and match.payload["kind"] == "alternative"
            return self._subject_gap.issuperset(gap) or gap[:1] == ("if",) or turned
        before_food = words[match.start] == "if" and _between(ground.foods, match.end, match.end + 1)
        if before_food or "or" in words[food.end : match.start]:
            return False
        start = ground.amounts.get(food.start, food.start)
        chosen = not self._choosing.isdisjoint(words[max(0, start - _CHOICE_REACH) : start])
        verb = start - 1 - (words[start - 1] in self._where_put)
        return not chosen and not (words[verb] in self._using and words[verb - 1] in _OURSELVES)

    @staticmethod
    def _joined(speech: Speech, row: Sequence[FoodSpan], joins: frozenset[str], match: Match[Row]) -> list[FoodSpan]:
        """The first food of `row` and those that follow it with nothing but joining words or a comma between; with
        nothing at all where the cue is about a row: `oat milk almond milk any of them will do`."""
        chain = [row[0]]
        for food in row[1:]:
            first, second = sorted((chain[-1], food), key=lambda span: span.start)
            between = speech.words[first.end : second.start]
            linked = bool(between) or speech.comma_after[first.end - 1] or match.payload["reach"] == "row"
            if not linked or not joins.issuperset(between):
                break
            chain.append(food)
        return chain


def _is_cut(speech: Speech, match: Match[Row]) -> bool:
    """`no thanks, i don't // add two leeks`: a full stop, a pause or another speaker's turn lies within the words."""
    inner = range(match.start + 1, match.end)
    apart = (speech.pause_before, speech.turn_before)
    return any(speech.stop_after[place - 1] or any(before[place] for before in apart) for place in inner)


def _leads(scope: Scope, start: int, match: Match[Row]) -> bool:
    """`a drop of vanilla, my sister puts rum in hers`: the sister's way begins where she is named."""
    return scope.kind == "habit" and start <= scope.cue_start < match.start


def _as_measured(ground: _Ground, row: Sequence[FoodSpan]) -> Sequence[FoodSpan]:
    """`three spoons of lemon juice and lime juice will do`: what has an amount is used, what is joined to it is not.

    `row` has the foods from the last to the first.
    """
    last = row[0].start in ground.amounts
    return row if last else [food for food in row if food.start not in ground.amounts]
