"""Gives each amount to the food it is about: before the food, after it, for each of several, or spoken on its own."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases, load_rows
from pipeline.hear.measured import Measured
from pipeline.hear.quantities import Quantity
from pipeline.hear.shares import (
    ShareReader,
    concludes,
    likely,
    of_that_amount,
    of_the_named,
    or_two,
    part_of_last,
)
from pipeline.hear.speech import Speech
from pipeline.phrases import Match

_GAP_BEFORE_FOOD = 5
_GAP_AFTER_FOOD = 9
_CUE_REACH = 18
_TOTAL_WINDOW = 8
_FREE_REACH = 40
_CORRECTION_WINDOW = 26
_LATER_REACH = 22
_YIELD_LEAD = 3
_LONGEST_CUE = 8
_SAYS_OF_IT = frozenset({("is",), ("are",), ("has",), ("have",), ("isn't",), ("aren't",)})
_OWNER_REACH = 4
_OF_THEM = frozenset({"them", "those", "these", "it"})
_OF_THE = frozenset({("the",), ("that",), ("those",), ("this",), ("these",)})
_THAT = frozenset({("that",), ("this",)})
_PORTIONS = frozenset({"amount-aside.a-person", "amount-aside.apiece", "amount-aside.per", "amount-aside.to-each"})
_KIND_OF = frozenset({("kind",), ("size",), ("ones",), ("type",), ("sort",)})
_COUNT_TAIL = frozenset({("that",), ("go",), ("goes",), ("in",), ("altogether",), ("going",)})
_WITHIN = frozenset({"in", "into", "from", "on"})
_INTO_THE = frozenset({("in", "the"), ("into", "the"), ("on", "the"), ("for", "the"), ("to", "the")})
_WITH_THE = frozenset({("with", "the"), ("with", "that"), ("to", "the"), ("into", "the")})


@dataclass(frozen=True, slots=True)
class _Flags:
    corrected_at: int
    sums_up: bool
    more: bool
    total: bool
    part: bool
    rest: bool


class AmountBinder:
    """Compiled cue words round amounts."""

    def __init__(self, classes: Classes, countable: frozenset[str]) -> None:
        self._cues = load_phrases("amount_cues.csv", ("id", "kind", "pattern"), classes)
        self._gap = frozenset(classes["amount-gap"]) | frozenset(classes["size"])
        preparations = {
            row["words"] for row in load_rows("modifiers.csv", ("words", "kind")) if row["kind"] == "preparation"
        }
        self._link = frozenset(classes["amount-link"]) | frozenset(classes["size"]) | preparations
        self._only_lead = frozenset(classes["only-lead"])
        self._unit_foods = {row["unit"]: row["word"] for row in load_rows("unit_foods.csv", ("unit", "word"))}
        self._later_lead = frozenset(classes["later-lead"])
        self._joins = frozenset(classes["joining"])
        self._sum_up = frozenset(classes["sum-up"])
        self._count_words = frozenset(classes["count-word"])
        self._count_follow = frozenset(classes["count-follow"]) | preparations | frozenset(classes["imperative"])
        self._asides = load_phrases("amount_asides.csv", ("id", "pattern"), classes)
        self._shares = ShareReader(classes)
        self._making = frozenset(classes["yielding"])
        self._demonstrative = frozenset(classes["demonstrative"])
        self._countable = countable

    def bind(self, speech: Speech, foods: Sequence[FoodSpan], quantities: Sequence[Quantity]) -> tuple[Measured, ...]:
        """Amounts with their foods, in order of speech."""
        cues = self._cues.everywhere(speech.words)
        bound: list[Measured] = []
        following = _first_after(foods, quantities)
        for at, quantity in enumerate(quantities):
            near = _near(cues, quantity)
            if self._restated(speech, near, quantity) or self._per_head(speech, quantity):
                continue
            if self._yields(speech, quantity) and not quantity.of:
                continue
            after = following[at]
            if or_two(speech, foods, after - 1, quantity, bound):
                continue
            quantity = self._shares.meant(speech, quantity)
            limit = quantities[at + 1].start if at + 1 < len(quantities) else len(speech)
            forward = self._forward(speech, foods, after, quantity, limit)
            backward = self._backward(speech, foods, after - 1, quantity, quantities[at - 1] if at else None, bound)
            if not forward and not backward:
                backward = part_of_last(speech, foods, after - 1, quantity, bound)
                backward = backward or of_the_named(speech, foods, after - 1, quantity)
            targets, rule = self._choose(speech, foods, quantity, forward, backward, after)
            flags = self._flags(speech, near, quantity)
            if targets:
                quantity = of_that_amount(speech, foods, targets[0], quantity, bound)
                bound.extend(self._measured(food, quantity, rule, flags) for food in targets)
            else:
                free = self._free(speech, foods, after - 1, quantity, bound, flags)
                bound.extend([free] if free is not None else [])
        return tuple(bound)

    def _restated(self, speech: Speech, cues: Sequence[Match[Row]], quantity: Quantity) -> bool:
        """Whether a cue stands right before the amount, or with one word such as `about` between."""
        filler = quantity.start > 0 and speech.words[quantity.start - 1] in self._gap
        ends = {quantity.start, quantity.start - filler}
        return any(cue.payload["kind"] == "restated" and cue.end in ends for cue in cues)

    def _per_head(self, speech: Speech, quantity: Quantity) -> bool:
        """`two ounces per person`, `in a can`, `four is the old way`: no amount of the recipe."""
        if (
            quantity.kind == "container"
            and not quantity.of
            and quantity.start
            and speech.words[quantity.start - 1] in _WITHIN
        ):
            return True
        if quantity.kind == "measure" and speech.words[quantity.end : quantity.end + 1] in _KIND_OF:
            return True
        return self._aside(speech, quantity.end) is not None

    def _aside(self, speech: Speech, place: int) -> str | None:
        """Name of the rule by which the words from `place` on tell a portion or another's amount; None where none."""
        aside = self._asides.longest(speech.words, place) if place < len(speech) else None
        return None if aside is None or speech.words[aside.end : aside.end + 1] == ("of",) else aside.payload["id"]

    def _flags(self, speech: Speech, cues: Sequence[Match[Row]], quantity: Quantity) -> _Flags:
        before = [cue for cue in cues if 0 <= quantity.start - cue.end <= _CORRECTION_WINDOW]
        corrected = max((cue.start for cue in before if cue.payload["kind"] == "correction"), default=-1)
        if quantity.start and speech.words[quantity.start - 1] in {"no", "sorry"}:
            corrected = quantity.start - 1
        more = any(
            cue.payload["kind"] == "more" and (quantity.start - cue.end <= 3 or self._inside(cue, quantity))
            for cue in cues
            if cue.start >= quantity.start - 6 and cue.start < quantity.end + 2
        )
        total = any(cue.payload["kind"] == "total" and 0 <= cue.start - quantity.end <= _TOTAL_WINDOW for cue in cues)
        lead = speech.words[max(0, quantity.start - 3) : quantity.start]
        part = quantity.of and speech.words[quantity.end : quantity.end + 1] in _OF_THE
        part = part or quantity.rule.startswith("amount.this")
        anew = any(cue.payload["kind"] == "more" and quantity.start in {cue.start, cue.end} for cue in cues)
        rest = quantity.share and lead[-1:] == ("other",)
        return _Flags(corrected, not anew and not self._sum_up.isdisjoint(lead), more, total, part, rest)

    @staticmethod
    def _inside(cue: Match[Row], quantity: Quantity) -> bool:
        return quantity.start <= cue.start < quantity.end + 2 and cue.payload["kind"] == "more"

    def _forward(
        self, speech: Speech, foods: Sequence[FoodSpan], after: int, quantity: Quantity, limit: int
    ) -> list[int]:
        if after >= len(foods) or quantity.kind == "unit" or speech.words[quantity.end - 1] in _OF_THEM:
            return []
        food = foods[after]
        if food.start >= limit and food.head >= limit:
            return []
        between = speech.words[quantity.end : max(quantity.end, food.start)]
        if len(between) > _GAP_BEFORE_FOOD or not self._gap.issuperset(between):
            return []
        if any(speech.stop_after[quantity.end - 1 : food.start - 1]):
            return []
        if (quantity.article or quantity.rule == "amount.whole") and not self._counts(food):
            return []
        if not quantity.of and speech.words[food.end : food.end + 1] in _SAYS_OF_IT and quantity.kind != "count":
            return []
        if quantity.kind == "count" and self._each_gets(speech, food.end):
            return []
        if not quantity.of and self._demonstrative.intersection(between) and not quantity.share:
            return []
        if quantity.of and between in _THAT and food.name.endswith("s"):
            return []
        if not quantity.each:
            return [after]
        return self._joined(speech, foods, after, 1)

    def _each_gets(self, speech: Speech, place: int) -> bool:
        """`one thigh each`, `one thigh for each person`: what somebody gets."""
        return speech.words[place : place + 1] == ("each",) or self._aside(speech, place) in _PORTIONS

    def _counts(self, food: FoodSpan) -> bool:
        return food.food in self._countable or food.name.split()[-1] in self._count_words

    def _joined(self, speech: Speech, foods: Sequence[FoodSpan], first: int, step: int) -> list[int]:
        """The food and those joined to it by and, going on (step 1) or back (step -1)."""
        chain = [first]
        place = first + step
        while 0 <= place < len(foods):
            left, right = sorted((foods[chain[-1]], foods[place]), key=lambda span: span.start)
            between = speech.words[left.end : right.start]
            linked = bool(between) or speech.comma_after[left.end - 1]
            if not linked or len(between) > 3 or not (self._joins | self._gap).issuperset(between):
                break
            chain.append(place)
            place += step
        return chain

    def _backward(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        before: int,
        quantity: Quantity,
        previous: Quantity | None,
        bound: Sequence[Measured],
    ) -> list[int]:
        if before < 0 or quantity.article or quantity.rule == "amount.whole" or not self._ends_count(speech, quantity):
            return []
        food = foods[before]
        if quantity.start < food.end or (previous is not None and previous.start >= food.end):
            return []
        between = speech.words[food.end : quantity.start]
        if len(between) > _GAP_AFTER_FOOD or not self._link.issuperset(between):
            return []
        aside = before > 0 and speech.words[food.start - 2 : food.start] in _WITH_THE
        if aside and food.start - foods[before - 1].end <= 4 and all(item.food != before - 1 for item in bound):
            return [before - 1]
        has_own = any(measured.food == before and not measured.free for measured in bound)
        if has_own and (not between or (quantity.each and quantity.kind == "measure")):
            return []
        if not self._shares.closes(speech, quantity):
            return []
        if not quantity.each:
            return [before]
        chain = self._joined(speech, foods, before, -1)
        portion = quantity.kind == "measure" and between and len({foods[at].food for at in chain}) == 1
        return [] if portion else chain

    def _ends_count(self, speech: Speech, quantity: Quantity) -> bool:
        """A bare figure after a food counts it only where no other thing to count follows: not `it's four plates`."""
        if quantity.kind != "count" or quantity.unit is not None or quantity.end >= len(speech):
            return True
        closed = speech.words[quantity.end - 1] in _OF_THEM or quantity.share or quantity.each
        following = speech.words[quantity.end]
        return closed or following in self._count_follow or speech.stop_after[quantity.end - 1]

    def _choose(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        quantity: Quantity,
        forward: list[int],
        backward: list[int],
        after: int,
    ) -> tuple[list[int], str]:
        """Before the food unless the words run `FOOD amount FOOD amount`."""
        if forward and backward and quantity.unit is not None and not quantity.of and quantity.kind != "count":
            gap_back = quantity.start - foods[backward[0]].end
            gap_on = foods[forward[0]].start - quantity.end
            if gap_back == 0 and gap_on >= 0 and not quantity.each:
                return backward, "amount.after-food"
        if forward:
            return forward, "amount.before-food"
        if backward and quantity.kind != "unit":
            return backward, "amount.after-food"
        return [], ""

    @staticmethod
    def _measured(food: int, quantity: Quantity, rule: str, flags: _Flags, *, free: bool = False) -> Measured:
        told = (flags.corrected_at, flags.sums_up, flags.more, flags.total)
        return Measured(food, quantity, rule, *told, free, flags.part, flags.rest)

    def _free(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        before: int,
        quantity: Quantity,
        bound: Sequence[Measured],
        flags: _Flags,
    ) -> Measured | None:
        """A figure on its own: a correction of the amount spoken last, or the amount of the food spoken of last."""
        last = bound[-1] if bound else None
        if quantity.article or quantity.rule == "amount.whole":
            return None
        if (quantity.vague and quantity.kind != "unit") or not self._shares.closes(speech, quantity):
            return None
        if quantity.rule.startswith("amount.part") and quantity.start and speech.words[quantity.start - 1] == "other":
            return None
        owner = self._unit_owner(foods, before, quantity)
        if owner is not None:
            return self._measured(owner, quantity, "amount.by-unit", flags, free=True)
        corrected = self._correction(speech, foods, before, quantity, last, flags)
        if corrected is not None or quantity.kind == "unit":
            return corrected
        return self._later(speech, foods, before, quantity, bound, flags)

    def _unit_owner(self, foods: Sequence[FoodSpan], before: int, quantity: Quantity) -> int | None:
        """Cloves are of garlic, stalks of celery: the last such food, where the one spoken of last is another."""
        word = self._unit_foods.get(quantity.unit or "")
        near = range(before, max(-1, before - _OWNER_REACH), -1)
        named = [at for at in near if at >= 0 and word and word in foods[at].name.split()]
        return named[0] if named else None

    def _correction(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        before: int,
        quantity: Quantity,
        last: Measured | None,
        flags: _Flags,
    ) -> Measured | None:
        if last is None or quantity.start - last.quantity.end > _FREE_REACH:
            return None
        opens_turn = any(speech.turn_before[max(0, quantity.start - 3) : quantity.start + 1])
        heard = flags.corrected_at >= last.quantity.end - 1 and quantity.start - flags.corrected_at <= _CUE_REACH
        heard = heard or concludes(speech, quantity, last.quantity) or (flags.total and quantity.unit is None)
        if not opens_turn and (not heard or last.quantity.low is None):
            return None
        if quantity.kind == "unit":
            unit = replace(last.quantity, unit=quantity.unit, kind="measure", start=quantity.start, end=quantity.end)
            return self._measured(last.food, unit, "amount.corrected-unit", _heard(flags, quantity), free=True)
        if quantity.unit is None and not quantity.vague:
            if before > last.food and not opens_turn:
                return None
            if not likely(quantity, last.quantity):
                return None
            kept = replace(quantity, unit=last.quantity.unit, kind=last.quantity.kind)
            return self._measured(last.food, kept, "amount.corrected-figure", _heard(flags, quantity), free=True)
        if not quantity.vague and not _alike(quantity, last.quantity):
            return None
        return self._measured(last.food, quantity, "amount.corrected", _heard(flags, quantity), free=True)

    def _yields(self, speech: Speech, quantity: Quantity) -> bool:
        """`makes about ten cups`, said after a pause: what the dish makes, and no food of it."""
        lead = range(max(0, quantity.start - _YIELD_LEAD), quantity.start)
        return any(speech.words[at] in self._making and _opens(speech, at) for at in lead)

    def _later(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        before: int,
        quantity: Quantity,
        bound: Sequence[Measured],
        flags: _Flags,
    ) -> Measured | None:
        """`that's about two tablespoons`, said a while after the food."""
        while before > 0 and speech.words[max(0, foods[before].start - 2) : foods[before].start] in _INTO_THE:
            before -= 1
        if before < 0 or quantity.start - foods[before].end > _LATER_REACH:
            return None
        following = speech.words[quantity.end : quantity.end + 1]
        if quantity.kind == "count" and (quantity.share or following not in _COUNT_TAIL):
            return None
        lead = speech.words[max(0, quantity.start - 4) : quantity.start]
        so = "so" in lead and quantity.unit is not None
        if quantity.vague or not (so or self._later_lead.intersection(lead)):
            return None
        again = any(item.food == before and item.quantity.start > foods[before].start for item in bound)
        if quantity.of or quantity.each or (again and not self._only_lead.intersection(lead)):
            return None
        known = foods[before].food
        counted = any(known and foods[item.food].food == known and item.quantity.unit is None for item in bound)
        apart = quantity.start > foods[before].end
        if counted and apart and quantity.unit is not None and not flags.sums_up:
            return None
        flags = _heard(flags, quantity) if again else flags
        return self._measured(before, quantity, "amount.later", flags, free=True)


