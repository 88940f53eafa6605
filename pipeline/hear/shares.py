"""Amounts that only the amount before them makes plain: a part of it, a range with it, or a figure in place of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, phrase_class, word_class
from pipeline.hear.measured import Measured
from pipeline.hear.quantity import LEAST_WEIGHT, SAID_IN_HUNDREDS, Quantity
from pipeline.hear.speech import Speech

_IT = word_class("it-or-those")
_THE = word_class("the-or-this")
_STUFF = word_class("stuff-word")
_KIND_REACH = 5
_LACKS = phrase_class("lacking-word")
_FOR_THIS = phrase_class("for-this")
_TOO = word_class("too-or-enough")
_NOT_THE = phrase_class("not-the")
_GOES = phrase_class("go-or-going")
_HALVES_REACH = 8
_NAMED_REACH = 16
_OTHER_REACH = 10
_HALF_THAT = ("half", "that")
_HALF = Fraction(1, 2)
_OF_IT = 14
_CLOSE = 9
_HOLDER_REACH = 40
_OWNER_REACH = 4
_ONES = phrase_class("one-or-ones")
_SO = word_class("sum-lead")
_USED = word_class("using-lead")
_LIKELY = 8
_UNIT_REACH = 6
_AS_REACH = 5
_RETOLD_REACH = 20


class ShareReader:
    """Compiled words round parts of a thing."""

    def __init__(self, classes: Classes) -> None:
        self._takes = frozenset(classes["share-verb"])
        self._follow = frozenset(classes["share-follow"])
        self._cuts = frozenset(classes["cut-noun"])
        self._kinds = frozenset(classes["kind-alone"])

    def meant(self, speech: Speech, quantity: Quantity) -> Quantity:
        """`i use half and peel it`: a bare part is one of what was said before."""
        if quantity.unit is not None or not quantity.rule.startswith("amount.part") or quantity.of or quantity.share:
            return quantity
        words = speech.words
        taken = quantity.start > 0 and words[quantity.start - 1] in self._takes
        goes = words[quantity.end : quantity.end + 1] in _GOES and not self._other_half(words, quantity.end)
        taken = taken or goes or second_half(speech, quantity)
        alone = goes or quantity.end >= len(words) or words[quantity.end] in self._follow
        return replace(quantity, share=True) if taken and alone else quantity

    @staticmethod
    def _other_half(words: Sequence[str], end: int) -> bool:
        """`half goes in the paste and the other half on the top`: all of it is used."""
        return "other" in words[end : end + _OTHER_REACH]

    def closes(self, speech: Speech, quantity: Quantity) -> bool:
        """Whether no other thing is measured by the amount: not `a quarter cup of batter`, but `a pound of fillets`."""
        things = quantity.kind in {"measure", "container", "vague"} or quantity.unit == "each"
        if not quantity.of or quantity.share or not things:
            return True
        following = speech.words[quantity.end] if quantity.end < len(speech) else ""
        named = speech.words[quantity.end : quantity.end + _KIND_REACH]
        if following in self._kinds or (following in _THE and not _STUFF.isdisjoint(named)):
            return True
        return following in self._cuts or following in _IT or speech.words[quantity.end - 1] != "of"


def second_half(speech: Speech, quantity: Quantity) -> bool:
    """`half in the paste and half on the top`: whether the other half is told after the one."""
    lead = speech.words[max(0, quantity.start - _HALVES_REACH) : quantity.start]
    half = speech.words[quantity.start : quantity.start + 1] == ("half",)
    return half and quantity.unit is None and not quantity.of and lead[-1:] == ("and",) and "half" in lead


def part_of_last(
    speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity, bound: Sequence[Measured]
) -> list[int]:
    """`i've a big head here and i use half of it`: a part of the food that was measured last, and named last."""
    last = bound[-1] if bound else None
    closed = speech.words[quantity.end - 1] in _IT or not quantity.of
    if last is None or not quantity.share or not closed or quantity.unit is not None or last.food != before:
        return []
    near = quantity.start - max(last.quantity.end, foods[before].end) <= _OF_IT
    return [before] if near and speech.words[quantity.start - 1] != "other" else []


def part_of_holder(
    speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity, bound: Sequence[Measured]
) -> list[int]:
    """`a 14 ounce can of it here, it's big, so half the can goes in`, `i want half of this head`: a part of what was
    measured by such a can or head, else of the food named last."""
    if not quantity.share or quantity.unit is None or quantity.of or quantity.kind == "measure" or before < 0:
        return []
    if speech.words[quantity.start - 1] == "other":
        return []
    held = [item for item in bound if item.quantity.unit == quantity.unit and item.quantity.low is not None]
    if held and quantity.start - held[-1].quantity.end <= _HOLDER_REACH:
        return [held[-1].food]
    return [before] if 0 <= quantity.start - foods[before].end <= _NAMED_REACH else []


def of_the_described(speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity) -> list[int]:
    """`a red pepper and a green one, but only half of the green one`: the last food that was named with such a word."""
    described = speech.words[quantity.end : quantity.end + 2]
    if quantity.unit is not None or not quantity.share or described[-1:] not in _ONES or len(described) < 2:
        return []
    near = range(before, max(-1, before - _OWNER_REACH), -1)
    return [at for at in near if described[0] in speech.words[foods[at].start : foods[at].end]][:1]


def extends_last(
    speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity, bound: list[Measured]
) -> bool:
    """Whether the figure only widens or fills up the amount said last, in its place in `bound`."""
    return _or_two(speech, foods, before, quantity, bound) or _and_a_half(speech, foods, before, quantity, bound)


def _or_two(speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity, bound: list[Measured]) -> bool:
    """`a bay leaf or two`: the article before the food and the figure after it are one range, which is put in its
    place in `bound`."""
    last = bound[-1] if bound else None
    one = last is not None and (last.quantity.article or last.quantity.rule.startswith("amount.article"))
    one = one or speech.words[quantity.end : quantity.end + 1] == ("if",)
    if last is None or last.food != before or not one or quantity.unit is not None:
        return False
    if last.quantity.low is None or quantity.low is None or quantity.low <= last.quantity.low:
        return False
    if foods[before].end != quantity.start - 1 or speech.words[quantity.start - 1] != "or":
        return False
    words = f"{last.quantity.words} or {quantity.words}"
    bound[-1] = replace(last, quantity=replace(last.quantity, high=quantity.high, article=False, words=words))
    return True


def _and_a_half(
    speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity, bound: list[Measured]
) -> bool:
    """`a cup of water and a half`: a part of the unit said before the food, which is added in its place in `bound`."""
    last = bound[-1] if bound else None
    if last is None or last.food != before or last.quantity.unit is None or quantity.low is None:
        return False
    first, food = last.quantity, foods[before]
    part = quantity.rule == "amount.part.count" and not (quantity.of or quantity.share or quantity.each)
    named = before + 1 < len(foods) and foods[before + 1].start <= quantity.end
    beside = speech.words[food.end : quantity.start] == ("and",) and first.end == food.start
    if not part or named or not beside or first.low is None or first.high is None or first.low.denominator > 1:
        return False
    words = f"{first.words} and {quantity.words}"
    whole = replace(first, low=first.low + quantity.low, high=first.high + quantity.low, words=words)
    bound[-1] = replace(last, quantity=whole)
    return True


def likely(one: Quantity, two: Quantity) -> bool:
    """Whether a figure without its unit can be meant in place of another."""
    if not one.low or not two.low:
        return True
    return 1 / _LIKELY <= one.low / two.low <= _LIKELY


def concludes(speech: Speech, quantity: Quantity, last: Quantity) -> bool:
    """`so three go in here`, `so three hundred and fifty mils`: what comes of all that was said of the last food."""
    words = speech.words
    first = quantity.start
    while first and words[first - 1] in _SO | _USED and words[first] != "so":
        first -= 1
    if words[first] != "so" or first == quantity.start or last.low is None:
        return False
    if quantity.unit is not None:
        return quantity.unit == last.unit
    return likely(quantity, last)


def of_the_named(speech: Speech, foods: Sequence[FoodSpan], before: int, quantity: Quantity) -> list[int]:
    """`ginger cut in matchsticks, about a tablespoon of that`: the food named last."""
    pronoun = quantity.of and quantity.end < len(speech) and speech.words[quantity.end] in _IT
    half = quantity.share and quantity.rule == "amount.part.count" and speech.words[quantity.end - 1] == "it"
    if before < 0 or not (half or (pronoun and quantity.unit is not None and not quantity.share)):
        return []
    near = 0 <= quantity.start - foods[before].end <= _NAMED_REACH
    named = before_lacking(speech, foods, before)
    return [named] if near and named >= 0 else []


def before_lacking(speech: Speech, foods: Sequence[FoodSpan], at: int) -> int:
    """`the broth, it's the no salt added kind`, `oatmeal, not the porridge oats`: the food spoken of where the one
    named last is what it lacks or is not."""
    while at >= 0 and (speech.words[foods[at].start - 1 : foods[at].start] in _LACKS or _denied(speech, foods[at])):
        at -= 1
    return at


def _denied(speech: Speech, food: FoodSpan) -> bool:
    """`not the porridge oats`, `no added salt`, `too much for that barley`: whether a food is named only to tell of
    another."""
    lead = speech.words[max(0, food.start - 2) : food.start]
    measured = lead in _FOR_THIS and not _TOO.isdisjoint(speech.words[max(0, food.start - 5) : food.start - 2])
    return lead in _NOT_THE or measured


def of_that_amount(
    speech: Speech, foods: Sequence[FoodSpan], target: int, quantity: Quantity, bound: Sequence[Measured]
) -> Quantity:
    """`cumin one teaspoon and paprika half of that`: a part of the other food's amount, where it has none itself."""
    model = bound[-1].quantity if bound else None
    if model is None or model.low is None or model.high is None or model.kind != "measure":
        return quantity
    own = any(foods[item.food].food == foods[target].food for item in bound)
    close = quantity.start - model.end <= _CLOSE
    if own or not close or not quantity.share or quantity.low is None or speech.words[quantity.end - 1] != "that":
        return quantity
    low, high = quantity.low * model.low, quantity.low * model.high
    return replace(quantity, low=low, high=high, unit=model.unit, kind=model.kind, share=False)


