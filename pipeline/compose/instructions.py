"""Cuts a sentence of speech into what is to be done: the words from each verb on, and the words that set its end.

Nothing is worded here. An instruction is a stretch of words; `pipeline.compose.wording` writes it.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.compose.orders import NOT_DONE, Action, OrderReader, aside
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, Row, load_phrases, word_class
from pipeline.hear.usage import USED
from pipeline.phrases import Match, Phrases
from pipeline.split.remembered import Remembered

DO, UNTIL, WHEN, ADD, PUT = "do", "until", "when", "add", "put"
SETTING, LIST, SHOWN, SHORT = "setting", "list", "shown", "short"
_TURNING = NOT_DONE - {"negated"}
_LONGEST_NAME = 8
_LONGEST = 26
_LONGEST_CONDITION = 10
_HAVING = word_class("having")
_PARTICLES = word_class("verb-particle")
_SUBJECTS = word_class("instruction-subject")


@dataclass(frozen=True, slots=True)
class Instruction:
    """Words `start` to `end` (exclusive) as one piece of a step; `actions` are the verbs in it that give orders,
    `bare` tells that nothing but the verb was said, `written` is how an order without a verb is written."""

    kind: str
    start: int
    end: int
    actions: tuple[Action, ...] = ()
    bare: bool = False
    written: str = ""


class InstructionCutter:
    """Compiled verbs and frames of cooking."""

    def __init__(self, classes: Classes) -> None:
        self._orders = OrderReader(classes)
        self._frames = _begun(load_phrases("usage_frames.csv", ("id", "kind", "pattern"), classes))
        self._shorts = _begun(load_phrases("short_orders.csv", ("id", "pattern", "written"), classes))
        self._places = _begun(load_phrases("places.csv", ("id", "pattern", "time_label"), classes))
        self._leads = {name: frozenset(classes[name]) for name in ("taking-object", "object-pronoun")}
        self._placing = frozenset(classes["placing-verb"])
        self._taking = frozenset(classes["taking-verb"])
        self._until = frozenset(classes["until-word"])
        self._when = frozenset(classes["when-word"])
        self._conditions = self._until | self._when | frozenset(classes["if-word"])
        self._supposing = frozenset(classes["supposing-word"])
        self._if = frozenset(classes["if-word"])
        self._joins = frozenset(classes["instruction-joining"])
        self._stop = frozenset(classes["instruction-stop"])
        self._finite = frozenset(classes["finite-verb"])
        self._hanging = frozenset(classes["instruction-not-last"])
        self._determiners = frozenset(classes["determiner"])
        self._prepositions = frozenset(classes["preposition"])
        self._not_short = self._determiners | self._prepositions | self._placing
        self._acted_on = frozenset(classes["acted-on"])
        self._empty = self._prepositions | self._acted_on | frozenset(classes["empty-word"])
        self._not_now = frozenset(classes["not-a-condition"])
        self._definite = frozenset(classes["the-or-our"])
        self._object_leads = self._prepositions | self._determiners | frozenset(classes["object-lead"])
        self._states = frozenset(classes["state-word"]) | frozenset(classes["done-state"])

    @property
    def cooking(self) -> frozenset[str]:
        """The forms of verbs of cooking, which do more than move or take."""
        return self._orders.cooking

    def cut(self, hearing: Hearing, start: int, end: int) -> tuple[Instruction, ...]:
        """The instructions in words `start` to `end`, a sentence, in order."""
        taken = _taken(hearing, start, end)
        found: list[Instruction] = []
        supposed = False
        shorts = self._short_orders(hearing, start, end)
        for first, last in self._clauses(hearing, taken, shorts, start, end):
            if first in shorts:
                found.append(shorts[first])
            elif not supposed:
                found.extend(self._of_clause(hearing, taken, start, first, last))
            supposed = hearing.speech.words[first] in self._supposing
        return tuple(found)

    def _short_orders(self, hearing: Hearing, start: int, end: int) -> dict[int, Instruction]:
        """By their first word orders without a verb, `lid on`; not `with the lid on`."""
        words = hearing.speech.words
        shorts = self._shorts(hearing)
        found: dict[int, Instruction] = {}
        for place in range(start, end):
            match = shorts.get(place)
            if match is None or match.end > end or aside(hearing, place):
                continue
            lead = words[place - 1] if place > start else ""
            if lead not in self._not_short:
                found[place] = Instruction(SHORT, place, match.end, written=match.payload["written"])
        return found

    def _clauses(
        self, hearing: Hearing, taken: frozenset[int], shorts: Mapping[int, Instruction], start: int, end: int
    ) -> list[tuple[int, int]]:
        """Clauses, less the cuts inside an amount, between a verb and its pronoun and after `until` and `when`."""
        words = hearing.speech.words
        starts = [start]
        cuts = hearing.clauses.starts
        for place in cuts[bisect_right(cuts, start) : bisect_left(cuts, end)]:
            if place in taken and place - 1 in taken:
                continue
            before = words[place - 1]
            conditional = before in self._conditions
            verb = before in self._orders.verbs or before in self._leads["taking-object"]
            says_more = place + 1 < end and words[place + 1] in self._finite
            pronoun = words[place] in self._leads["object-pronoun"] and not says_more
            if conditional or (verb and (pronoun or place in taken)):
                continue
            starts.append(place)
        edges = {*shorts, *(short.end for short in shorts.values())}
        inside = {place for short in shorts.values() for place in range(short.start + 1, short.end)}
        return list(pairwise(sorted({*starts, *edges, end} - inside)))

    def _of_clause(
        self, hearing: Hearing, taken: frozenset[int], sentence: int, start: int, end: int
    ) -> list[Instruction]:
        words = hearing.speech.words
        if words[start] in self._if:
            return []
        conditional = words[start] in self._until or words[start] in self._when
        turn = self._turn(hearing, start, end) if conditional else end
        if turn < end:
            parts = ((start, turn), (turn, end))
            return [piece for part in parts for piece in self._of_clause(hearing, taken, sentence, *part)]
        timed = any(time.kind == "planned" for time in hearing.times.within(start, end))
        actions = self._orders.actions(hearing, taken, sentence, start, end, timed=timed)
        if conditional:
            orders = next((number for number, action in enumerate(actions) if words[action.place] == action.verb), None)
            if orders is None or words[start] in self._until:
                return self._condition(hearing, start, end)
            lead = self._condition(hearing, start, actions[orders].place)
            return [*lead, *self._orders_of(hearing, actions[orders:], end)]
        if actions:
            listed = hearing.quantities.within(start, actions[0].place)
            before = [Instruction(LIST, start, actions[0].place)] if listed else []
            return [*before, *self._orders_of(hearing, actions, end)]
        places = self._places(hearing)
        into = next((place for place in range(start, end) if place in places), None)
        if into is not None and not aside(hearing, into):
            return [Instruction(PUT, into, self._end(hearing, into, end))]
        frames = self._frames_in(hearing, start, end)
        if "add" in frames:
            return [Instruction(ADD, start, end)]
        if timed:
            return [Instruction(SETTING, start, end)]
        if any(_goes_in(hearing, at) for at in hearing.foods_in(start, end)):
            return [Instruction(ADD, start, end)]
        return [Instruction(SHOWN if "shown" in frames else LIST, start, end)]

    def _condition(self, hearing: Hearing, start: int, end: int) -> list[Instruction]:
        words = hearing.speech.words
        limit = min(end, start + _LONGEST_CONDITION)
        stop = next((place for place in range(start + 1, limit) if words[place] in self._stop - {"no"}), limit)
        if self._not_now.intersection(words[start:stop]) or self._claims(hearing, start, stop):
            return []
        while stop > start + 1 and words[stop - 1] in self._hanging:
            stop -= 1
        kind = UNTIL if words[start] in self._until else WHEN
        return [Instruction(kind, start, stop)] if stop - start > 1 else []

    def _turn(self, hearing: Hearing, start: int, end: int) -> int:
        """Where after `when` or `until` another statement begins: `when that's melted | a cup of flour`, `when it's
        hot | the curry goes in`; the end where none does."""
        words = hearing.speech.words
        verb = end
        for place in range(start + 2, min(end, start + _LONGEST_CONDITION)):
            opens = words[place] in self._definite or bool(hearing.quantities.within(place, place + 1))
            if place > verb + 1 and opens and words[place - 1] not in self._object_leads:
                return place
            if words[place] in self._states:
                verb = min(verb, place - 1)
            elif words[place] in self._finite or words[place].endswith(("'s", "'re")):
                verb = min(verb, place)
            if words[start + 1].endswith(("'s", "'re")):
                verb = min(verb, start + 1)
        return end

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
            bare = self._empty.issuperset(words[head.place + 1 : stop])
            bare = bare and (
                head.verb in self._placing or not self._acted_on.intersection(words[head.place + 1 : stop])
            )
            taken = head.verb in self._taking and not hearing.heats.within(head.place, stop)
            kind = SHOWN if taken and not self._gets_done(hearing, head, stop) else DO
            found.append(Instruction(kind, head.place, stop, kept, bare))
        return found

    def _gets_done(self, hearing: Hearing, head: Action, end: int) -> bool:
        """`get everything combined`, `get the onions chopped up`."""
        words = hearing.speech.words
        last = end - 1 if words[end - 1] not in _PARTICLES else end - 2
        row = self._orders.verbs.get(words[last])
        done = row is not None and row["form"] != row["verb"] and not row["form"].endswith(("ing", "s"))
        return head.verb == "get" and last > head.place + 1 and done and words[last] in self._orders.cooking

    def _frames_in(self, hearing: Hearing, start: int, end: int) -> set[str]:
        """The kinds of the frames in words `start` to `end`."""
        frames = self._frames(hearing)
        here = (frames[place] for place in range(start, end) if place in frames)
        return {frame.payload["kind"] for frame in here if frame.end <= end and not aside(hearing, frame.start)}

    def _end(self, hearing: Hearing, start: int, end: int) -> int:
        """Where what began at `start` ends: before chat, before a new statement, at most so many words on."""
        words = hearing.speech.words
        stop = min(end, start + _LONGEST)
        for place in range(start + 1, stop):
            if words[place] in self._stop or self._turns_aside(hearing, place) or self._warns(words, place):
                stop = place
                break
            if place > start + 1 and (words[place] in self._finite or self._has(hearing, place)):
                stop = self._subject_start(hearing, start, place)
                while stop > start + 1 and words[stop - 1] in self._prepositions:
                    stop -= 1
                break
        while stop > start + 1 and words[stop - 1] in self._hanging:
            stop -= 1
        return stop

    @staticmethod
    def _claims(hearing: Hearing, start: int, end: int) -> bool:
        """Whether a remark on a nutrient stands in the words."""
        first = bisect_left(hearing.claims, start, key=lambda claim: claim.start)
        return any(claim.start < end for claim in hearing.claims[first : first + 1])

    @staticmethod
    def _turns_aside(hearing: Hearing, place: int) -> bool:
        over = hearing.over[place]
        return bool(over) and any(scope.kind in _TURNING for scope in over)

    @staticmethod
    def _warns(words: Sequence[str], place: int) -> bool:
        """`or it'll stick`."""
        if words[place] != "or":
            return False
        following = words[place + 1] if place + 1 < len(words) else ""
        return following.endswith("'ll") or following in _SUBJECTS

    @staticmethod
    def _has(hearing: Hearing, place: int) -> bool:
        """`lentils have` after what is done with them."""
        having = hearing.speech.words[place] in _HAVING
        return having and any(hearing.foods[at].end == place for at in hearing.foods_in(place - 3, place))

    def _subject_start(self, hearing: Hearing, start: int, verb: int) -> int:
        """Back from `is` to the food or the noun it speaks of."""
        words = hearing.speech.words
        near = (hearing.foods[at] for at in hearing.foods_in(verb - _LONGEST_NAME, verb))
        subject = next((food.start for food in near if food.end == verb), verb - 1)
        for place in range(subject, max(start, subject - 3), -1):
            if words[place] in self._determiners:
                return place
        return max(start + 1, subject)


def _goes_in(hearing: Hearing, at: int) -> bool:
    """`and then the sesame`, `garlic in`: a food that goes in with no verb."""
    rule, end = hearing.usages[at].rule, hearing.foods[at].end
    if rule == "usage.topic":
        return hearing.speech.words[end : end + 1] == ("in",)
    return rule == "usage.named-alone" or (rule == "usage.list" and hearing.usages[at].status == USED)


def _begun(phrases: Phrases[Row]) -> Remembered[Mapping[int, Match[Row]]]:
    """The phrases of a hearing by their first words."""
    return Remembered(lambda hearing: phrases.by_start(hearing.speech.words, hearing.speech.places))


def _taken(hearing: Hearing, start: int, end: int) -> frozenset[int]:
    """Words of amounts, foods, times and temperatures: no verbs."""
    since = start - _LONGEST_NAME
    spans = [(quantity.start, quantity.end) for quantity in hearing.quantities.within(since, end)]
    spans += [(time.start, time.end) for time in hearing.times.within(since, end)]
    spans += [(heat.start, heat.end) for heat in hearing.heats.within(since, end)]
    words = {place for first, last in spans for place in range(first, last)}
    here = hearing.foods_in(since, end)
    return frozenset(words | {at for food in here for at in range(hearing.foods[food].head, hearing.foods[food].end)})
