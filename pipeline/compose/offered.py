"""Finds the ingredient line that an alternative was offered for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache
from typing import Protocol

from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import load_rows
from pipeline.hear.standins import NOBODY
from pipeline.hear.usage import ALTERNATIVE, SPOKEN
from pipeline.split.dishes import stem

_REACH = 130
_BESIDE = 8
_UNLIKE = 130
_PASSED = 5
_RATHER_LIKE = 10
_UNLIKE_REACH = 20
_AFTER = 60
_AKIN = 40
_SAME = 8
_WARNED = 40
_ENDING = 5
_NAMING = ("standin.", "alternative.or")
_DISLIKED = "standin.dislike"
_IF = "if"
_DENIED = frozenset({"negated", "hypothetical", "comparison"})


class Line(Protocol):
    """What is asked of an ingredient line."""

    food: str
    names: list[str]
    mentions: list[int]
    alternatives: list[str]


def offer(hearing: Hearing, lines: Sequence[Line], class_of: Callable[[str], str]) -> None:
    """Writes every alternative that was offered to the line it may replace."""
    warned = [food for food, usage in zip(hearing.foods, hearing.usages, strict=True) if usage.why == "negated"]
    owner = {mention: line for line in lines for mention in line.mentions}
    for at, food in enumerate(hearing.foods):
        usage = hearing.usages[at]
        if usage.status != ALTERNATIVE or (usage.stands_for == NOBODY and _is_warned_of(food, warned)):
            continue
        line = _named_for(hearing, lines, owner, at)
        if line is None:
            line = _stood_in_for(hearing, lines, owner, at, class_of)
            line = line if line is not None and _may_be_meant(hearing, line, at, class_of) else None
        name = _offered_name(hearing, line, food) if line is not None else ""
        if line is not None and _plain(name) not in map(_plain, (*line.alternatives, *line.names)):
            line.alternatives.append(name)


def _is_warned_of(food: FoodSpan, warned: Sequence[FoodSpan]) -> bool:
    """Whether a food is refused near the words that offer it."""
    return any(other.name == food.name and abs(other.start - food.start) <= _WARNED for other in warned)


def _may_be_meant(hearing: Hearing, line: Line, at: int, class_of: Callable[[str], str]) -> bool:
    """Whether a line may be the one that a food stands in for, where another was named that no line is of: the ham of
    `if you eat no pork take turkey`, which is of its class."""
    usage = hearing.usages[at]
    if usage.stands_for == NOBODY or not usage.rule.startswith(_NAMING):
        return True
    disliked = class_of(hearing.foods[usage.stands_for].food)
    return usage.rule.startswith(_DISLIKED) and disliked == class_of(line.food)


def _plain(name: str) -> tuple[str, ...]:
    """The words of a name without their endings of number: one lime and two limes are the same."""
    return tuple(map(stem, name.split()))


def _offered_name(hearing: Hearing, line: Line, food: FoodSpan) -> str:
    """`canned pears, you can use fresh pears`: in the speaker's own words where the bare name is that of the line."""
    return " ".join(hearing.speech.words[food.start : food.end]) if food.name in line.names else food.name


def _named_for(hearing: Hearing, lines: Sequence[Line], owner: Mapping[int, Line], at: int) -> Line | None:
    """The line of the food that was named as the one replaced."""
    target = hearing.usages[at].stands_for
    seen = {at}
    while target != NOBODY and target not in seen and hearing.usages[target].status == ALTERNATIVE:
        seen.add(target)
        target = hearing.usages[target].stands_for
    if target == NOBODY or target in seen:
        return None
    named = hearing.foods[target]
    offered = (line for line in lines if named.name in line.alternatives)
    return owner.get(target) or _line_of(hearing, lines, named, target) or next(offered, None)


def _line_of(hearing: Hearing, lines: Sequence[Line], food: FoodSpan, at: int) -> Line | None:
    """The line of a food named elsewhere: the same food, else one with the same noun, else one that the word is part
    of (`the pork` of a pork tenderloin); of several, the nearest."""
    same = [line for line in lines if line.food == food.food]
    found = same or [line for line in lines if _same_noun(line, food)]
    found = found or [line for line in lines if any(food.name in name.split() for name in line.names)]
    return min(found, key=lambda line: min(abs(mention - at) for mention in line.mentions), default=None)


