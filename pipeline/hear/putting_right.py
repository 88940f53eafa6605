"""What shows that an amount puts the one before it right, beside the words of correction themselves."""

from __future__ import annotations

from pipeline.hear.lexicon import word_class
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech

_LONGEST_FIGURE = 4
_ENOUGH = word_class("enough-word")
_AFTER_ALL = word_class("after-all")
_SAID_SO = word_class("said-so")
_IS = word_class("is-or-be")


def repeated_at(speech: Speech, quantity: Quantity) -> int:
    """`a spoon, eh, two, two spoons`: where the same figure was said right before, without the unit; -1 where it was
    not."""
    words, start = speech.words, quantity.start
    for length in range(min(_LONGEST_FIGURE, quantity.end - start), 0, -1):
        first, end = words[max(0, start - length) : start], start + length
        figure = end < quantity.end or (quantity.unit is None and end == quantity.end)
        if figure and len(first) == length and first == words[start:end]:
            return start - 1
    said_so = start > 1 and words[start - 1] in _SAID_SO and words[start - 2] == words[start]
    return start - 1 if said_so and quantity.end == start + 1 else -1


def is_enough(speech: Speech, quantity: Quantity) -> bool:
    """`a quarter is plenty`, `two and a half actually`: a figure that is said to be as much as it takes."""
    following = speech.words[quantity.end : quantity.end + 2]
    if quantity.rule == "amount.enough":
        return True
    if quantity.low is None or len(following) < 2:
        return False
    return following[0] in _AFTER_ALL or (following[0] in _IS and following[1] in _ENOUGH)
