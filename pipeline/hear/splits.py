"""Amounts told once more in parts: `four cloves of garlic, two in the paste and two in the pot`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_rows, phrase_class, word_class
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech

_REACH = 8
_BETWEEN = 8
_REST_REACH = 14
_REST_TAIL = 9
_NAMED_AT = 3
_VERB_REACH = 4
_PUTTING = frozenset({"add", "cut", "use"})
_KEPT_TAIL = 6
_IS = phrase_class("other-half-verb")
_KEEPING = phrase_class("keeping-back")
_BACK = phrase_class("kept-back")
_ARE_FOR = phrase_class("is-for")
_MANY = word_class("pronoun-several")
_ME = word_class("kept-for")
_SPEAKERS = word_class("speaks-or-am")
_HALF = Fraction(1, 2)
_ALL = Fraction(1)
_RESTS = phrase_class("the-rest")


class SplitReader:
    """Compiled words that say where a part goes."""

    def __init__(self, classes: Classes) -> None:
        self._goes = frozenset(classes["part-goes"])
        self._in_the_dish = frozenset(classes["rest-goes"])
        verbs = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._taken = frozenset(row["form"] for row in verbs if row["form"] == row["verb"] and row["kind"] in _PUTTING)
        self._kept_back = frozenset(classes["rest-kept"]) | frozenset(classes["part-food"])

    def without_parts(self, speech: Speech, quantities: Sequence[Quantity]) -> tuple[Quantity, ...]:
        """The quantities without two bare figures in a row that say where the parts of the one before them go."""
        kept: list[Quantity] = []
        at = 0
        while at < len(quantities):
            kept.append(quantities[at])
            parts = quantities[at + 1 : at + 3]
            at += 3 if len(parts) > 1 and self._makes_up(speech, quantities[at], parts[0], parts[1]) else 1
        return tuple(kept)

    def _makes_up(self, speech: Speech, whole: Quantity, one: Quantity, two: Quantity) -> bool:
        if whole.low is None or whole.article or one.low is None or two.low is None or one.low + two.low != whole.low:
            return False
        near = one.start - whole.end <= _REACH and two.start - one.end <= _BETWEEN
        return near and self._goes_somewhere(speech, one) and self._goes_somewhere(speech, two)

    def _goes_somewhere(self, speech: Speech, part: Quantity) -> bool:
        bare = part.unit is None and not (part.of or part.share or part.article or part.each)
        return bare and speech.words[part.end : part.end + 1] != () and speech.words[part.end] in self._goes

    def all_of_it(self, speech: Speech, foods: Sequence[FoodSpan], after: int, part: Quantity) -> Quantity:
        """`half of it in here, the rest later`: all of it, where the other half goes into the dish as well; not where
        it is kept for tomorrow or goes into something else."""
        if not part.share or part.unit is not None or part.low is None or part.low >= 1:
            return part
        if speech.words[part.start - 1 : part.start] in _KEEPING:
            return self._without(speech, part)
        if part.low != _HALF:
            return part
        words, last = speech.words, min(len(speech), part.end + _REST_REACH)
        told = next((at + 2 for at in range(part.end, last) if words[at : at + 2] in _RESTS), -1)
        tail = words[told : told + _REST_TAIL]
        taken = {words[at] for at in range(max(part.end, told - _VERB_REACH), told)} & self._taken
        named = any(part.end + _NAMED_AT < food.start < told + _REST_TAIL for food in foods[after : after + 2])
        goes_in = bool(taken) or not self._in_the_dish.isdisjoint(tail[:3])
        if told < 0 or named or not goes_in or not self._kept_back.isdisjoint(tail):
            return part
        return replace(part, low=_ALL, high=_ALL)

    def _without(self, speech: Speech, part: Quantity) -> Quantity:
        """`i'm saving half of it for tomorrow` leaves half; `keep a third back for the top` all."""
        tail = speech.words[part.end : part.end + _REST_TAIL]
        left = _ALL - (part.low or 0) if not self._kept_back.isdisjoint(tail) else _ALL
        return replace(part, low=left, high=left)

    def is_kept(self, speech: Speech, foods: Sequence[FoodSpan], after: int, part: Quantity) -> bool:
        """`the other half of the pepper is my lunch`: a part that goes in no dish of today."""
        words = speech.words
        if self._held_back(speech, part):
            return True
        if not part.share or part.unit is not None:
            return False
        end = part.end
        if after < len(foods) and foods[after].start - part.end <= 1:
            end = foods[after].end
        other = words[part.start - 1 : part.start] == ("other",) and words[end : end + 1] in _IS
        return other and not self._kept_back.isdisjoint(words[end : end + _KEPT_TAIL])

    def _held_back(self, speech: Speech, part: Quantity) -> bool:
        """`one of those i'm holding back`, `two of them are for tomorrow`: some of the things counted before."""
        words, place = speech.words, part.end
        if part.unit is not None or part.low is None or not part.of or words[part.end - 1] not in _MANY:
            return False
        if words[place : place + 2] in _ARE_FOR:
            return not (self._kept_back | _ME).isdisjoint(words[place + 2 : place + _KEPT_TAIL])
        while words[place : place + 1] and words[place] in _SPEAKERS:
            place += 1
        return place > part.end and (words[place : place + 1] in _KEEPING or words[place : place + 2] in _BACK)
