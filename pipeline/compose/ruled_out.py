"""Leaves out the lines of foods that are ruled out, offered or warned of more than they are used."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.standins import NOBODY
from pipeline.hear.usage import ALTERNATIVE, USED
from pipeline.split.outline import Outline

if TYPE_CHECKING:
    from pipeline.compose.line_draft import LineDraft

_RETOLD = 3
_WATCHED = frozenset({"sodium", "salt", "potassium", "phosphorus"})


def without_denied(hearing: Hearing, outline: Outline, lines: Sequence[LineDraft]) -> list[LineDraft]:
    """A food without an amount that is ruled out as often as it is used is not used; one that is warned of must be used
    once more."""
    denied = [
        food
        for food, usage in zip(hearing.foods, hearing.usages, strict=True)
        if usage.why in {"negated", "habit", "claim", "elsewhere"}
    ]
    offered = Counter(
        (outline.topics[food.head].dish, food.food, _is_group(food))
        for food, usage in zip(hearing.foods, hearing.usages, strict=True)
        if usage.status == ALTERNATIVE and not _for_itself(hearing, food.food, usage.stands_for)
    )
    warned = _warned_of(hearing)
    lines = [line for line in lines if not _is_retold(hearing, line)]
    lines = [line for line in lines if line.said or _outweighs(hearing, line, offered)]
    return [
        line
        for line in lines
        if any(not said.quantity.article for said in line.said)
        or (line.used and line.said)
        or _times_denied(line, denied) + (line.food in warned)
        <= len(line.mentions) - (line.name == "salt" or bool(line.said))
    ]


def _times_denied(line: LineDraft, denied: Sequence[FoodSpan]) -> int:
    """How often the food of a line is ruled out. Another kind of it is not meant: rye bread where no corn bread is."""
    return sum(food.food == line.food and not _is_other_kind(food.name, line.names) for food in denied)


def _is_other_kind(name: str, others: Sequence[str]) -> bool:
    """Whether a name shares a word with all others, but has and lacks another one."""
    words = set(name.split())
    return all(words & own and words - own and own - words for own in (set(other.split()) for other in others))


def _for_itself(hearing: Hearing, food: str, stands_for: int) -> bool:
    """`chicken stock or chicken broth`: another word for what goes in."""
    used = stands_for != NOBODY and hearing.usages[stands_for].status == USED
    return used and hearing.foods[stands_for].food == food


def _outweighs(hearing: Hearing, line: LineDraft, offered: Mapping[tuple[int, str, bool], int]) -> bool:
    """Whether a food is put in more often than it is offered for another; `stock` that is offered is not the chicken
    stock that goes in later."""
    own = [at for at in line.mentions if not _is_group(hearing.foods[at])]
    offers = offered[line.dish, line.food, False] + (0 if own else offered[line.dish, line.food, True])
    return not offers or sum(hearing.usages[at].rule == "usage.added" for at in own) > offers


def _is_group(food: FoodSpan) -> bool:
    """`stock`, `fish`: a word for many foods, and nothing beside it."""
    return food.kind == "generic" and " " not in food.name


def _is_retold(hearing: Hearing, line: LineDraft) -> bool:
    """`everybody puts tomatoes, two three tomatoes`: how much of it others use, said right after it."""
    amounts = [hearing.foods[said.measured.food] for said in line.said if not said.quantity.article]
    others = [
        food.end
        for food, usage in zip(hearing.foods, hearing.usages, strict=True)
        if food.food == line.food and usage.why == "habit"
    ]
    return bool(amounts) and all(any(0 < food.start - end <= _RETOLD for end in others) for food in amounts)


def _warned_of(hearing: Hearing) -> frozenset[str]:
    """Foods that are said to be high in what the viewers must watch."""
    return frozenset(
        claim.subject.food
        for claim in hearing.claims
        if claim.subject is not None and claim.subject.food and claim.sense == "high" and claim.nutrient in _WATCHED
    )
