"""What shows that an amount puts the one before it right, beside the words of correction themselves."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.between import IT_IS
from pipeline.hear.lexicon import phrase_class, word_class
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech

_LONGEST_FIGURE = 4
_AGREEING = word_class("agreeing-word")
_ENOUGH = word_class("enough-word")
_AFTER_ALL = word_class("after-all")
_WILL_DO = phrase_class("will-do")
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
    if quantity.unit is not None and _agreed(words, quantity):
        return start - 1
    said_so = start > 1 and words[start - 1] in _SAID_SO and words[start - 2] == words[start]
    return start - 1 if said_so and quantity.end == start + 1 else -1


def _agreed(words: Sequence[str], quantity: Quantity) -> bool:
    """`two hundred, she says, right, two hundred mils`: a figure that somebody said, taken over with its unit."""
    first = quantity.start
    while first and words[first - 1] in _AGREEING:
        first -= 1
    long = first != quantity.start
    return long and any(
        words[max(0, first - length) : first] == words[quantity.start : quantity.start + length]
        for length in range(1, min(_LONGEST_FIGURE, quantity.end - quantity.start))
    )


def is_enough(speech: Speech, quantity: Quantity) -> bool:
    """`a quarter is plenty`, `two and a half actually`, `two spoons, then.`: a figure that is said to be as much as it
    takes."""
    following = speech.words[quantity.end : quantity.end + 2]
    if following[:1] == ("then",) and quantity.unit is not None and speech.stop_after[quantity.end]:
        return True
    if following == IT_IS:
        return True
    if quantity.rule == "amount.enough":
        return True
    if quantity.low is None or len(following) < 2:
        return False
    return following[0] in _AFTER_ALL or (following[0] in _IS and following[1] in _ENOUGH)


def offered_instead(speech: Speech, quantity: Quantity, start: int, end: int) -> bool:
    """`eight hundred, eight hundred grams // shin will do`: whether the food at `start` to `end` is only offered in
    place of another, the amount before it being said of that."""
    apart = speech.line[start] != speech.line[quantity.end - 1] or repeated_at(speech, quantity) >= 0
    return apart and speech.words[end : end + 2] in _WILL_DO