def _opens(speech: Speech, place: int) -> bool:
    return not place or speech.stop_after[place - 1] or speech.turn_before[place] or speech.pause_before[place]


def _alike(one: Quantity, two: Quantity) -> bool:
    """Whether one figure can stand in for the other: both counts, or both measures."""
    return (one.kind == "measure") == (two.kind == "measure")


def _heard(flags: _Flags, quantity: Quantity) -> _Flags:
    return replace(flags, corrected_at=quantity.start)


def _near(cues: Sequence[Match[Row]], quantity: Quantity) -> Sequence[Match[Row]]:
    """The cues that begin within reach of an amount; `cues` are in order of their start."""
    first = bisect_left(cues, quantity.start - _CORRECTION_WINDOW - _LONGEST_CUE, key=lambda cue: cue.start)
    return cues[first : bisect_left(cues, quantity.end + _TOTAL_WINDOW + 1, key=lambda cue: cue.start)]


def _first_after(foods: Sequence[FoodSpan], quantities: Sequence[Quantity]) -> list[int]:
    """For each quantity the index of the first food that ends after it."""
    following: list[int] = []
    place = 0
    for quantity in quantities:
        while place < len(foods) and foods[place].end <= quantity.end and foods[place].head < quantity.end:
            place += 1
        following.append(place)
    return following
