"""The amounts said of each food: those of the recipe, and of the mention that uses the food."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import takewhile

from pipeline.compose.amounts import TAKEN, Said
from pipeline.compose.served import ServedJudge
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows, word_class
from pipeline.hear.measured import Measured
from pipeline.hear.usage import SHOWN, USED

_TOLD_REACH = 30
SOME = "some"
_IT = word_class("it-or-this")
_WILL = word_class("will-word")
_WILL_REACH = 3


def statements_of(hearing: Hearing, served: ServedJudge) -> dict[int, list[Said]]:
    """Index of a food -> the amounts that were said of it, in order of speech."""
    found: dict[int, list[Said]] = {}
    for measured in hearing.measured:
        food = hearing.foods[measured.food]
        place = measured.quantity.start
        if _of_the_other(hearing, place, measured.food + 1) or _of_others(hearing, measured):
            continue
        shown = hearing.usages[measured.food].status == SHOWN and not _is_meant(hearing, measured)
        plural = food.name.endswith("s")
        of_it = not _IT.isdisjoint(hearing.speech.words[measured.quantity.end - 1 : measured.quantity.end + 1])
        said = Said(measured, place, shown, plural, served.is_served(hearing, measured), of_it)
        found.setdefault(_owner(hearing, measured), []).append(said)
    return found


def described_by(classes: Classes) -> frozenset[str]:
    """Words that may stand between `some` and a food."""
    modifiers = {row["words"] for row in load_rows("modifiers.csv", ("words", "kind"))}
    return frozenset(classes["size"]) | frozenset(classes["amount-gap"]) - {"of", "the", SOME} | modifiers


def _is_meant(hearing: Hearing, measured: Measured) -> bool:
    """`we only need two of them`, `so we will have four cloves`: what is to be used, though it is only spoken of."""
    place = measured.quantity.start
    lead = hearing.speech.words[max(0, place - _WILL_REACH) : place]
    return measured.rule == TAKEN or not _WILL.isdisjoint(lead)


def said_some(hearing: Hearing, mentions: Iterable[int], described: frozenset[str]) -> bool:
    """`put some chopped mint over it`: whether a food was called some of it, with nothing but words that describe it
    between."""
    words = hearing.speech.words
    for at in mentions:
        place = hearing.foods[at].start - 1
        while place > 0 and words[place] in described:
            place -= 1
        if place >= 0 and words[place] == SOME:
            return True
    return False


def _owner(hearing: Hearing, measured: Measured) -> int:
    """`now the sour cream, sour cream is high in fat, so it's two spoons`: what is only told of a food between its use
    and its amount does not take the amount away."""
    at = measured.food
    food = hearing.foods[at]
    if not measured.free or not food.food or hearing.usages[at].status in {USED, SHOWN}:
        return at
    near = takewhile(lambda other: food.start - hearing.foods[other].end <= _TOLD_REACH, range(at - 1, -1, -1))
    own = (other for other in near if hearing.foods[other].food == food.food)
    return next((other for other in own if hearing.usages[other].status in {USED, SHOWN}), at)


def _of_others(hearing: Hearing, measured: Measured) -> bool:
    """`the peppercorns, my aunt used a cup`: an amount of other people's is none of the recipe; of a food that is used
    all the same only the last amount counts, `i used to put in a cup, now it's half`."""
    at = measured.food
    theirs = [scope for scope in hearing.over[measured.quantity.start] if scope.kind == "habit"]
    if not theirs:
        return False
    if hearing.usages[at].status != USED:
        return any(scope not in hearing.over[hearing.foods[at].head] for scope in theirs)
    own = [item.quantity for item in hearing.measured if item.food == at]
    last = max(quantity.start for quantity in [said for said in own if not said.vague] or own)
    again = any(scope in hearing.over[hearing.foods[at].head] for scope in theirs)
    return not (again and measured.quantity.start == last)


def _of_the_other(hearing: Hearing, place: int, after: int) -> bool:
    """`fresh thyme, or a spoon if it's dried thyme`: an amount after `or` is that of the alternative that follows."""
    follows = after < len(hearing.foods) and hearing.usages[after].rule == "alternative.or"
    return follows and place > 0 and hearing.speech.words[place - 1] == "or" and place < hearing.foods[after].start
