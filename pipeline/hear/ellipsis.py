"""Foods named by what sets them apart alone: `a green one`, `malt vinegar or cider`, `you could use boneless`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pipeline.foods.names import FoodNames
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_rows, phrase_class, word_class
from pipeline.hear.speech import Speech

_MODEL_REACH = 12
_CHOICE_REACH = 24
_OR_REACH = 8
_ONE = word_class("one-or-ones")
_OF = frozenset({"of", "the"})
_OR_LEAD = 8
_MAY = word_class("choice-may")
_MAY_LEAD = 6
_APPROVED = phrase_class("kind-approved")


class EllipsisFiller:
    """Compiled words of colours and kinds."""

    def __init__(self, classes: Classes, names: FoodNames) -> None:
        self._names = names
        self._colours = frozenset(classes["colour"])
        self._kinds = frozenset(classes["kind-alone"])
        self._figures = frozenset(row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind")))
        self._listing = self._figures | self._colours | {"and", "a"}
        self._leads = frozenset(classes["choice-lead"])
        self._follow = frozenset(classes["choice-follow"])
        self._approval = frozenset(classes["approval"])

    def fill(self, speech: Speech, foods: Sequence[FoodSpan]) -> tuple[FoodSpan, ...]:
        """The foods and those whose noun was left out, in order."""
        named = {place for food in foods for place in range(food.start, food.end)}
        kinds = (place for place in speech.where(self._kinds | self._colours) if place and place not in named)
        bare = [self._alone(speech, foods, place) for place in kinds]
        ones = [self._one_of_a_colour(speech, foods, place) for place in speech.where(_ONE) if place]
        chosen = [self._after_or(speech, foods, at) for at in range(len(foods))]
        return tuple(sorted([*chosen, *(food for food in (*bare, *ones) if food)], key=lambda food: food.start))

    def _one_of_a_colour(self, speech: Speech, foods: Sequence[FoodSpan], place: int) -> FoodSpan | None:
        """`a green one` after `two red peppers`: the food spoken of before, in the other colour."""
        colour = speech.words[place - 1]
        model = _model(foods, place - 1, _MODEL_REACH) if colour in self._colours else None
        if model is None or not self._colours.intersection(model.name.split()):
            return None
        name = " ".join(colour if word in self._colours else word for word in model.name.split())
        return self._like(model, name, place - 1, place + 1)

    def _alone(self, speech: Speech, foods: Sequence[FoodSpan], place: int) -> FoodSpan | None:
        """`you could use boneless`, `or white if you like`, `fresh would do too`: another kind of the food before."""
        end = place + 1
        model = _model(foods, place, _CHOICE_REACH)
        listed = model is not None and self._listed(speech, model, place)
        other = listed or (model is not None and self._one_more(speech, model, place))
        if (not listed and not self._closed(speech, end)) or not (other or self._led(speech, foods, place)):
            return None
        kind = speech.words[place]
        noun = self._noun(model, kind) if model is not None else None
        return self._like(model, f"{kind} {noun}", place, end) if model is not None and noun else None

    def _closed(self, speech: Speech, end: int) -> bool:
        """Whether no noun follows at word `end`."""
        if end >= len(speech) or speech.stop_after[end - 1] or speech.line[end] != speech.line[end - 1]:
            return True
        return speech.words[end] in self._follow or speech.words[end] in self._approval

    def _led(self, speech: Speech, foods: Sequence[FoodSpan], place: int) -> bool:
        """Whether the words before offer a choice, or it is called good right after the food, or where a line or a
        sentence begins: `fresh would do too`."""
        words = speech.words
        approved = words[place + 1 : place + 2] != () and words[place + 1] in self._approval
        beside = words[place - 1] == "the" or any(food.end == place for food in foods)
        some = words[place - 1] in _OF and "or" in words[max(0, place - _OR_LEAD) : place]
        offered = words[place - 1] == "or" or not _MAY.isdisjoint(words[max(0, place - _MAY_LEAD) : place])
        opens = speech.stop_after[place - 1] or speech.comma_after[place - 1]
        opens = opens or speech.line[place] != speech.line[place - 1]
        called_good = opens and words[place + 1 : place + 3] in _APPROVED
        return (words[place - 1] in self._leads and offered) or some or (approved and beside) or called_good

    def _listed(self, speech: Speech, model: FoodSpan, place: int) -> bool:
        """`peppers, one red one yellow and two green`: so many of each colour, right after what has them."""
        between = speech.words[model.end : place]
        plain = self._colours.isdisjoint(model.name.split()) and speech.words[place] in self._colours
        counted = between[-1:] != () and between[-1] in self._figures
        return plain and counted and self._listing.issuperset(between)

    def _one_more(self, speech: Speech, model: FoodSpan, place: int) -> bool:
        """`one red onion and one white`: so many of the other colour."""
        coloured = speech.words[place] in self._colours and not self._colours.isdisjoint(model.name.split())
        and_one = speech.words[place - 2 : place - 1] == ("and",) and speech.words[place - 1] in self._figures
        return coloured and and_one and place - model.end <= _MODEL_REACH

    def _noun(self, model: FoodSpan, kind: str) -> str | None:
        """What is left of a name without the words that told its kind: the chops of bone in pork chops."""
        words = model.name.split()
        rests = [" ".join(words[at:]) for at in range(1, len(words))]
        fuller = [] if kind in self._colours and not self._colours.isdisjoint(words) else [model.name]
        known = (rest for rest in [*fuller, *rests] if self._names.lookup(f"{kind} {rest}") is not None)
        plain = (rest for rest in rests if self._names.lookup(rest) is not None)
        return None if kind in words else next(known, None) or next(plain, None)

    def _after_or(self, speech: Speech, foods: Sequence[FoodSpan], at: int) -> FoodSpan:
        """`malt vinegar or cider`: a word of one kind of what was named before `or`, and no food of its own."""
        food = foods[at]
        model = foods[at - 1] if at else None
        lead = speech.words[food.start - 1 : food.start]
        if model is None or lead != ("or",) or food.start - model.end > _OR_REACH or " " in food.name:
            return food
        *kind, noun = model.name.split()
        name = f"{food.name} {noun}"
        entry = self._names.lookup(name) if kind and food.name not in kind else None
        return replace(food, name=name, food=entry.food, rule="food.ellipsis") if entry is not None else food

    def _like(self, model: FoodSpan, name: str, start: int, end: int) -> FoodSpan:
        entry = self._names.lookup(name)
        food = entry.food if entry else model.food
        return replace(
            model,
            start=start,
            head=end - 1,
            end=end,
            name=name,
            food=food,
            rule="food.ellipsis",
            sizes=(),
            preparation=(),
        )


def _model(foods: Sequence[FoodSpan], place: int, reach: int) -> FoodSpan | None:
    """The last food that ends at `place` or less than `reach` words before it."""
    before = [food for food in foods if food.end <= place and place - food.end < reach]
    return before[-1] if before else None
