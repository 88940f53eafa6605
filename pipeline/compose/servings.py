"""Whose servings were said: the dish named last before them, else the one that is spoken of."""

from __future__ import annotations

from pipeline.compose.named import DishNames
from pipeline.hear.hearing import Hearing
from pipeline.hear.portions import ALONE
from pipeline.hear.scopes import Scope
from pipeline.hear.servings import ServingsSpan
from pipeline.record import Servings
from pipeline.split.outline import Outline

_NAMED_BACK = 24
_SAID_ANEW = 12
_PORTIONS_OF = 4
_PART, _UNNAMED, _NAMED = range(3)
_Owned = tuple[ServingsSpan, int, int]


def servings_of(
    hearing: Hearing, outline: Outline, names: DishNames, dish: int, baked: frozenset[str]
) -> Servings | None:
    """The servings of one dish, by what is worth most: said with its name, then that people are fed, then said last.

    `baked` names dishes that are cut in pieces.
    """
    mine = [(span, how) for span, owner, how in _owned(hearing, outline, names, baked) if owner == dish]
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


def _owned(hearing: Hearing, outline: Outline, names: DishNames, baked: frozenset[str]) -> list[_Owned]:
    """Every statement with the index of its dish, and how well it is known to be of that dish."""
    cut = [at for at, dish in enumerate(outline.dishes) if baked & (dish.keywords | {dish.head})]
    found: list[_Owned] = []
    for span in hearing.servings:
        owner, how = _owner(hearing, outline, names, span, found[-1] if found else None)
        if any(_of_others(hearing, scope, span, how) for scope in hearing.over[span.start]):
            continue
        owner = cut[0] if span.reckoned and how == _UNNAMED and len(cut) == 1 else owner
        if span.rule != ALONE or owner in cut:
            found.append((span, owner, how))
    return found


def _owner(
    hearing: Hearing, outline: Outline, names: DishNames, span: ServingsSpan, before: _Owned | None
) -> tuple[int, int]:
    """The dish whose name, or a component's, stands nearest before; but four servings of fish are of the fish. What
    follows at once is of the same dish, and else no name is used for two statements."""
    done = before[0].end if before is not None else 0
    words = hearing.speech.words
    following = words[span.end : span.end + _PORTIONS_OF]
    served = span.end + following.index("of") if "of" in following else len(words)
    named = names.before(words, served, served + _PORTIONS_OF)
    if named is None and any(served < food.head <= served + _PORTIONS_OF for food in hearing.foods):
        return outline.local[span.start], _UNNAMED
    named = named or names.before(words, max(done, span.start - _NAMED_BACK), span.end)
    if named is not None:
        return named.dish, _PART if named.part else _NAMED
    if before is not None and span.start - done <= _SAID_ANEW:
        return before[1], before[2]
    return outline.local[span.start], _UNNAMED


def _of_others(hearing: Hearing, scope: Scope, span: ServingsSpan, how: int) -> bool:
    """Whether another dish or another day is told of; what is left for lunch, said after, takes nothing back, and no
    habit that an earlier clause told of the servings said with the name of a dish."""
    if scope.kind == "elsewhere":
        return scope.cue_end <= span.start
    clause = hearing.clauses.clause(span.start)[0]
    return scope.kind in {"habit", "interrupted"} and (how != _NAMED or clause <= scope.cue_start)