def _same_noun(line: Line, food: FoodSpan) -> bool:
    noun = stem(food.name.split()[-1])
    return any(stem(name.split()[-1]) == noun for name in line.names)


def _same_ending(line: Line, food: FoodSpan) -> bool:
    """Whether both are berries, or shrooms: nouns put together with the same last part."""
    noun = stem(food.name.split()[-1])
    others = (stem(name.split()[-1]) for name in line.names)
    return any(noun[-_ENDING:] == other[-_ENDING:] and min(len(noun), len(other)) > _ENDING for other in others)


def _stood_in_for(
    hearing: Hearing, lines: Sequence[Line], owner: Mapping[int, Line], at: int, class_of: Callable[[str], str]
) -> Line | None:
    """The line whose food was spoken of last, rather one of the same class, and rather before than after."""
    food = hearing.foods[at]
    beside = _beside(hearing, lines, at)
    if beside is not None:
        return beside
    follows = "of" in hearing.speech.words[food.end : food.end + 3]
    near: list[tuple[int, int]] = []
    for other, gap in _around(hearing, at):
        line = _owner_of(hearing, lines, owner, other)
        if line is None or _plain(_offered_name(hearing, line, food)) in map(_plain, line.names):
            continue
        unlike = 0 if _same_noun(line, food) else _unlikeness(class_of(line.food), class_of(food.food))
        if unlike < _UNLIKE or gap <= _UNLIKE_REACH:
            akin = _SAME * _same_noun(line, food) or _AKIN * _same_ending(line, food)
            passed = 0 if _same_noun(line, food) else _PASSED * (abs(other - at) - 1)
            near.append((gap + unlike + passed - akin + _AFTER * (other > at and not follows), other))
    return _owner_of(hearing, lines, owner, min(near)[1]) if near else None


def _unlikeness(one: str, other: str) -> int:
    """How much further off a food of another class counts, in words: less where the classes are used alike."""
    if one == other:
        return 0
    return _RATHER_LIKE if any({one, other} <= group for group in _like_classes()) else _UNLIKE


@cache
def _like_classes() -> tuple[frozenset[str], ...]:
    return tuple(frozenset(row["classes"].split()) for row in load_rows("like_classes.csv", ("id", "classes")))


def _around(hearing: Hearing, at: int) -> Iterator[tuple[int, int]]:
    """Foods within reach before and after a food, with the number of words between."""
    for step in (-1, 1):
        other = at + step
        while 0 <= other < len(hearing.foods):
            first, second = sorted((hearing.foods[other], hearing.foods[at]), key=lambda span: span.start)
            if second.start - first.end > _REACH:
                break
            yield other, max(0, second.start - first.end)
            other += step


def _owner_of(hearing: Hearing, lines: Sequence[Line], owner: Mapping[int, Line], at: int) -> Line | None:
    """The line that a food was written to; where it was only spoken of, a line of the same food."""
    if at in owner or hearing.usages[at].status != SPOKEN:
        return owner.get(at)
    food = hearing.foods[at].food
    return next((line for line in lines if food and line.food == food), None)


def _beside(hearing: Hearing, lines: Sequence[Line], at: int) -> Line | None:
    """`instead of buttermilk yoghurt will do`: the line of a food that is ruled out right beside it."""
    food = hearing.foods[at]
    for other in (at - 1, at + 1):
        if not 0 <= other < len(hearing.foods):
            continue
        first, second = sorted((hearing.foods[other], food), key=lambda span: span.start)
        close = second.start - first.end <= _BESIDE
        lacking = hearing.usages[other].why in _DENIED or hearing.speech.words[second.start - 1] == _IF
        if close and lacking and hearing.foods[other].name != food.name:
            found = _line_of(hearing, lines, hearing.foods[other], other)
            if found is not None:
                return found
    return None
