"""Whose servings were said: the dish named last before them, else the one that is spoken of."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.hearing import Hearing
from pipeline.hear.servings import ServingsSpan
from pipeline.record import Servings
from pipeline.split.dishes import Dish, stem
from pipeline.split.outline import Outline

_NAMED_BACK = 24
_SAID_ANEW = 12
_SHORTEST_NOUN = 4
_PART, _UNNAMED, _NAMED = range(3)
_Owned = tuple[ServingsSpan, int, int]


def servings_of(hearing: Hearing, outline: Outline, dish: int, baked: frozenset[str]) -> Servings | None:
    """The servings of one dish, by what is worth most: said with its name, then that people are fed, then said last.

    `baked` names dishes that are cut in pieces.
    """
    mine = [(span, how) for span, owner, how in _owned(hearing, outline, baked) if owner == dish]
    if not mine:
        return None
    best, _ = max(mine, key=lambda item: (item[1], item[0].strength, item[0].start))
    return Servings(
        low=float(best.low),
        best=float((best.low + best.high) / 2),
        high=float(best.high),
        basis="inferred" if best.reckoned else "said",
        evidence=(hearing.speech.evidence(best.start, best.end, best.rule),),
    )


def _owned(hearing: Hearing, outline: Outline, baked: frozenset[str]) -> list[_Owned]:
    """Every statement with the index of its dish, and how well it is known to be of that dish."""
    names = _names(outline.dishes)
    cut = [at for at, dish in enumerate(outline.dishes) if baked & (dish.keywords | {dish.head})]
    found: list[_Owned] = []
    for span in hearing.servings:
        if any(scope.kind in {"elsewhere", "habit", "interrupted"} for scope in hearing.over[span.start]):
            continue
        owner, how = _owner(hearing, outline, names, span, found[-1] if found else None)
        found.append((span, cut[0] if span.reckoned and how == _UNNAMED and len(cut) == 1 else owner, how))
    return found


def _owner(
    hearing: Hearing, outline: Outline, names: dict[str, tuple[int, bool]], span: ServingsSpan, before: _Owned | None
) -> tuple[int, int]:
    """The dish whose name, or a component's, stands nearest before. What follows at once is of the same dish, and
    else no name is used for two statements."""
    done = before[0].end if before is not None else 0
    for place in range(span.end - 1, max(done, span.start - _NAMED_BACK) - 1, -1):
        named = names.get(stem(hearing.speech.words[place]))
        if named is not None:
            return named[0], _PART if named[1] else _NAMED
    if before is not None and span.start - done <= _SAID_ANEW:
        return before[1], before[2]
    return outline.local[span.start], _UNNAMED


def _names(dishes: Sequence[Dish]) -> dict[str, tuple[int, bool]]:
    """Word -> the one dish it names, and whether it names only a component. Nouns of dishes come first, whole and
    then by their last part: bread for the cornbread."""
    found: dict[str, tuple[int, bool]] = {}
    for kind in (_heads, _parts, _keywords, _endings):
        words = [(word, at, kind is _parts) for at, dish in enumerate(dishes) for word in kind(dish)]
        counts = [word for word, _, _ in words]
        fresh = {word: (at, part) for word, at, part in words if counts.count(word) == 1 and word not in found}
        found.update(fresh)
    return found


def _heads(dish: Dish) -> set[str]:
    return {dish.head}


def _parts(dish: Dish) -> set[str]:
    return {stem(part.split()[-1]) for part in dish.parts}


def _keywords(dish: Dish) -> set[str]:
    return set(dish.keywords)


def _endings(dish: Dish) -> set[str]:
    return {dish.head[at:] for at in range(1, len(dish.head) - _SHORTEST_NOUN + 1)}
