"""Deals a food counted once to the dishes it is kept for: `five cloves, three for the soup, two for the rice`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from pipeline.compose.amounts import Said
from pipeline.compose.callings import Callings
from pipeline.compose.line_draft import LineDraft
from pipeline.compose.named import DishNames, Named
from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, phrase_class, word_class
from pipeline.hear.measured import Measured
from pipeline.hear.quantity import Quantity
from pipeline.hear.usage import SHOWN, USED
from pipeline.split.dishes import MAIN, stem
from pipeline.split.outline import Outline

DEALT = "amount.dealt"
_FOR = frozenset({"for"})
_INTO = word_class("into-word")
_GAP = 9
_NAME = 3
_PAIR = 2
_UNKNOWN = -1
_NAMED_BACK = 24
_TOGETHER = 22
_THE = ("the",)
_ONE = frozenset({("one",), ("one's",)})
_WHATS, _LEFT = "what's", "left"
_WHOLE_HALF = "half of a"
_THIS = phrase_class("the-or-this")


@dataclass(frozen=True, slots=True)
class Portion:
    """A part of food `food`, told by `quantity`, that goes into `dish`; `kept` where it is said to be for it, and not
    only that it goes in."""

    quantity: Quantity
    food: int
    dish: int
    end: int
    kept: bool


class Dealer:
    """Compiled words that may stand between a part and the dish it is for."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self._callings = Callings(table, classes)
        self._gap = frozenset(classes["portion-gap"])
        self._keeping = frozenset(classes["portion-kept"])
        self._definite = frozenset(classes["definite"])
        self._lasts = frozenset(classes["portion-last"])
        self._before_last = self._definite | frozenset(classes["portion-before-last"])
        self._later = frozenset(classes["rest-kept"])
        self._correcting = frozenset(classes["correcting-word"])

    def deal(self, hearing: Hearing, outline: Outline, lines: Sequence[LineDraft]) -> list[LineDraft]:
        """The lines with the parts of what was told once in the dishes they are for."""
        if len(outline.dishes) < _PAIR:
            return list(lines)
        dealt = list(lines)
        foods = [
            self._callings.foods(dish, [line for line in lines if line.dish == at])
            for at, dish in enumerate(outline.dishes)
        ]
        names = {**DishNames(outline.dishes, foods).foods, **DishNames(outline.dishes).loose}
        for group in _grouped(self._portions(hearing, names)):
            known = _with_the_other(group, len(outline.dishes))
            if known:
                self._share_out(hearing, outline, dealt, known)
        return dealt

    def _portions(self, hearing: Hearing, names: Mapping[str, Named]) -> list[Portion]:
        found: list[Portion] = []
        for quantity, following in pairwise([*self._parts(hearing), None]):
            if quantity is None:
                continue
            limit = len(hearing.speech) if following is None else following.start
            portion = self._portion(hearing, names, quantity, limit)
            if portion is not None:
                found.append(_of_the_last(hearing, found, portion))
        return found

    def _parts(self, hearing: Hearing) -> list[Quantity]:
        """Amounts that may be parts, and where what is left is told without a figure: `the rest`, `the last one`."""
        figures = [quantity for quantity in hearing.quantities if quantity.low is not None and not quantity.article]
        taken = {place for quantity in figures for place in range(quantity.start, quantity.end)}
        words = hearing.speech.words
        lasts = [
            Quantity(place, place + 1, None, None, None, "count", DEALT, words[place], share=True)
            for place in hearing.speech.where(self._lasts)
            if place and place not in taken and self._is_last(words[place - 1], words[place])
        ]
        return sorted([*figures, *lasts], key=lambda quantity: quantity.start)

    def _is_last(self, before: str, word: str) -> bool:
        return before == _WHATS if word == _LEFT else before in self._before_last

    def _portion(self, hearing: Hearing, names: Mapping[str, Named], quantity: Quantity, limit: int) -> Portion | None:
        """What `quantity` tells, where only words that send it there stand between it and a dish."""
        words = hearing.speech.words
        if quantity.unit is not None and not quantity.share:
            return None
        _, end = hearing.clauses.sentence(quantity.start)
        limit = min(limit, quantity.end + _GAP, end)
        own = next(iter(hearing.foods_in(quantity.end, limit)), None)
        inside = range(hearing.foods[own].start, hearing.foods[own].end) if own is not None else range(0)
        kept = False
        for place in range(quantity.end, limit):
            if words[place] in _FOR or words[place] in _INTO:
                dish = self._called(hearing, names, place + 1, limit)
                dish = dish or self._unknown(words, place, limit)
                if dish is None and words[place] not in self._gap:
                    return None
                if dish is not None and words[dish[1] : dish[1] + 1] and words[dish[1]] in self._correcting:
                    return None
                if dish is not None:
                    before = own if own is not None and hearing.foods[own].end <= place else None
                    return self._of(hearing, quantity, before, dish, kept=kept or words[place] in _FOR)
            elif words[place] in self._keeping:
                kept = True
            elif place not in inside and words[place] not in self._gap:
                return None
        return None

    def _unknown(self, words: Sequence[str], place: int, limit: int) -> tuple[int, int] | None:
        """A thing of no known name that a part is for, which is not kept for another day."""
        for_it = words[place] in _FOR and words[place + 1 : place + 2] == _THE
        return (_UNKNOWN, place + 3) if for_it and place + 2 < limit and words[place + 2] not in self._later else None

    def _called(self, hearing: Hearing, names: Mapping[str, Named], start: int, limit: int) -> tuple[int, int] | None:
        """The dish that is named from word `start` on, and where its name ends."""
        words = hearing.speech.words
        for place in range(start, min(start + _NAME, limit, len(words))):
            named = names.get(stem(words[place]))
            if named is not None and not named.part:
                return named.dish, place + 1
            if words[place] not in self._definite:
                return None
        return None

    def _of(
        self, hearing: Hearing, quantity: Quantity, own: int | None, dish: tuple[int, int], *, kept: bool
    ) -> Portion | None:
        """The part with its food: the one named with it, else the one measured last."""
        food = own if own is not None else self._spoken_of(hearing, quantity)
        if food is None:
            return None
        words = hearing.speech.words
        if words[quantity.end : quantity.end + 1] in _ONE and quantity.low is not None and quantity.low < 1:
            quantity = replace(quantity, low=Fraction(1), high=Fraction(1))
        return Portion(quantity, food, dish[0], dish[1], kept)

    def _spoken_of(self, hearing: Hearing, quantity: Quantity) -> int | None:
        """The food named last that is not where something else goes."""
        words = hearing.speech.words
        for at in reversed(hearing.foods_in(max(0, quantity.start - _NAMED_BACK), quantity.start)):
            lead = words[max(0, hearing.foods[at].start - 2) : hearing.foods[at].start]
            goes_into = len(lead) > 1 and lead[0] in _FOR | _INTO and lead[1] in self._definite
            if hearing.usages[at].status in {USED, SHOWN} and not goes_into:
                return at
        return None

    def _share_out(
        self, hearing: Hearing, outline: Outline, lines: list[LineDraft], portions: Sequence[Portion]
    ) -> None:
        """Gives each dish its part, and what is left to the dish of the whole."""
        first = portions[0]
        line = next((line for line in lines if first.food in line.mentions), None)
        figures = _figures(line, first) if line is not None else []
        if line is None or not figures:
            return
        said = figures[-1]
        total = said.quantity.low or Fraction(0)
        amounts = _amounts(hearing, total, portions)
        told = total + sum(amounts) in [figure.quantity.low for figure in figures] or _is_part(said.quantity)
        left = total if told else total - sum(amounts)
        dishes = {portion.dish for portion in portions}
        if left < 0 or not all(amounts) or (len(dishes) == 1 and (line.dish in dishes or not first.kept or not left)):
            return
        for portion, amount in zip(portions, amounts, strict=True):
            target = line if portion.dish == line.dish else _line_in(outline, hearing, lines, line, portion)
            _put(target, said, portion, amount)
        if line.dish not in dishes and left:
            _put(line, said, first, left)
        elif line.dish not in dishes:
            lines.remove(line)
        _forget(hearing, lines, portions)


