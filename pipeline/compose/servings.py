"""Whose servings were said: the dish named last before them, else the one that is spoken of."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass

from pipeline.compose.named import DishNames, Named
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_dish_words
from pipeline.hear.portions import ALONE
from pipeline.hear.scopes import Scope
from pipeline.hear.servings import ServingsSpan
from pipeline.record import Servings
from pipeline.split.dishes import stem
from pipeline.split.outline import Outline

_NAMED_BACK = 24
_SAID_ANEW = 12
_PORTIONS_OF = 4
_NAMED_AHEAD = 3
_COMPANY = 20
_ALL_BACK = 4
_PART, _UNNAMED, _NAMED = range(3)


@dataclass(frozen=True, slots=True)
class _Owned:
    """A statement, the index of its dish, and how well it is known to be of that dish."""

    span: ServingsSpan
    dish: int
    how: int

    @property
    def worth(self) -> tuple[bool, int, int, int]:
        """What is said of people is worth more than what is reckoned; then by the name, then what was said last."""
        return not self.span.reckoned, self.how, self.span.strength, self.span.start


class ServingsOwners:
    """Compiled words that tell whose servings are."""

    def __init__(self, classes: Classes) -> None:
        self._baked = frozenset(classes["baked-dish"])
        self._all = frozenset(classes["servings-all"])
        self._from = frozenset(classes["servings-from"])
        self._pointing = frozenset(classes["subject-lead"])
        self._dishes = frozenset(row["words"] for row in load_dish_words())

    def servings(self, hearing: Hearing, outline: Outline, names: DishNames, dish: int) -> Servings | None:
        """The servings of one dish, by what is worth most."""
        mine = [owned for owned in self._owned(hearing, outline, names) if owned.dish == dish]
        if not mine:
            return None
        best = max(mine, key=lambda owned: owned.worth).span
        return Servings(
            low=float(best.low),
            best=float((best.low + best.high) / 2),
            high=float(best.high),
            basis="inferred" if best.reckoned else "said",
            evidence=(hearing.speech.evidence(best.start, best.end, best.rule),),
        )

    def _owned(self, hearing: Hearing, outline: Outline, names: DishNames) -> list[_Owned]:
        """Every statement with its dish."""
        cut = [at for at, dish in enumerate(outline.dishes) if self._baked & (dish.keywords | {dish.head})]
        found: list[_Owned] = []
        for span in hearing.servings:
            owner, how = self._owner(hearing, outline, names, span, found[-1] if found else None)
            if any(_of_others(hearing, scope, span, how) for scope in hearing.over[span.start]):
                continue
            owner = cut[0] if span.in_pieces and how == _UNNAMED and len(cut) == 1 else owner
            if span.rule != ALONE or owner in cut:
                found.append(_Owned(span, owner, how))
        return [*found, *_tied(hearing, names, found), *self._of_all(hearing, outline, found)]

    def _owner(
        self, hearing: Hearing, outline: Outline, names: DishNames, span: ServingsSpan, before: _Owned | None
    ) -> tuple[int, int]:
        """The dish that is named after `of` or `from`, else that whose name, or a component's, stands nearest before.
        What follows at once is of the same dish, and else no name is used for two statements."""
        local = outline.local[span.start]
        ahead = self._ahead(hearing.speech.words, span.end)
        named = names.before(hearing.speech.words, ahead, ahead + _NAMED_AHEAD)
        if named is not None:
            return named.dish, _PART if named.part else _NAMED
        if any(ahead < food.head <= ahead + _NAMED_AHEAD for food in hearing.foods):
            return local, _UNNAMED
        done = before.span.end if before is not None else 0
        first = max(done, span.start - _NAMED_BACK)
        place = names.last(hearing.speech.words, first, span.end)
        named = names.before(hearing.speech.words, first, span.end)
        other = self._has_subject(hearing, first if place is None else place + 1, span.start)
        if named is not None:
            return named.dish, _PART if named.part or other else _NAMED
        if before is not None and span.start - done <= _SAID_ANEW:
            return before.dish, _PART if other else before.how
        return local, _UNNAMED

    def _ahead(self, words: Sequence[str], place: int) -> int:
        """The word after `of` or `from` where one follows; past all words where none does."""
        near = range(place, min(place + _PORTIONS_OF, len(words)))
        return next((at + 1 for at in near if words[at] in self._from), len(words))

    def _has_subject(self, hearing: Hearing, first: int, end: int) -> bool:
        """Whether another food or dish is spoken of before words `end`: `and the sprouts are enough for six`."""
        words = hearing.speech.words
        heads = {hearing.heads[food] for food in hearing.foods_in(first, end)}
        return any(
            words[place] in self._pointing and (words[place + 1] in self._dishes or place + 1 in heads)
            for place in range(first, end - 1)
        )

    def _of_all(self, hearing: Hearing, outline: Outline, found: Sequence[_Owned]) -> list[_Owned]:
        """`both of them feed four`: said of every dish."""
        words = hearing.speech.words
        said = [owned.span for owned in found if not self._all.isdisjoint(words[owned.span.start - _ALL_BACK : owned.span.start])]
        return [_Owned(span, dish, _UNNAMED) for span in said for dish in range(len(outline.dishes))]


def _tied(hearing: Hearing, names: DishNames, found: Sequence[_Owned]) -> list[_Owned]:
    """The numbers that stand beside the name of a dish, near servings of another."""
    words = hearing.speech.words
    beside: list[_Owned] = []
    for span in hearing.tied:
        first, end = (span.end, span.end + _NAMED_AHEAD) if span.tied.ahead else (span.start - 1, span.start)
        named = names.before(words, first, end)
        if named is not None and not any(_of_others(hearing, scope, span, _NAMED) for scope in hearing.over[span.start]):
            beside.append(_Owned(span, named.dish, _PART if named.part else _NAMED))
    others = [*found, *beside]
    return [
        owned
        for owned in beside
        if owned.span.tied.enough
        or any(other.dish != owned.dish and _near(other.span, owned.span) for other in others)
    ]


def _near(one: ServingsSpan, other: ServingsSpan) -> bool:
    return -_COMPANY <= one.start - other.start <= _COMPANY


def _of_others(hearing: Hearing, scope: Scope, span: ServingsSpan, how: int) -> bool:
    """Whether another dish or another day is told of; what is left for lunch, said after, takes nothing back, and no
    habit that an earlier clause told of the servings said with the name of a dish."""
    if scope.kind == "elsewhere":
        return scope.cue_end <= span.start
    clause = hearing.clauses.clause(span.start)[0]
    return scope.kind in {"habit", "interrupted"} and (how != _NAMED or clause <= scope.cue_start)
