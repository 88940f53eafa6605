"""Whose servings were said: the dish named beside them, else the one that is spoken of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from pipeline.compose.whose import Settings
from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_dish_words, load_rows, word_class
from pipeline.hear.portions import ALONE
from pipeline.hear.scopes import Scope
from pipeline.hear.servings import ServingsSpan
from pipeline.hear.tied import BARE, OPEN
from pipeline.record import Servings
from pipeline.split.dishes import Topic, first_amount, stem
from pipeline.split.outline import Outline
from pipeline.split.ways import DishWays

_NAMED_BACK = 24
_SAID_ANEW = 12
_PORTIONS_OF = 4
_NAMED_AHEAD = 3
_COMPANY = 20
_ALL_BACK = 7
_COURSE_BACK, _COURSE_ON = 5, 5
_SWEET_WAYS = word_class("pudding-way")
_PART, _UNNAMED, _NAMED = range(3)


@dataclass(frozen=True, slots=True)
class _Owned:
    """A statement, the index of its dish, and how well it is known to be of that dish."""

    span: ServingsSpan
    dish: int
    how: int

    @property
    def worth(self) -> tuple[bool, int, int, int]:
        """What is said of people, or of the bowls that a dish named makes, is worth more than what is reckoned; then by
        the name, then what was said last."""
        said = not self.span.reckoned or (self.span.plates and self.how == _NAMED)
        return said, self.how, self.span.strength, self.span.start

    @property
    def number(self) -> tuple[Fraction, Fraction]:
        """The fewest and the most."""
        return self.span.low, self.span.high


class ServingsOwners:
    """Compiled words that tell whose servings are."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self.ways = DishWays(table)
        self.baked = frozenset(classes["baked-dish"])
        self.all = frozenset(classes["servings-all"])
        self.leading = frozenset(classes["servings-from"])
        self.pointing = frozenset(classes["subject-lead"])
        self.starting = frozenset(classes["subject-start"])
        self.no_subject = frozenset(classes["subject-not"])
        self.sweet = frozenset(classes["course-sweet"])
        self.main = frozenset(classes["course-main"])
        numbers = {row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind"))}
        self.no_piece = self.no_subject | numbers
        self.apiece = frozenset(classes["apiece"])
        self.pot = frozenset(classes["servings-pot"])
        self.dishes = frozenset(row["words"] for row in load_dish_words())

    def servings(self, hearing: Hearing, outline: Outline, settings: Settings, dish: int) -> Servings | None:
        """The servings of one dish, by what is worth most."""
        best = _Talk(self, hearing, outline, settings).best().get(dish)
        if best is None:
            return None
        span = best.span
        return Servings(
            low=float(span.low),
            best=float((span.low + span.high) / 2),
            high=float(span.high),
            basis="inferred" if span.reckoned else "said",
            evidence=(hearing.speech.evidence(span.start, span.end, span.rule),),
        )


class _Talk:
    """What one episode says of servings."""

    def __init__(self, owners: ServingsOwners, hearing: Hearing, outline: Outline, settings: Settings) -> None:
        self._owners = owners
        self._hearing = hearing
        self._words = hearing.speech.words
        self._outline = outline
        self._names = settings.names
        self._begun = first_amount(hearing) or 0
        dishes = range(len(outline.dishes))
        self._cut = [at for at in dishes if owners.baked & (outline.dishes[at].keywords | {outline.dishes[at].head})]
        self._pots = [at for at in dishes if at not in self._cut]
        sweet = [at for at in dishes if at not in settings.meaty and self._is_sweet(at)]
        self._sweet = sweet or [at for at in dishes if at not in settings.meaty]
        self._main = [at for at in dishes if at not in self._sweet]

    def _is_sweet(self, at: int) -> bool:
        ways = self._owners.ways.of(self._outline.dishes[at], Topic(at))
        return bool(ways) and max(ways, key=lambda way: ways[way]) in _SWEET_WAYS

    def best(self) -> dict[int, _Owned]:
        """By its dish the statement that is worth most; one dish left without has what was said of another besides."""
        owned = self._owned()
        best = _best(owned)
        left = [at for at in range(len(self._outline.dishes)) if at not in best]
        return {**best, **self._shared(owned, best, left[0])} if len(left) == 1 else best

    def _shared(self, owned: Sequence[_Owned], best: Mapping[int, _Owned], left: int) -> dict[int, _Owned]:
        """What may be said of the dish `left` of all that is held to be of another: a number that nobody names it with.
        Of two such numbers the first is of the dish told first."""
        named = {one.number for one in owned if one.how == _NAMED}
        others = [one for one in owned if one.how == _UNNAMED and one.number not in named and not one.span.company]
        found: dict[int, _Owned] = {}
        for dish, held in best.items():
            mine = [one for one in others if one.dish == dish]
            whole = [one for one in mine if not one.span.in_pieces]
            pieces = [one for one in mine if one.span.in_pieces and whole and one.span.start > whole[-1].span.start]
            if (
                held.how == _UNNAMED
                and dish in self._cut
                and {one.number for one in pieces} - {one.number for one in whole}
            ):
                found |= _best(pieces) | _best([replace(one, dish=left) for one in whole])
                continue
            mine = [one for one in mine if not one.span.in_pieces or left in self._cut]
            if held.how != _UNNAMED:
                found |= _best([replace(one, dish=left) for one in mine])
            elif len({one.number for one in mine}) > 1:
                first, last = (left, dish) if left < dish else (dish, left)
                early = [one for one in mine if one.number == mine[0].number]
                late = [one for one in mine if one.number != mine[0].number]
                found |= _best([replace(one, dish=first) for one in early] + [replace(one, dish=last) for one in late])
        return found

    def _owned(self) -> list[_Owned]:
        """Every statement with its dish; a number of people is none of pieces as well."""
        found: list[_Owned] = []
        said = {place for span in self._hearing.servings if not span.in_pieces for place in range(span.start, span.end)}
        for span in self._hearing.servings:
            if span.in_pieces and span.start in said:
                continue
            owner, how = self._owner(span, found[-1] if found else None)
            if self._is_told(span, how):
                owner, how = self._by_sense(span, owner, how)
                found += [_Owned(span, owner, how)] * (span.rule != ALONE or owner in self._cut)
        return [*found, *self._tied(found), *self._of_all(found)]

    def _owner(self, span: ServingsSpan, before: _Owned | None) -> tuple[int, int]:
        """The dish that is named after `of` or `from`, else that whose name, or a component's, stands nearest before.
        What follows at once is of the same dish, and else no name is used for two statements."""
        local = self._outline.local[span.start]
        ahead = self._ahead(span.end)
        end = min(ahead + _NAMED_AHEAD, self._hearing.clauses.sentence(span.end - 1)[1])
        named = self._names.after(self._words, ahead, end)
        if named is not None:
            return named.dish, _PART if named.part else _NAMED
        if any(ahead < food.head <= end for food in self._hearing.foods):
            return local, _UNNAMED
        done = before.span.end if before is not None else 0
        first = max(done, span.start - _NAMED_BACK)
        place = self._names.last(self._words, first, span.end)
        named = self._names.before(self._words, first, span.end)
        if named is not None and place is not None:
            beside = self._hearing.clauses.sentence(place)[0] == self._hearing.clauses.sentence(span.start)[0]
            owner, how = named.dish, _PART if named.part else _NAMED if beside else _UNNAMED
        elif (echoed := self._echoed(first, span.end)) is not None:
            return echoed, _UNNAMED
        elif before is not None and span.start - done <= (_SAID_ANEW if before.span.low != span.low else _NAMED_BACK):
            owner, how = before.dish, before.how
        else:
            return local, _UNNAMED
        if self._has_subject(first if place is None else place + 1, span.start):
            return (owner, _PART) if owner == local else (local, _UNNAMED)
        return owner, how

    def _echoed(self, first: int, end: int) -> int | None:
        """The one dish in whose talk the pieces were spoken of before: the spears of `two spears each`."""
        words = self._words
        apiece = next((at for at in range(end - 1, first + 1, -1) if words[at] in self._owners.apiece), None)
        if apiece is None or words[apiece - 1] in self._owners.no_piece:
            return None
        topics = self._outline.topics
        dishes = {topics[at].dish for at in range(self._begun, first) if words[at] == words[apiece - 1]}
        return dishes.pop() if len(dishes) == 1 else None

    def _ahead(self, place: int) -> int:
        """The word after `of` or `from` where one follows; past all words where none does."""
        near = range(place, min(place + _PORTIONS_OF, self._hearing.clauses.sentence(place - 1)[1]))
        return next((at + 1 for at in near if self._words[at] in self._owners.leading), len(self._words))

    def _has_subject(self, first: int, end: int) -> bool:
        """Whether another food or dish is spoken of before word `end`: `and the sprouts are enough for six`."""
        words, owners = self._words, self._owners
        heads = {self._hearing.heads[food] for food in self._hearing.foods_in(first, end)}
        pointed = (place for place in range(first, end - 1) if words[place] in owners.pointing)
        return any(
            words[place + 1] in owners.dishes
            or place + 1 in heads
            or (words[place - 1] in owners.starting and words[place + 1] not in owners.no_subject)
            for place in pointed
        )

    def _by_sense(self, span: ServingsSpan, owner: int, how: int) -> tuple[int, int]:
        """Slices are of what is cut, bowls in a pot of what is not, and a pudding is sweet."""
        if how == _NAMED:
            return owner, how
        end = min(span.end + _COURSE_ON, self._hearing.clauses.sentence(span.start)[1])
        nearby = self._words[max(0, span.start - _COURSE_BACK) : end]
        kinds = (
            (self._sweet, not self._owners.sweet.isdisjoint(nearby)),
            (self._main, not self._owners.main.isdisjoint(nearby)),
            (self._pots, not self._owners.pot.isdisjoint(nearby)),
            (self._cut, span.in_pieces and how == _UNNAMED),
        )
        return next(((dishes[0], _UNNAMED) for dishes, meant in kinds if meant and len(dishes) == 1), (owner, how))

    def _tied(self, found: Sequence[_Owned]) -> list[_Owned]:
        """The numbers that stand beside the name of a dish, near servings of another."""
        beside: list[_Owned] = []
        for span in self._hearing.tied:
            ahead = min(span.end + span.ahead, self._hearing.clauses.sentence(span.end - 1)[1])
            first, end = (span.end, ahead) if span.ahead else (span.start - 1, span.start)
            named = self._names.after(self._words, first, end)
            if named is not None and self._is_told(span, _NAMED) and self._is_beside(span, named.dish):
                beside.append(_Owned(span, named.dish, _PART if named.part else _NAMED))
        others = [*found, *beside]
        return [
            one
            for one in beside
            if not one.span.reckoned or any(two.dish != one.dish and _near(one.span, two.span) for two in others)
        ]

    def _is_beside(self, span: ServingsSpan, dish: int) -> bool:
        """Of `sixteen bars` the dish's noun; after `the toad for four` another dish, where the words do not end."""
        if span.rule == BARE:
            return stem(self._words[span.end]) == self._outline.dishes[dish].head
        following = self._names.after(self._words, span.end, span.end + _NAMED_AHEAD)
        goes_on = any(0 < span.start - other.end <= _NAMED_AHEAD for other in self._hearing.tied)
        return span.rule != OPEN or goes_on or (following is not None and following.dish != dish)

    def _of_all(self, found: Sequence[_Owned]) -> list[_Owned]:
        """`both of them feed four`: said of every dish."""
        said = [
            owned.span
            for owned in found
            if not self._owners.all.isdisjoint(self._words[max(0, owned.span.start - _ALL_BACK) : owned.span.start])
        ]
        return [_Owned(span, dish, _UNNAMED) for span in said for dish in range(len(self._outline.dishes))]

    def _is_told(self, span: ServingsSpan, how: int) -> bool:
        """Whether servings are said of today's dishes; plates before any food is added are what is on the menu."""
        if span.plates and span.start < self._begun:
            return False
        return not any(self._is_of_others(scope, span, how) for scope in self._hearing.over[span.start])

    def _is_of_others(self, scope: Scope, span: ServingsSpan, how: int) -> bool:
        """Whether another dish or another day is told of; what is left for lunch, said after, takes nothing back, and
        no habit that an earlier clause told of the servings said with the name of a dish, nor one before that name."""
        if scope.kind == "elsewhere":
            return scope.cue_end <= span.start
        if scope.kind not in {"habit", "interrupted"}:
            return False
        clause = self._hearing.clauses.clause(span.start)[0]
        renamed = self._names.last(self._words, scope.cue_end, span.start) is not None
        return how != _NAMED or (clause <= scope.cue_start and not renamed)


def _best(owned: Sequence[_Owned]) -> dict[int, _Owned]:
    return {one.dish: one for one in sorted(owned, key=lambda one: one.worth)}


def _near(one: ServingsSpan, other: ServingsSpan) -> bool:
    return -_COMPANY <= one.start - other.start <= _COMPANY
