"""Figures said by the way: what others take, a portion, what the dish makes, how many there are on the table."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases, load_rows, marked_rules, phrase_class, word_class
from pipeline.hear.measured import Measured
from pipeline.hear.quantity import LEAST_WEIGHT, Quantity
from pipeline.hear.speech import Speech
from pipeline.phrases import Match

_LEFT = phrase_class("left-over")
_THERE = phrase_class("here-or-left")
_HAVE = word_class("have-here")
_OWNERS = word_class("owner-here")
_LEAD = 3
_REACH = 14
_TAG_REACH = 4
_YIELD_LEAD = 3
_PORTIONS = marked_rules("portion")
_SUPPOSED = marked_rules("supposed")
_COOKED = marked_rules("when-cooked")
_KEEPS = phrase_class("keeping-back") | phrase_class("kept-back")
_VESSEL = "cup"
_ADDING = frozenset({"add", "combine", "use"})
_TAGS = marked_rules("tag")
_NEGATIVE = frozenset({"not", "never"})
_KIND_OF = phrase_class("kind-or-size")
_ONE_OF_A_KIND = ("one",)
_RESTATED = frozenset({"restated", "said"})
_ABOUT = word_class("about-word")
_THE = word_class("the-or-a")
_THEM = word_class("pronoun-several")
_BACK = word_class("kept-apart")
_THAT = word_class("the-or-that")
_KEPT_TAIL = 4
_A_THING = word_class("the-or-a")
_STANDS = phrase_class("stands-there")
_WITHIN = word_class("within-word")


class RemarkJudge:
    """Compiled words round figures that are no amount of the recipe."""

    def __init__(self, classes: Classes) -> None:
        self._asides = load_phrases("amount_asides.csv", ("id", "pattern"), classes)
        self._making = frozenset(classes["yielding"])
        verbs = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._adding = frozenset(row["form"] for row in verbs if row["kind"] in _ADDING)
        self._mass = frozenset(classes["mass-food"])
        self._gap = frozenset(classes["amount-gap"]) | frozenset(classes["size"])

    def no_amount(
        self,
        speech: Speech,
        foods: Sequence[FoodSpan],
        after: int,
        cues: Sequence[Match[Row]],
        quantity: Quantity,
        bound: Sequence[Measured],
    ) -> bool:
        """Whether the figure tells something else than how much goes in: what others say, a portion, what is there."""
        if self._restated(speech, cues, quantity) or self._per_head(speech, quantity):
            return True
        if self._yields(speech, quantity) and not quantity.of:
            return True
        if _both_of_them(speech, quantity, after - 1, bound):
            return True
        named = after < len(foods) and foods[after].start - quantity.end <= 1
        if named and self._supposed(speech, foods[after].end):
            return True
        if self._in_a_vessel(speech, quantity, named=named) or _only_there(speech, quantity, after - 1, bound):
            return True
        about = after if named else after - 1
        of_it = about >= 0 and self._of_the_known(speech, quantity, foods[about].end if named else quantity.end)
        return of_it and any(_measures(foods, item, about) for item in bound)

    def _of_the_known(self, speech: Speech, quantity: Quantity, end: int) -> bool:
        """`a cup of rice when it's cooked`, `a spoon of the filling in each wrapper`, `keep a tablespoon of it back`:
        what becomes of a food whose amount was told before; `end` is where the food that is named with it ends."""
        if quantity.share or quantity.each or quantity.low is None:
            return False
        aside = self._aside(speech, end)
        if aside is not None and (aside in _COOKED or aside in _PORTIONS):
            return True
        words = speech.words
        lead = words[max(0, quantity.start - 2) : quantity.start]
        pointed = not _THAT.isdisjoint(words[quantity.end - 1 : quantity.end + 1])
        back = (
            pointed or not _BACK.isdisjoint(words[end : end + _KEPT_TAIL]) or words[quantity.start - 1].endswith("ing")
        )
        return back and (lead in _KEEPS or lead[-1:] in _KEEPS)

    def _supposed(self, speech: Speech, place: int) -> bool:
        """`three carrots would look more generous`, `four would be too much`."""
        aside = self._aside(speech, place)
        return aside is not None and aside in _SUPPOSED

    def no_count(self, food: FoodSpan, quantity: Quantity) -> bool:
        """`i'll have five // curry powder`: whether a food is never counted, as a bare figure would count it."""
        bare = quantity.unit is None and not (quantity.share or quantity.each or quantity.of)
        whole = quantity.low is not None and 1 < quantity.low < LEAST_WEIGHT
        return bare and whole and food.name.split()[-1] in self._mass

    def no_length(self, speech: Speech, food: FoodSpan, quantity: Quantity) -> bool:
        """`a smidge of oil, it's a nine inch one`: a thing so wide, where the food is one that is poured."""
        thing = quantity.kind == "length" and not quantity.of and speech.words[quantity.start - 1] in _A_THING
        return thing and food.name.split()[-1] in self._mass

    def each_gets(self, speech: Speech, place: int) -> bool:
        """`one thigh each`, `one thigh for each person`: what somebody gets."""
        aside = self._aside(speech, place)
        return speech.words[place : place + 1] == ("each",) or (aside is not None and aside in _PORTIONS)

    def _restated(self, speech: Speech, cues: Sequence[Match[Row]], quantity: Quantity) -> bool:
        """Whether a cue stands right before the amount, or with one word such as `about` between."""
        filler = quantity.start > 0 and speech.words[quantity.start - 1] in self._gap | _ABOUT
        ends = {quantity.start, quantity.start - filler}
        return any(
            cue.payload["kind"] in _RESTATED and cue.end in ends and not _only_asks(speech.words, cue) for cue in cues
        )

    def _per_head(self, speech: Speech, quantity: Quantity) -> bool:
        """`two ounces per person`, `in a can`, `feet like two loaves of bread`, `four is the old way`: no
        amount of the recipe."""
        if (
            quantity.kind == "container"
            and not quantity.of
            and quantity.start
            and speech.words[quantity.start - 1] in _WITHIN
        ):
            return True
        if quantity.start and speech.words[quantity.start - 1] == "like" and quantity.of and quantity.unit == "each":
            return True
        following = speech.words[quantity.end : quantity.end + 1]
        lead = speech.words[max(0, quantity.start - 3) : quantity.start + 1]
        kind = following in _KIND_OF or (following == _ONE_OF_A_KIND and not _THE.isdisjoint(lead))
        if quantity.kind == "measure" and kind:
            return True
        aside = self._aside(speech, quantity.end)
        return aside is not None and aside not in _COOKED

    def _aside(self, speech: Speech, place: int) -> str | None:
        """Name of the rule by which the words from `place` on tell a portion or another's amount; None where none."""
        aside = self._asides.longest(speech.words, place) if place < len(speech) else None
        return None if aside is None or speech.words[aside.end : aside.end + 1] == ("of",) else aside.payload["id"]

    def _in_a_vessel(self, speech: Speech, quantity: Quantity, *, named: bool) -> bool:
        """`milk and vinegar in a cup for five minutes`: where something stands, and not how much of it; `put in a cup`
        tells how much."""
        words, start = speech.words, quantity.start
        if quantity.words.split() != ["a", _VESSEL] or quantity.of or named or not start:
            return False
        added = words[start - 1] == "in" and words[max(0, start - 2)] in self._adding
        return words[start - 1] in _WITHIN and not added and words[quantity.end : quantity.end + 1] in _STANDS

    def _yields(self, speech: Speech, quantity: Quantity) -> bool:
        """`makes about ten cups`, said after a pause: what the dish makes, and no food of it."""
        lead = range(max(0, quantity.start - _YIELD_LEAD), quantity.start)
        return any(speech.words[at] in self._making and _opens(speech, at) for at in lead)