def _of_the_last(hearing: Hearing, found: Sequence[Portion], portion: Portion) -> Portion:
    """A part told right after another is one of the same food, unless one is named with it."""
    near = bool(found) and portion.quantity.start - found[-1].end <= _TOGETHER
    between = near and any(
        hearing.foods[at].start >= found[-1].end
        for at in hearing.foods_in(found[-1].end, portion.end)
        if hearing.foods[at].end < portion.end
    )
    return replace(portion, food=found[-1].food) if near and not between else portion


def _with_the_other(portions: Sequence[Portion], dishes: int) -> Sequence[Portion]:
    """The parts whose dish is known; of two parts in two dishes the second is for the other dish, whatever it is called
    there."""
    known = [portion for portion in portions if portion.dish != _UNKNOWN]
    if len(known) == 1 and len(portions) == dishes == _PAIR:
        return [replace(portion, dish=1 - known[0].dish) if portion not in known else portion for portion in portions]
    return [portion for at, portion in enumerate(known) if portion.dish not in {other.dish for other in known[:at]}]


def _grouped(portions: Sequence[Portion]) -> Iterator[list[Portion]]:
    """Parts of one food that are told one soon after the other."""
    group: list[Portion] = []
    for portion in portions:
        if group and (portion.food != group[0].food or portion.quantity.start - group[-1].end > _TOGETHER):
            yield group
            group = []
        group.append(portion)
    if group:
        yield group