def half_of_one(speech: Speech, food: FoodSpan, quantity: Quantity, *, counted: bool) -> Quantity:
    """`two cups of stock, then squeeze half that lemon`: of one such thing, whatever was measured before."""
    pointed = speech.words[quantity.start : quantity.end] == _HALF_THAT and food.start == quantity.end
    if not pointed or not counted or food.name.endswith("s"):
        return quantity
    return replace(quantity, low=_HALF, high=_HALF, unit=None, kind="count", rule="amount.part.count", share=True)


def in_the_same_unit(food: FoodSpan, quantity: Quantity, bound: Sequence[Measured]) -> Quantity:
    """`200 grams of flour and a hundred of butter`: what is not counted is weighed in the unit used last."""
    bare = quantity.unit is None and quantity.kind == "count" and not quantity.share and not quantity.each
    if not bare or quantity.low is None or quantity.low < LEAST_WEIGHT or food.name.endswith("s"):
        return quantity
    units = [item.quantity.unit for item in bound[-_UNIT_REACH:] if item.quantity.unit in SAID_IN_HUNDREDS]
    if not units and quantity.of:
        units = ["gram"]
    return replace(quantity, unit=units[-1], kind="measure") if units else quantity


def as_the_other(
    speech: Speech, foods: Sequence[FoodSpan], target: int, quantity: Quantity, bound: Sequence[Measured]
) -> Quantity:
    """`the same of flour as i had butter`, `and sugar, it's the same weight as the butter`: the amount of the food that
    is named after `as`."""
    end, other = max(foods[target].end, quantity.end), target + 1
    told = quantity.rule.startswith("relative.") and speech.words[end : end + 1] == ("as",)
    if not told or other >= len(foods) or foods[other].start - end > _AS_REACH:
        return quantity
    models = (item.quantity for item in reversed(bound) if foods[item.food].food == foods[other].food)
    model = next((item for item in models if item.low is not None and not item.article), quantity)
    return replace(quantity, low=model.low, high=model.high, unit=model.unit, kind=model.kind)


