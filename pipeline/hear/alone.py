"""An amount spoken on its own: a correction of the one before, or that of the food spoken of a while ago."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pipeline.hear.answers import AnswerReader
from pipeline.hear.between import Between
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_phrases, load_rows, phrase_class, time_words, unit_foods, word_class
from pipeline.hear.measured import Flags, Measured, measured
from pipeline.hear.putting_right import is_enough
from pipeline.hear.quantity import LEAST_WEIGHT, ONE_THING, Quantity
from pipeline.hear.shares import ShareReader, concludes, likely
from pipeline.hear.speech import Speech
from pipeline.hear.unit_sizes import times_as_much

_CUE_REACH = 18
_FREE_REACH = 40
_LATER_REACH = 22
_OWNER_REACH = 4
_AT_ONCE = 4
_TOOK = phrase_class("using-word")
_MORE = phrase_class("more-or-extra")
_TAKEN_LEAD = 4
_OFF = word_class("cut-off-lead")
_THINGS = frozenset({"count", "length"})
_LONGEST_CUE = 3
_SUFFICES_REACH = 8
_FAR = 12
_FEW = 4
_BOUGHT = word_class("bought-word")
_GO_IN = frozenset({(), ("in",), ("in", "about")})
_GO = phrase_class("goes-in")
_OF_THEM = word_class("pronoun-several")
_MINE = phrase_class("the-or-our")
_WHOLES = frozenset({"bunch", "head"})
_IS_FOR = phrase_class("is-for")
_HERE = phrase_class("here-or-left")
_KEPT = word_class("rest-kept")
_KEPT_TAIL = 6
_COUNT_TAIL = phrase_class("count-closing")
AS_THE = phrase_class("as-the")
_INTO_THE = AS_THE | phrase_class("into-the")


class AloneReader:
    """Finds the food of an amount that stands beside none."""

    def __init__(self, classes: Classes, between: Between, shares: ShareReader) -> None:
        self._between, self._shares = between, shares
        self._answers = AnswerReader(classes)
        self._instead = load_phrases("instead_cues.csv", ("id", "pattern"), classes)
        self._only_lead = frozenset(classes["only-lead"])
        self._unit_foods = unit_foods()
        self._times = time_words()
        self._takes = frozenset(classes["share-verb"])
        self._may_be = frozenset(classes["modal-verb"])
        self._roots = frozenset(classes["root-food"])
        self._later_lead = frozenset(classes["later-lead"])
        verbs = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._adding = frozenset(row["form"] for row in verbs if row["kind"] in {"add", "combine"})
        parting = frozenset(row["form"] for row in verbs if row["kind"] in {"add", "cook", "cut", "use"})
        self._parting = parting | frozenset(classes["parting-verb"])

    def food(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        before: int,
        quantity: Quantity,
        bound: Sequence[Measured],
        flags: Flags,
    ) -> Measured | None:
        """A figure on its own: a correction of the amount spoken last, or the amount of the food spoken of last."""
        last = bound[-1] if bound else None
        if quantity.article or quantity.rule in ONE_THING:
            return None
        if (quantity.vague and quantity.kind != "unit") or not self._shares.closes(speech, quantity):
            return None
        if quantity.kind == "unit" and speech.words[max(0, quantity.start - 1)] == "the":
            return None
        if quantity.rule.startswith("amount.part") and quantity.start and speech.words[quantity.start - 1] == "other":
            return None
        owner = self._unit_owner(foods, before, quantity)
        if owner is not None:
            return measured(owner, quantity, "amount.by-unit", flags, free=True)
        answer = self._answers.answered(speech, foods, before, quantity)
        if answer is not None:
            return measured(before, answer, "amount.answer", flags, free=True)
        corrected = self._taken(speech, foods, before, quantity, last, flags)
        corrected = corrected or self._taken_off(speech, before, quantity, last, flags)
        corrected = corrected or self._correction(speech, foods, before, quantity, last, flags)
        if corrected is not None or quantity.kind == "unit":
            return corrected
        known = last if last is None or not last.quantity.vague else _figured(bound, last.food)
        if flags.more and known is not None and self._comes_on_top(speech, foods, before, quantity, known):
            return measured(before, self._in_unit(quantity, known), "amount.on-top", flags, free=True)
        return self._later(speech, foods, before, quantity, bound, flags)

    def made_it(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        forward: Sequence[int],
        quantity: Quantity,
        bound: Sequence[Measured],
    ) -> Measured | None:
        """`one litre is small, make it one and a half litres`: the amount said last, whatever is named right after or
        was named since."""
        figures = (item for item in reversed(bound) if item.quantity.low is not None and not item.quantity.article)
        last = next(figures, None)
        if last is None or quantity.of or quantity.low is None:
            return None
        if quantity.start - last.quantity.end > _FREE_REACH or quantity.share or quantity.each:
            return None
        if not self._says_instead(speech.words, quantity.start) or not self._between.ends_count(speech, quantity):
            return None
        if forward and (quantity.unit is None or foods[forward[0]].food == foods[last.food].food):
            return None
        if quantity.unit is not None and quantity.unit != last.quantity.unit:
            return None
        corrected = Flags(quantity.start, sums_up=False, more=False, total=False, part=False, rest=False)
        if quantity.unit is None:
            kept = self._figure_instead(speech, quantity, last, corrected)
            rule = "amount.corrected-figure"
            return measured(last.food, kept, rule, corrected, free=True) if kept is not None else None
        return measured(last.food, quantity, "amount.corrected", corrected, free=True)

    def _says_instead(self, words: Sequence[str], place: int) -> bool:
        """Whether words right before `place` put another amount in the place of the last."""
        matches = (self._instead.longest(words, start) for start in range(max(0, place - _LONGEST_CUE), place))
        return any(match is not None and match.end == place for match in matches)

    def of_a_root(self, foods: Sequence[FoodSpan], after: int, quantity: Quantity) -> bool:
        """`ginger in threads, so that's an inch and a half // garlic`: a length of what was named before it."""
        if quantity.kind != "length" or quantity.of or not after:
            return False
        roots = [foods[at].name.split()[-1] in self._roots for at in (after - 1, after)]
        return roots == [True, False]

    def owns(self, foods: Sequence[FoodSpan], before: int, after: int, quantity: Quantity) -> bool:
        """`garlic four cloves sliced curry leaves`: a unit of the food before it, and not of the one after it."""
        word = self._unit_foods.get(quantity.unit or "")
        return bool(word) and word in foods[before].name.split() and word not in foods[after].name.split()

    def _unit_owner(self, foods: Sequence[FoodSpan], before: int, quantity: Quantity) -> int | None:
        """Cloves are of garlic, stalks of celery: the last such food, where the one spoken of last is another."""
        word = self._unit_foods.get(quantity.unit or "")
        near = range(before, max(-1, before - _OWNER_REACH), -1)
        named = [at for at in near if at >= 0 and word and word in foods[at].name.split()]
        return named[0] if named else None

    def _taken(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        before: int,
        quantity: Quantity,
        last: Measured | None,
        flags: Flags,
    ) -> Measured | None:
        """`i've got a whole bunch here but i want three of them`, `just the one`: how many are used of what is here."""
        counted = quantity.kind == "count" and quantity.unit is None and not quantity.share and not quantity.each
        if last is None or not counted or last.quantity.kind in {"measure", "small", "vague"} or last.food != before:
            return None
        words, start = speech.words, quantity.start
        lead = words[max(0, start - _TAKEN_LEAD) : start]
        of_them = quantity.of and words[quantity.end - 1] in _OF_THEM
        taken = bool(self._only_lead.union(self._takes).intersection(lead))
        taken = taken or (of_them and words[quantity.end : quantity.end + 1] in _GO)
        here = max(last.quantity.end, foods[last.food].end)
        goes = words[quantity.end : quantity.end + 2] in _IS_FOR and (
            not self._only_lead.isdisjoint(lead) or self._may_be_taken(speech, here, last.quantity, quantity)
        )
        if start - last.quantity.end > _FREE_REACH or not (taken or goes) or _too_many(last.quantity, quantity):
            return None
        if not self._may_be.isdisjoint(lead) or not (goes or self._between.ends_count(speech, quantity)):
            return None
        if not (of_them or goes) and self._only_lead.isdisjoint(lead):
            return None
        unit = last.quantity.unit if last.quantity.kind not in {"container"} else None
        kept = replace(quantity, unit="each" if unit in _WHOLES else unit or "each")
        return measured(before, kept, "amount.taken", _heard(flags, quantity), free=True)

    @staticmethod
    def _may_be_taken(speech: Speech, here: int, last: Quantity, quantity: Quantity) -> bool:
        """`i have five here, four are for the pot`: fewer than there are at word `here`, and not for another day."""
        kept = speech.words[quantity.end : quantity.end + _KEPT_TAIL]
        fewer = last.low is not None and quantity.low is not None and quantity.low < last.low
        return fewer and _KEPT.isdisjoint(kept) and speech.words[here : here + 1] in _HERE

    def _taken_off(
        self, speech: Speech, before: int, quantity: Quantity, last: Measured | None, flags: Flags
    ) -> Measured | None:
        """`there's a dozen eggs // crack three in here`, `a head of celery, i break off two sticks`: a part of what is
        on the table, which tells nothing where that is used already."""
        if last is None or last.food != before or last.quantity.kind in {"measure", "small", "vague"}:
            return None
        words, start = speech.words, quantity.start
        off = start > 1 and words[start - 1] in _OFF
        verb = words[start - 1 - off] if start > off else ""
        things = quantity.kind in _THINGS and not (quantity.share or quantity.each or quantity.article)
        if verb not in self._parting or not things or start - last.quantity.end > _FREE_REACH:
            return None
        if quantity.low is None or (quantity.of and words[quantity.end - 1] not in _OF_THEM):
            return None
        if not self._between.ends_count(speech, quantity):
            return None
        part = flags.corrected_at < last.quantity.end - 1
        return measured(before, quantity, "amount.taken", replace(flags, part=part), free=True)

    def _comes_on_top(
        self, speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity, last: Measured
    ) -> bool:
        """`four carrots // and let me do two more`: more of the food measured last, unless other things follow."""
        food, known = foods[before], foods[last.food]
        same = before == last.food or (bool(food.food) and food.food == known.food)
        counted = last.quantity.kind != "measure" if quantity.unit is None else quantity.kind == last.quantity.kind
        counted = counted or (quantity.unit is None and self._more_of_it(speech, quantity, last.quantity))
        halved = quantity.rule.startswith("amount.part") and speech.words[quantity.end : quantity.end + 1] == ("in",)
        rest = speech.words[quantity.start - 1] == "other" or halved
        if not same or not counted or quantity.share or rest or quantity.start - last.quantity.end > _FREE_REACH:
            return False
        end = quantity.end + (speech.words[quantity.end : quantity.end + 1] in _MORE)
        return quantity.unit is not None or self._between.ends_count(speech, replace(quantity, end=end))

    @staticmethod
    def _more_of_it(speech: Speech, quantity: Quantity, last: Quantity) -> bool:
        """`fifty mils of milk, and then fifty more`: so much more in the unit of the last."""
        of = speech.words[quantity.end + 2 : quantity.end + 3] == ("of",)
        return speech.words[quantity.end : quantity.end + 1] in _MORE and not of and likely(quantity, last)

    @staticmethod
    def _in_unit(quantity: Quantity, last: Measured) -> Quantity:
        """A figure without a unit counts in that of the figure before."""
        if quantity.unit is not None or last.quantity.kind == "container":
            return quantity
        return replace(quantity, unit=last.quantity.unit, kind=last.quantity.kind)

    def _correction(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        before: int,
        quantity: Quantity,
        last: Measured | None,
        flags: Flags,
    ) -> Measured | None:
        if last is None or quantity.start - last.quantity.end > _FREE_REACH:
            return None
        opens_turn = any(speech.turn_before[max(0, quantity.start - 3) : quantity.start + 1])
        heard = flags.corrected_at >= last.quantity.end - 1 and quantity.start - flags.corrected_at <= _CUE_REACH
        concluded = self._concludes(speech, quantity, last.quantity) or self._suffices(speech, quantity, last.quantity)
        heard = heard or concluded or (quantity.unit is None and (flags.total or self._only_so_much(speech, quantity)))
        bought = speech.words[quantity.start - 1] in _BOUGHT
        if not (opens_turn and not bought) and (not heard or last.quantity.low is None):
            return None
        if quantity.kind == "unit":
            unit = replace(last.quantity, unit=quantity.unit, kind="measure", start=quantity.start, end=quantity.end)
            return measured(last.food, unit, "amount.corrected-unit", _heard(flags, quantity), free=True)
        of_next = before > last.food and not opens_turn
        if quantity.unit is None and not quantity.vague:
            kept = None if of_next else self._figure_instead(speech, quantity, last, flags)
            rule = "amount.corrected-figure"
            return measured(last.food, kept, rule, _heard(flags, quantity), free=True) if kept is not None else None
        of_next = of_next and not concluded and flags.corrected_at < quantity.start - _AT_ONCE
        if not quantity.vague and (of_next or not _alike(quantity, last.quantity)):
            return None
        return measured(last.food, quantity, "amount.corrected", _heard(flags, quantity), free=True)

    def _figure_instead(self, speech: Speech, quantity: Quantity, last: Measured, flags: Flags) -> Quantity | None:
        """A figure without a unit in place of the one said last, in the same unit; things where a bunch was said. None
        where a time was told since: `a cup of it, knead that for eight minutes, six it is`."""
        if not self._times.isdisjoint(speech.words[last.quantity.end : quantity.start]):
            return None
        at_once = flags.corrected_at >= quantity.start - 1 and quantity.words != "one"
        if not at_once and not self._between.ends_count(speech, quantity):
            return None
        if last.quantity.low is None and quantity.low is not None and quantity.low > _FEW:
            return None
        if not likely(quantity, last.quantity):
            return None
        if last.quantity.kind == "container" or last.quantity.unit in _WHOLES:
            return replace(quantity, unit="each") if quantity.low != 1 else quantity
        return replace(quantity, unit=last.quantity.unit, kind=last.quantity.kind)

    def _concludes(self, speech: Speech, quantity: Quantity, last: Quantity) -> bool:
        return concludes(speech, quantity, last) and self._between.ends_count(speech, quantity)

    def _only_so_much(self, speech: Speech, quantity: Quantity) -> bool:
        """`there's two pounds in this bag, i'm only cooking one`."""
        lead = speech.words[max(0, quantity.start - 2) : quantity.start]
        return lead[:1] == ("only",) and lead[-1:] != () and (lead[-1] in self._parting or lead[-1] in self._takes)

    @staticmethod
    def _suffices(speech: Speech, quantity: Quantity, last: Quantity) -> bool:
        """`half a teaspoon, mm, a quarter, a quarter is plenty`."""
        return is_enough(speech, quantity) and quantity.start - last.end <= _SUFFICES_REACH

    def _goes_into(self, speech: Speech, start: int) -> bool:
        """`into the stock`: another food goes there; not so `sprinkle in the oats`, which go in themselves."""
        lead = speech.words[max(0, start - 2) : start]
        verb = speech.words[start - 3] if start > 2 else ""
        return lead in _INTO_THE and not (lead[0] == "in" and verb in self._adding)

    def _later(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        before: int,
        quantity: Quantity,
        bound: Sequence[Measured],
        flags: Flags,
    ) -> Measured | None:
        """`that's about two tablespoons`, said a while after the food."""
        while before > 0 and self._goes_into(speech, foods[before].start):
            before -= 1
        told = bound[-1].quantity.end if bound and bound[-1].food == before else 0
        if before < 0 or quantity.start - max(told, foods[before].end) > _LATER_REACH:
            return None
        lead = speech.words[max(0, quantity.start - 4) : quantity.start]
        following = speech.words[quantity.end : quantity.end + 1]
        counted = following in _COUNT_TAIL or (lead[-1:] in _TOOK and self._between.ends_count(speech, quantity))
        if quantity.kind == "count" and (quantity.share or not counted or quantity.rule.startswith("amount.part")):
            return None
        poured = quantity.start > foods[before].end and any(
            word in self._adding and lead[at + 1 :] in _GO_IN for at, word in enumerate(lead)
        )
        so = ("so" in lead or flags.total or poured) and quantity.unit is not None
        so = so or (quantity.kind == "length" and foods[before].name.split()[-1] in self._roots)
        if quantity.vague or lead[-1:] in _MINE or not (so or self._later_lead.intersection(lead)):
            return None
        if quantity.kind == "length" and foods[before].name.split()[-1] not in self._roots:
            return None
        own = [item.quantity for item in bound if item.food == before and item.quantity.kind != "container"]
        if any(_beyond(quantity, item) for item in own):
            return None
        again = any(item.start > foods[before].start for item in own)
        named = quantity.of and speech.words[quantity.end - 1] not in _OF_THEM
        if named or quantity.each or (again and not self._only_lead.intersection(lead)):
            return None
        known = foods[before].food
        plain = (item for item in bound if item.quantity.unit is None and not item.quantity.vague)
        counted = any(known and foods[item.food].food == known for item in plain)
        apart = quantity.start > foods[before].end
        if counted and apart and quantity.unit is not None and not flags.sums_up:
            return None
        flags = _heard(flags, quantity) if again else flags
        return measured(before, quantity, "amount.later", flags, free=True)


def _too_many(last: Quantity, quantity: Quantity) -> bool:
    """`a 300 gram box here and 50 of those`: too many to be counted out of a box."""
    return last.kind == "container" and quantity.low is not None and quantity.low >= LEAST_WEIGHT


def _beyond(one: Quantity, other: Quantity) -> bool:
    """Whether one amount is far too large or small to be the other anew: two cups, where two spoons went in."""
    if one.unit is None or other.unit is None or not one.low or not other.low:
        return False
    ratio = times_as_much(one.unit, other.unit)
    return ratio is not None and not 1 / _FAR <= ratio * one.low / other.low <= _FAR


def with_the_others(item: Measured, bound: Sequence[Measured]) -> list[Measured]:
    """`half a teaspoon each of mace and cumin, no make it a teaspoon`: the amount put right for all that shared it."""
    last = next((other for other in reversed(bound) if other.food == item.food), None)
    if last is None or not last.quantity.each or not item.rule.startswith("amount.corrected"):
        return [item]
    shared = {other.food for other in bound if other.quantity.start == last.quantity.start}
    return [replace(item, food=food) for food in sorted(shared)]


def _figured(bound: Sequence[Measured], food: int) -> Measured | None:
    """The last amount of a food that is a figure."""
    return next((item for item in reversed(bound) if item.food == food and not item.quantity.vague), None)


def _alike(one: Quantity, two: Quantity) -> bool:
    """Whether one amount can stand in for the other: both counts, or both measures, or the other said vaguely."""
    weighed_out = two.holds is not None and one.kind == "measure"
    return two.vague or weighed_out or (one.kind == "measure") == (two.kind == "measure")


def _heard(flags: Flags, quantity: Quantity) -> Flags:
    return replace(flags, corrected_at=quantity.start)
