"""Gives each amount to the food it is about: before the food, after it, for each of several, or spoken on its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from pipeline.hear.alone import AS_THE, AloneReader, with_the_others
from pipeline.hear.between import Between
from pipeline.hear.compound import summed
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases, load_rows, phrase_class, word_class
from pipeline.hear.measured import Flags, Measured, measured
from pipeline.hear.nearby import (
    CORRECTION_WINDOW,
    TOTAL_WINDOW,
    cues_near,
    elsewhere,
    first_after,
    gives_way,
    part_told,
)
from pipeline.hear.putting_right import offered_instead, repeated_at
from pipeline.hear.quantity import ONE_THING, Quantity
from pipeline.hear.remarks import RemarkJudge
from pipeline.hear.shares import (
    ShareReader,
    after_all,
    as_the_other,
    before_lacking,
    extends_last,
    half_of_one,
    in_the_same_unit,
    of_that_amount,
    of_the_described,
    of_the_named,
    part_of_holder,
    part_of_last,
    retold,
    second_half,
)
from pipeline.hear.speech import Speech
from pipeline.hear.splits import SplitReader
from pipeline.hear.unread import UnreadWords
from pipeline.phrases import Match

_GAP_BEFORE_FOOD = 5
_UNREAD_FIRST = 4
_LONGEST_LIST = 6
_SAYS_OF_IT = phrase_class("says-of-food")
_OF_THEM = word_class("it-or-them")
_MANY = word_class("pronoun-several")
_POINTING = frozenset({"these", "those"})
_THE_SAME = ("the", "same")
_OF_THE = phrase_class("the-or-those")
_PIECE_KINDS = frozenset({"count", "small"})
_ANY_PIECE = frozenset({"each", "piece", "head"})
_OTHER_PART = phrase_class("other-part")
_LAST_LOT = phrase_class("the-last")
_LAST_ONE = frozenset({"amount.last.measure", "amount.last.container"})
_A = frozenset({("a",), ("one",)})
_PUTS_RIGHT = frozenset({"correction", "said"})
_MORE_REACH = 3
_IF_REACH = 4
_THAT = frozenset({("that",), ("this",)})
_WITH_THE = phrase_class("with-the")


class AmountBinder:
    """Compiled cue words round amounts."""

    def __init__(self, classes: Classes, countable: frozenset[str]) -> None:
        self._cues = load_phrases("amount_cues.csv", ("id", "kind", "pattern"), classes)
        self._gap = frozenset(classes["amount-gap"]) | frozenset(classes["size"])
        self._between = Between(classes)
        self._joins = frozenset(classes["joining"])
        self._sum_up = frozenset(classes["sum-up"])
        self._count_words = frozenset(classes["count-word"])
        self._remarks = RemarkJudge(classes)
        self._shares = ShareReader(classes)
        self._splits = SplitReader(classes)
        self._alone = AloneReader(classes, self._between, self._shares)
        self._unread = UnreadWords(classes)
        self._at_once = frozenset(classes["correcting-word"])
        self._demonstrative = frozenset(classes["demonstrative"])
        self._countable = countable
        modifiers = load_rows("modifiers.csv", ("words", "kind"))
        self._prepared = frozenset(row["words"] for row in modifiers if row["kind"] == "preparation")
        self._pieces = {
            row["word"]: row["unit"]
            for row in load_rows("units.csv", ("word", "unit", "kind"))
            if row["kind"] in _PIECE_KINDS and row["unit"] not in _ANY_PIECE and row["word"].endswith("s")
        }

    def bind(self, speech: Speech, foods: Sequence[FoodSpan], quantities: Sequence[Quantity]) -> tuple[Measured, ...]:
        """Amounts with their foods, in order of speech."""
        cues = self._cues.everywhere(speech.words, speech.places)
        bound: list[Measured] = []
        quantities = summed(speech, foods, self._splits.without_parts(speech, quantities), self._between)
        following = first_after(foods, quantities)
        for at, quantity in enumerate(quantities):
            near = cues_near(cues, quantity)
            after = following[at]
            if self._remarks.no_amount(speech, foods, after, near, quantity, bound):
                continue
            if extends_last(speech, foods, after - 1, quantity, bound):
                continue
            if self._splits.is_kept(speech, foods, after, self._shares.meant(speech, quantity)):
                continue
            quantity = self._splits.all_of_it(speech, foods, after, self._shares.meant(speech, quantity))
            limit = quantities[at + 1].start if at + 1 < len(quantities) else len(speech)
            forward = self._forward(speech, foods, after, quantity, limit)
            made = self._alone.made_it(speech, foods, forward, quantity, bound)
            if made is not None:
                bound.extend(with_the_others(made, bound))
                continue
            backward = self._backward(speech, foods, after - 1, quantity, quantities[at - 1] if at else None, bound)
            if not forward and not backward:
                backward = self._of_something(speech, foods, after - 1, quantity, bound)
            targets, rule = self._choose(speech, foods, quantity, forward, backward, after)
            flags = self._flags(speech, near, quantity)
            if rule != "amount.before-food" and retold(speech, targets[0] if targets else after - 1, quantity, bound):
                continue
            if targets:
                previous = quantities[at - 1] if at else None
                quantity = self._as_meant(speech, foods, targets[0], quantity, previous, bound)
                flags = part_told(quantity, targets[0], flags, bound)
                bound.extend(measured(food, quantity, rule, flags) for food in targets)
            else:
                named = before_lacking(speech, foods, after - 1)
                free = self._alone.food(speech, foods, named, quantity, bound, flags)
                bound.extend(with_the_others(free, bound) if free is not None else [])
        return tuple(bound)

    def _of_something(
        self, speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity, bound: Sequence[Measured]
    ) -> list[int]:
        """The food of which an amount is a part, where it stands beside none."""
        found = of_the_described(speech, foods, before, quantity)
        if found or self._of_another(speech, quantity):
            return found
        found = part_of_last(speech, foods, before, quantity, bound)
        found = found or part_of_holder(speech, foods, before, quantity, bound)
        return found or self._of_the_named(speech, foods, before, quantity)

    def _of_the_named(self, speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity) -> list[int]:
        """The food named last; `half of it` only of what is counted."""
        named = of_the_named(speech, foods, before, quantity)
        return [at for at in named if not quantity.share or self._counts(foods[at])]

    def _as_meant(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        target: int,
        quantity: Quantity,
        previous: Quantity | None,
        bound: Sequence[Measured],
    ) -> Quantity:
        """The amount with what the food and the amounts before it make plain."""
        food = foods[target]
        quantity = of_that_amount(speech, foods, target, quantity, bound)
        quantity = half_of_one(speech, food, quantity, counted=self._counts(food))
        quantity = as_the_other(speech, foods, target, quantity, bound)
        quantity = in_the_same_unit(food, quantity, bound)
        quantity = self._in_pieces(speech, food, quantity)
        return after_all(food, quantity, previous, bound)

    def _in_pieces(self, speech: Speech, food: FoodSpan, quantity: Quantity) -> Quantity:
        """`six garlic cloves`: the figure counts what is said right after the food."""
        following = speech.words[food.end] if food.end < len(speech) else ""
        bare = quantity.unit is None and quantity.kind == "count" and not quantity.share
        if not bare or following not in self._pieces or food.name.endswith("s") or quantity.start > food.start:
            return quantity
        return replace(quantity, unit=self._pieces[following])

    def _flags(self, speech: Speech, cues: Sequence[Match[Row]], quantity: Quantity) -> Flags:
        before = [cue for cue in cues if 0 <= quantity.start - cue.end <= CORRECTION_WINDOW]
        corrected = max((cue.start for cue in before if cue.payload["kind"] in _PUTS_RIGHT), default=-1)
        as_well = speech.words[max(0, quantity.start - 2) : quantity.start] == ("as", "well")
        if quantity.start and speech.words[quantity.start - 1] in self._at_once and not as_well:
            corrected = quantity.start - 1
        corrected = max(corrected, repeated_at(speech, quantity))
        more = any(
            cue.payload["kind"] == "more" and (self._right_before(speech, cue, quantity) or self._inside(cue, quantity))
            for cue in cues
            if quantity.start - 6 <= cue.start < quantity.end + 2 and not elsewhere(speech, cue, quantity)
            if not cue.end <= corrected < quantity.start
        )
        total = any(cue.payload["kind"] == "total" and 0 <= cue.start - quantity.end <= TOTAL_WINDOW for cue in cues)
        lead = speech.words[max(0, quantity.start - 3) : quantity.start]
        of = quantity.of and speech.words[quantity.end - 1] not in _OF_THEM
        following = speech.words[quantity.end : quantity.end + 2]
        same = of and following == _THE_SAME
        part = of and not same and following[:1] in _OF_THE
        part = part or quantity.rule.startswith("amount.this")
        anew = any(
            cue.payload["kind"] == "more" and cue.start < quantity.end and cue.end >= quantity.start for cue in cues
        )
        more = (
            (more and quantity.rule != "amount.enough")
            or lead[-2:] in _LAST_LOT
            or (quantity.rule in _LAST_ONE and lead[-1:] in _A)
        )
        rest = quantity.share and (lead[-1:] == ("other",) or second_half(speech, quantity))
        return Flags(
            corrected,
            not anew and not self._sum_up.isdisjoint(lead),
            more or same or quantity.rule == "amount.another",
            total,
            part,
            rest,
        )

    @staticmethod
    def _right_before(speech: Speech, cue: Match[Row], quantity: Quantity) -> bool:
        """Whether the amount follows a cue at once; not so `if you want more heat, a whole teaspoon`."""
        wished = "if" in speech.words[max(0, cue.start - _IF_REACH) : cue.start]
        return quantity.start - cue.end <= _MORE_REACH and not wished

    @staticmethod
    def _inside(cue: Match[Row], quantity: Quantity) -> bool:
        return quantity.start <= cue.start < quantity.end + 2 and cue.payload["kind"] == "more"

    def _forward(
        self, speech: Speech, foods: Sequence[FoodSpan], after: int, quantity: Quantity, limit: int
    ) -> list[int]:
        if after >= len(foods) or quantity.kind == "unit":
            return []
        food = foods[after]
        if speech.words[quantity.end - 1] in _OF_THEM and not self._names(speech, quantity, food):
            return []
        if food.start >= limit and food.head >= limit:
            return []
        between = speech.words[quantity.end : max(quantity.end, food.start)]
        if quantity.each and quantity.of and between[-1:] == ("and",) and len(between) <= _UNREAD_FIRST:
            return self._joined(speech, foods, after, 1)
        read = len(between) <= _GAP_BEFORE_FOOD and self._gap.issuperset(between)
        if not read and not self._unread.between(quantity, between):
            return []
        if any(speech.stop_after[quantity.end - 1 : food.start - 1]) or self._alone.of_a_root(foods, after, quantity):
            return []
        if (quantity.article or quantity.rule in ONE_THING) and not self._counts(food):
            return []
        if not quantity.of and speech.words[food.end : food.end + 1] in _SAYS_OF_IT and quantity.kind != "count":
            return []
        if quantity.kind == "count" and (
            self._remarks.each_gets(speech, food.end) or self._remarks.no_count(food, quantity)
        ):
            return []
        if not quantity.of and quantity.unit is not None and offered_instead(speech, quantity, food.start, food.end):
            return []
        if not quantity.of and self._demonstrative.intersection(between) and not quantity.share:
            return []
        if not quantity.of and between[:1] == ("the",) and quantity.low is None:
            return []
        if quantity.of and between in _THAT and food.name.endswith("s"):
            return []
        if not quantity.each:
            return [after]
        return self._joined(speech, foods, after, 1)

    def _names(self, speech: Speech, quantity: Quantity, food: FoodSpan) -> bool:
        """`two of these little courgettes`, `a tub of those fried onions`: a pointing word that the food follows."""
        between = speech.words[quantity.end : food.start]
        apart = any(speech.stop_after[quantity.end - 1 : food.start]) or any(
            speech.turn_before[quantity.end : food.start + 1]
        )
        return speech.words[quantity.end - 1] in _POINTING and not apart and self._prepared.issuperset(between)

    def _counts(self, food: FoodSpan) -> bool:
        return food.food in self._countable or food.name.split()[-1] in self._count_words

    def _joined(self, speech: Speech, foods: Sequence[FoodSpan], first: int, step: int) -> list[int]:
        """The food and those joined to it by and, or named in one breath, going on (step 1) or back (step -1)."""
        chain = [first]
        place = first + step
        while 0 <= place < len(foods):
            left, right = sorted((foods[chain[-1]], foods[place]), key=lambda span: span.start)
            between = speech.words[left.end : right.start]
            linked = bool(between) or speech.comma_after[left.end - 1] or len(chain) > 1
            linked = linked or (step > 0 and self._ends_in_and(speech, foods, place))
            if not linked or len(between) > 3 or not (self._joins | self._gap).issuperset(between):
                break
            chain.append(place)
            place += step
        return chain

    def _ends_in_and(self, speech: Speech, foods: Sequence[FoodSpan], place: int) -> bool:
        """`thyme oregano and pepper`: whether foods named in one breath go on to one that is joined by `and`."""
        for left, right in pairwise(foods[place : place + _LONGEST_LIST]):
            between = speech.words[left.end : right.start]
            if len(between) > 3 or not (self._joins | self._gap).issuperset(between):
                return False
            if "and" in between:
                return True
        return False

    def _backward(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        before: int,
        quantity: Quantity,
        previous: Quantity | None,
        bound: Sequence[Measured],
    ) -> list[int]:
        if before < 0 or quantity.article or quantity.rule in ONE_THING or self._unread.follow(speech, quantity):
            return []
        if not self._between.ends_count(speech, quantity):
            return []
        if self._of_another(speech, quantity) or self._as_handled(speech, quantity):
            return []
        if quantity.unit == "piece" and speech.words[quantity.start - 1] == "the":
            return []
        named = foods[before]
        before = before_lacking(speech, foods, before) if quantity.kind == "measure" else before
        food = foods[before]
        closing = speech.words[quantity.end - 1]
        if quantity.share and (closing == "what" or (closing in _MANY and not food.name.endswith("s"))):
            return []
        ends = {food.end, named.end} if named is not food else {food.end}
        leads = [self._leads_from(previous, before, end, quantity, bound) for end in ends]
        thing = quantity.words == "one"
        linked = (
            first >= 0 and self._between.links(speech.words, first, quantity.start, thing=thing) for first in leads
        )
        if quantity.start < food.end or not any(linked):
            return []
        between = speech.words[food.end : quantity.start]
        lead = speech.words[max(0, food.start - 2) : food.start]
        if lead in AS_THE or self._remarks.no_length(speech, food, quantity):
            return []
        aside = before > 0 and lead in _WITH_THE
        if aside and food.start - foods[before - 1].end <= 4 and all(item.food != before - 1 for item in bound):
            return [before - 1]
        own = (item for item in bound if item.food == before and not item.free)
        has_own = any(not gives_way(item.quantity, quantity) for item in own)
        if has_own and (not between or (quantity.each and quantity.kind == "measure")):
            return []
        if not self._shares.closes(speech, quantity):
            return []
        if not quantity.each:
            return [before]
        chain = self._joined(speech, foods, before, -1)
        portion = quantity.kind == "measure" and between and len({foods[at].food for at in chain}) == 1
        return [] if portion else chain

    @staticmethod
    def _of_another(speech: Speech, quantity: Quantity) -> bool:
        """`half the glaze brushed over`: a part of something else that is named right after."""
        if quantity.unit is not None or not quantity.rule.startswith("amount.part"):
            return False
        place = quantity.end + (speech.words[quantity.end : quantity.end + 1] == ("the",))
        following = speech.words[place : place + 1]
        return speech.words[place - 1] == "the" and bool(following) and following not in _OTHER_PART

    def _as_handled(self, speech: Speech, quantity: Quantity) -> bool:
        """`an egg beaten a little`: how much is done to it, and not how much of it there is."""
        return quantity.vague and not quantity.of and speech.words[quantity.start - 1] in self._prepared

    @staticmethod
    def _leads_from(previous: Quantity | None, at: int, end: int, quantity: Quantity, bound: Sequence[Measured]) -> int:
        """Where the words begin that may lead to an amount of food `at`, which ends at `end`; -1 where another amount
        stands between, unless this one makes that one plain: `a little, a teaspoon`, `a bag here, we're using a pound`.
        """
        if previous is None or previous.start < end:
            return end
        taken_up = bool(bound) and bound[-1].quantity.start == previous.start
        if (previous.article or previous.vague or previous.words == "one") and not taken_up:
            return end
        own = taken_up and bound[-1].food == at
        vague = previous.vague and not quantity.vague
        taken = previous.kind in {"container", "count"} and quantity.kind in {"measure", "length"}
        taken = taken or (previous.kind == "container" and quantity.vague and quantity.of)
        return previous.end if own and (vague or taken) else -1

    def _choose(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        quantity: Quantity,
        forward: list[int],
        backward: list[int],
        after: int,
    ) -> tuple[list[int], str]:
        """Before the food unless the words run `FOOD amount FOOD amount`, or the unit is that of the food before it."""
        if forward and backward and not quantity.of and self._alone.owns(foods, backward[0], forward[0], quantity):
            return backward, "amount.after-food"
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