def _opens(speech: Speech, place: int) -> bool:
    return not place or speech.stop_after[place - 1] or speech.turn_before[place] or speech.pause_before[place]


def _only_asks(words: Sequence[str], cue: Match[Row]) -> bool:
    """`that's not much, is it, half a litre`: a question that only closes what was said."""
    denied = words[max(0, cue.start - _TAG_REACH) : cue.start]
    return cue.payload["id"] in _TAGS and any(word in _NEGATIVE or word.endswith("n't") for word in denied)


def _only_there(speech: Speech, quantity: Quantity, before: int, bound: Sequence[Measured]) -> bool:
    """`four cloves of garlic, i have six there`: a count after the amount of a food tells what is on the table, and
    `i've half a litre left over` what is not used of it."""
    left = speech.words[quantity.end : quantity.end + 1] in _LEFT
    counted = (quantity.unit is None or left) and quantity.low is not None and not (quantity.share or quantity.of)
    last = bound[-1] if bound else None
    if not counted or last is None or last.food != before or last.quantity.low is None or last.quantity.article:
        return False
    lead = speech.words[max(last.quantity.end, quantity.start - _LEAD) : quantity.start]
    has = lead[-1:] != () and lead[-1] in _HAVE and not _OWNERS.isdisjoint(lead)
    near = quantity.start - last.quantity.end <= _REACH
    return has and near and speech.words[quantity.end : quantity.end + 1] in _THERE


def _measures(foods: Sequence[FoodSpan], item: Measured, food: int) -> bool:
    """Whether an amount tells how much there is of a food."""
    same = item.food == food or foods[item.food].name.split()[-1] == foods[food].name.split()[-1]
    return same and item.quantity.low is not None and not item.quantity.article


def _both_of_them(speech: Speech, quantity: Quantity, before: int, bound: Sequence[Measured]) -> bool:
    """`one leek and one carrot and they both get diced`, `the two of them go in`: two things of which each has its
    amount already."""
    last = bound[-1] if bound else None
    if last is None or last.food != before or last.quantity.low is None or quantity.unit is not None:
        return False
    both = quantity.words == "both" and not quantity.of
    pointed = speech.words[max(0, quantity.start - 1)] == "the" and speech.words[quantity.end - 1] in _THEM
    return last.quantity.low < 2 and (both or (quantity.of and pointed))