def retold(speech: Speech, target: int, quantity: Quantity, bound: Sequence[Measured]) -> bool:
    """`a spoon of mustard to hold the crumbs, that's one spoon`: the amount said last once more, of the same food;
    `another cup goes in, so that's one more cup`."""
    told = speech.words[max(0, quantity.start - 1)] in _SO and not quantity.rule.startswith("relative.")
    if not bound or not told or (bound[-1].food == target and not bound[-1].more):
        return False
    last = bound[-1].quantity
    same = last.low is not None and (last.low, last.high, last.unit) == (quantity.low, quantity.high, quantity.unit)
    return same and quantity.unit is not None and quantity.start - last.end <= _RETOLD_REACH


def after_all(
    food: FoodSpan, quantity: Quantity, previous: Quantity | None, bound: Sequence[Measured] = ()
) -> Quantity:
    """`the card says two teaspoons of chilli but i use one`, `four cloves of garlic, i put in two`: a figure after the
    food in the unit said before it; a part is one of that unit only where nobody takes what was said before."""
    taken_up = bool(bound) and previous is not None and bound[-1].quantity.start == previous.start
    bare = quantity.unit is None and quantity.kind == "count" and not (quantity.of or quantity.article)
    if not bare or previous is None or previous.unit is None or quantity.start < food.end:
        return quantity
    if previous.kind not in {"measure", "count"} or (quantity.share and (taken_up or previous.kind == "count")):
        return quantity
    before = 0 <= food.start - previous.end <= 1 and not food.name.endswith("s") and likely(quantity, previous)
    return replace(quantity, unit=previous.unit, kind=previous.kind, share=False) if before else quantity
