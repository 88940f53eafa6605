"""Tells a food that goes in from the finished component that is named after it."""

from __future__ import annotations

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import word_class
from pipeline.split.dishes import stem
from pipeline.split.layers import ASSEMBLY
from pipeline.split.outline import Outline

_PLATES = word_class("plate-word")
_BEFORE_PLATES = word_class("plate-article")
_PANS = word_class("cooking-pan")
_PLATED = 14


def is_finished(hearing: Hearing, outline: Outline, at: int, *, measured: bool) -> bool:
    """Whether food `at`, which stands in another component already, is that component: `half the chicken` goes on the
    plate where the chicken was cooked before, in a dish or a component named after it."""
    food, topic = hearing.foods[at], outline.topics[hearing.foods[at].head]
    dish = outline.dishes[topic.dish]
    named = {stem(word) for word in f"{dish.title} {' '.join(dish.parts)}".split()}
    if not dish.parts or stem(food.name.split()[-1]) not in named:
        return False
    definite = measured and hearing.speech.words[food.head - 1 : food.head] == ("the",)
    return definite or topic.part == ASSEMBLY


def is_plated(hearing: Hearing, at: int) -> bool:
    """`on the plate a scoop of rice, a spoon of prawns`: food `at` is named right after the plate that it goes on;
    not so `out on a plate and in the same pot another spoon of oil`."""
    words, start = hearing.speech.words, hearing.foods[at].start
    first = max(1, start - _PLATED, hearing.clauses.sentence(start)[0])
    plates = [place for place in range(first, start) if words[place] in _PLATES and words[place - 1] in _BEFORE_PLATES]
    return bool(plates) and _PANS.isdisjoint(words[plates[-1] : start])
