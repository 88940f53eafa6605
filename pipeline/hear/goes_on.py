"""Where an offer goes on after what it is made for: `bream is good if there's no snapper in your shop or hake`."""

from __future__ import annotations

from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import marked_rules, word_class
from pipeline.hear.speech import Speech

_IN_PLACE = marked_rules("in-place")
_HYPOTHETICAL, _REPLACED = "hypothetical", "usage.replaced"
_OR = ("or",)
_ANEW = word_class("or-anew")


def goes_on(speech: Speech, lacking: FoodSpan, food: FoodSpan, why: str, rule: str) -> bool:
    """Whether `food` may be offered like what was offered before `lacking`, which is kept out by `why` and `rule`: not
    so where both are lacking, `use bream if there's no snapper or hake`."""
    between = speech.words[lacking.end : food.start]
    anew = between[:1] != _OR or not _ANEW.isdisjoint(between[1:2])
    return anew and (why == _HYPOTHETICAL or rule == _REPLACED or rule in _IN_PLACE)
