"""Cuts a sentence of speech into what is to be done: the words from each verb on, and the words that set its end.

Nothing is worded here. An instruction is a stretch of words; `pipeline.compose.wording` writes it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeVar

from pipeline.hear.durations import TimeSpan
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.heat import HeatSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases, load_rows
from pipeline.hear.quantities import Quantity

DO, UNTIL, WHEN, ADD, PUT, SETTING, LIST = "do", "until", "when", "add", "put", "setting", "list"
NOT_DONE = frozenset({"elsewhere", "habit", "interrupted", "hypothetical", "negated", "comparison"})
_Spoken = TypeVar("_Spoken", Quantity, TimeSpan, HeatSpan)
_LONGEST_NAME = 8
_KIND = frozenset({"kind", "sort"})
_LONGEST = 26
_LONGEST_CONDITION = 10


@dataclass(frozen=True, slots=True)
class Action:
    """The word `place` is a verb of doing, `verb` its base form, `kind` that of `models/verbs.csv`;
    `cooks` is false where it only moves or takes."""

    place: int
    verb: str
    kind: str
    cooks: bool


@dataclass(frozen=True, slots=True)
class Instruction:
    """Words `start` to `end` (exclusive) as one piece of a step; `actions` are the verbs in it that give orders,
    `bare` tells that nothing but the verb was said."""

    kind: str
    start: int
    end: int
    actions: tuple[Action, ...] = ()
    bare: bool = False


class InstructionCutter:
    """Compiled verbs and frames of cooking."""

    def __init__(self, classes: Classes) -> None:
        rows = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._verbs: Mapping[str, Row] = {row["form"]: row for row in rows}
        self._frames = load_phrases("usage_frames.csv", ("id", "kind", "pattern"), classes)
        self._heated = load_phrases("heated_places.csv", ("id", "pattern"), classes)
        self._not_verb_after = frozenset(classes["not-verb-after"])
        self._leads = {
            name: frozenset(classes[name])
            for name in ("infinitive-lead", "be-lead", "past-lead", "third-person", "taking-object", "object-pronoun")
        }
        self._handling = frozenset(classes["handling-kind"])
        self._not_orders = frozenset(classes["no-order-kind"])
        self._until = frozenset(classes["until-word"])
        self._when = frozenset(classes["when-word"])
        self._if = frozenset(classes["if-word"])
        self._joins = frozenset({"and", "then", "or", "to"})
        self._stop = frozenset(classes["instruction-stop"])
        self._finite = frozenset(classes["finite-verb"])
        self._fillers = frozenset(classes["verb-filler"])
        self._hanging = frozenset(classes["instruction-not-last"])
        self._determiners = frozenset(classes["determiner"])
        self._prepositions = frozenset(classes["preposition"])
        self._not_now = frozenset(classes["not-a-condition"])

    def cut(self, hearing: Hearing, start: int, end: int) -> tuple[Instruction, ...]:
        """The instructions in words `start` to `end`, a sentence, in order."""
        taken = _taken(hearing, start, end)
        found: list[Instruction] = []
        for first, last in self._clauses(hearing, taken, start, end):
            found.extend(self._of_clause(hearing, taken, first, last))
        return tuple(found)

    def _clauses(self, hearing: Hearing, taken: frozenset[int], start: int, end: int) -> list[tuple[int, int]]:
        """Clauses, less the cuts inside an amount, between a verb and its pronoun and after `until` and `when`."""
        words = hearing.speech.words
        starts = [start]
        for place in hearing.clauses.starts:
            if not start < place < end or {place - 1, place} <= taken:
                continue
            before = words[place - 1]
            conditional = before in self._until | self._when
            verb = before in self._verbs or before in self._leads["taking-object"]
            says_more = place + 1 < end and words[place + 1] in self._finite
            pronoun = words[place] in self._leads["object-pronoun"] and not says_more
            if conditional or (verb and (pronoun or place in taken)):
                continue
            starts.append(place)
        return list(pairwise([*starts, end]))

    def _of_clause(self, hearing: Hearing, taken: frozenset[int], start: int, end: int) -> list[Instruction]:
        words = hearing.speech.words
        if words[start] in self._if:
            return []
        actions = self._actions(hearing, taken, start, end)
        if words[start] in self._until | self._when:
            orders = next((number for number, action in enumerate(actions) if words[action.place] == action.verb), None)
            if orders is None or words[start] in self._until:
                return self._condition(hearing, start, end)
            lead = self._condition(hearing, start, actions[orders].place)
            return [*lead, *self._orders_of(hearing, actions[orders:], end)]
        if actions:
            return self._orders_of(hearing, actions, end)
        into = next((place for place in range(start, end) if self._heated.longest(words, place)), None)
        if into is not None and not aside(hearing, into):
            return [Instruction(PUT, into, self._end(hearing, into, end))]
        if any(self._adds(hearing, place, end) for place in range(start, end)):
            return [Instruction(ADD, start, end)]
        if any(time.kind == "planned" for time in within(hearing.times, start, end)):
            return [Instruction(SETTING, start, end)]
        return [Instruction(LIST, start, end)]

    def _condition(self, hearing: Hearing, start: int, end: int) -> list[Instruction]:
        words = hearing.speech.words
        limit = min(end, start + _LONGEST_CONDITION)
        stop = next((place for place in range(start + 1, limit) if words[place] in self._stop - {"no"}), limit)
        if self._not_now.intersection(words[start:stop]):
            return []
        while stop > start + 1 and words[stop - 1] in self._hanging:
            stop -= 1
        kind = UNTIL if words[start] in self._until else WHEN
        return [Instruction(kind, start, stop)] if stop - start > 1 else []

    def _orders_of(self, hearing: Hearing, actions: Sequence[Action], end: int) -> list[Instruction]:
        """One instruction for each verb, but verbs joined by `and` or `to` stay together."""
        words = hearing.speech.words
        places = {action.place for action in actions}
        actions = [
            action
            for action in actions
            if words[action.place + 1 : action.place + 2] != ("to",) or action.place + 2 not in places
        ]
        heads = [
            action
            for number, action in enumerate(actions)
            if number == 0
            or (
                actions[number - 1].verb != "let"
                and words[action.place - 1] not in self._joins
                and words[action.place] == action.verb
            )
        ]
        found: list[Instruction] = []
        for head, following in zip(heads, [*(action.place for action in heads[1:]), end], strict=True):
            stop = self._end(hearing, head.place, following)
            kept = tuple(action for action in actions if head.place <= action.place < stop)
            bare = self._prepositions.issuperset(words[head.place + 1 : stop])
            found.append(Instruction(DO, head.place, stop, kept, bare))
        return found

    def _adds(self, hearing: Hearing, place: int, end: int) -> bool:
        frame = self._frames.longest(hearing.speech.words, place)
        return frame is not None and frame.payload["kind"] == "add" and frame.end <= end and not aside(hearing, place)

    def _actions(self, hearing: Hearing, taken: frozenset[int], start: int, end: int) -> list[Action]:
        actions: list[Action] = []
        for place in range(start, end):
            row = self._verbs.get(hearing.speech.words[place])
            if row is None or place in taken or row["kind"] in self._not_orders or aside(hearing, place):
                continue
            if self._orders(hearing, start, place, row):
                actions.append(Action(place, row["verb"], row["kind"], row["kind"] not in self._handling))
        return actions

    def _orders(self, hearing: Hearing, start: int, place: int, row: Row) -> bool:
        """Whether a form of a verb tells what is done: not `a nice brown`, `onions chopped fine`, `it bubbles`."""
        if place == start or hearing.speech.comma_after[place - 1]:
            return row["form"] == row["verb"] or not row["form"].endswith("s")
        at = self._past_fillers(hearing.speech.words, place)
        before = hearing.speech.words[at - 1] if at else ""
        if before in {"to", "be"}:
            return hearing.speech.words[at - 2] in self._leads["infinitive-lead" if before == "to" else "be-lead"]
        if row["form"] != row["verb"] and row["form"].endswith("ed"):
            return before in self._leads["past-lead"]
        if row["form"] == row["verb"] + "s":
            return before in self._leads["third-person"]
        return before not in self._not_verb_after

    def _past_fillers(self, words: Sequence[str], place: int) -> int:
        """Back over `just`, `kind of`."""
        while place and (words[place - 1] in self._fillers or (words[place - 1] == "of" and words[place - 2] in _KIND)):
            place -= 2 if words[place - 1] == "of" else 1
        return place

    def _end(self, hearing: Hearing, start: int, end: int) -> int:
        """Where what began at `start` ends: before chat, before a new statement, at most so many words on."""
        words = hearing.speech.words
        stop = min(end, start + _LONGEST)
        for place in range(start + 1, stop):
            if words[place] in self._stop or self._turns_aside(hearing, place):
                stop = place
                break
            if words[place] in self._finite:
                stop = self._subject_start(hearing, start, place)
                while stop > start + 1 and words[stop - 1] in self._prepositions:
                    stop -= 1
                break
        while stop > start + 1 and words[stop - 1] in self._hanging:
            stop -= 1
        return stop

    @staticmethod
    def _turns_aside(hearing: Hearing, place: int) -> bool:
        return any(scope.kind in NOT_DONE - {"negated"} for scope in hearing.over[place])

    def _subject_start(self, hearing: Hearing, start: int, verb: int) -> int:
        """Back from `is` to the food or the noun it speaks of."""
        words = hearing.speech.words
        near = (hearing.foods[at] for at in between(hearing.foods, verb - _LONGEST_NAME, verb))
        subject = next((food.start for food in near if food.end == verb), verb - 1)
        for place in range(subject, max(start, subject - 3), -1):
            if words[place] in self._determiners:
                return place
        return max(start + 1, subject)


def aside(hearing: Hearing, place: int) -> bool:
    """Whether a word stands in talk of what is not done here."""
    return any(scope.kind in NOT_DONE for scope in hearing.over[place])


def between(foods: Sequence[FoodSpan], start: int, end: int) -> range:
    """Indices of the foods whose own words begin from word `start` on and before word `end`."""
    first = bisect_left(foods, start, key=lambda food: food.head)
    return range(first, bisect_left(foods, end, key=lambda food: food.head))


def within(spans: Sequence[_Spoken], start: int, end: int) -> Sequence[_Spoken]:
    """The spans that begin from word `start` on and before word `end`."""
    first = bisect_left(spans, start, key=lambda span: span.start)
    return spans[first : bisect_left(spans, end, key=lambda span: span.start)]


def _taken(hearing: Hearing, start: int, end: int) -> frozenset[int]:
    """Words of amounts, foods, times and temperatures: no verbs."""
    since = start - _LONGEST_NAME
    spans = [(quantity.start, quantity.end) for quantity in within(hearing.quantities, since, end)]
    spans += [(time.start, time.end) for time in within(hearing.times, since, end)]
    spans += [(heat.start, heat.end) for heat in within(hearing.heats, since, end)]
    words = {place for first, last in spans for place in range(first, last)}
    here = between(hearing.foods, since, end)
    return frozenset(words | {at for food in here for at in range(hearing.foods[food].head, hearing.foods[food].end)})