def _figures(line: LineDraft, first: Portion) -> list[Said]:
    """The figures said of all of the food before its first part was told, else of another part of it."""
    before = [said for said in line.said if said.at < first.quantity.start and said.quantity.low is not None]
    return [said for said in before if not said.quantity.share] or [said for said in before if _is_part(said.quantity)]


def _is_part(quantity: Quantity) -> bool:
    """`half of this cucumber`: no whole, but the part of the dish it was told in."""
    return quantity.unit is None and quantity.low is not None and quantity.low < 1


def _amounts(hearing: Hearing, total: Fraction, portions: Sequence[Portion]) -> list[Fraction]:
    """How much each part is: `half` is half of one thing where that makes up the whole or it is pointed at."""
    told = [portion.quantity.low or Fraction(0) for portion in portions]
    plain = [amount or max(total - sum(told), Fraction(0)) for amount in told]
    pointed = hearing.speech.words[portions[0].quantity.start - 1 : portions[0].quantity.start] in _THIS
    whole = (
        sum(plain) == total or (len(portions) == 1 and pointed) or portions[0].quantity.words.startswith(_WHOLE_HALF)
    )
    return plain if whole else [amount * total if amount < 1 else amount for amount in plain]


def _line_in(
    outline: Outline, hearing: Hearing, lines: list[LineDraft], line: LineDraft, portion: Portion
) -> LineDraft:
    """The line of the same food in the dish that a part is for, with the mentions that the whole took from there."""
    own = next((other for other in lines if other.dish == portion.dish and other.food == line.food), None)
    if own is None:
        own = LineDraft(portion.dish, MAIN, line.food, [line.name], used=True)
        there = [at for at in line.mentions if outline.topics[hearing.foods[at].head].dish == portion.dish]
        own.mentions = [at for at in there if hearing.foods[at].start > portion.end] or [portion.food]
        own.part = outline.topics[hearing.foods[own.mentions[0]].head].part if there else MAIN
        line.mentions = [at for at in line.mentions if at not in own.mentions or at == portion.food]
        lines.append(own)
    return own


def _forget(hearing: Hearing, lines: list[LineDraft], portions: Sequence[Portion]) -> None:
    """Takes out what was only named as the dish that a part is for: `two are for the cabbage`."""
    named = {at for portion in portions for at in hearing.foods_in(portion.end - 1, portion.end)}
    for line in [line for line in lines if not line.said and named.issuperset(line.mentions)]:
        lines.remove(line)


def _put(line: LineDraft, whole: Said, portion: Portion, amount: Fraction) -> None:
    """Makes a part the amount of a line, unless a figure of its own is told later."""
    later = (said.quantity for said in line.said if said.at > portion.end)
    if any(quantity.low is not None and not quantity.share and not quantity.article for quantity in later):
        return
    quantity = replace(
        portion.quantity, low=amount, high=amount, unit=whole.quantity.unit, kind=whole.quantity.kind, share=False
    )
    measured = Measured(portion.food, quantity, DEALT)
    line.said[:] = [Said(measured, quantity.start, shown=False, plural=whole.plural)]
