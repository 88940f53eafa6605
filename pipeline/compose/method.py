"""The written method: imperative steps, each traceable to the words it was made from."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pipeline.compose.lines import LineDraft
from pipeline.hear.durations import TimeSpan
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.heat import HeatSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases, load_rows
from pipeline.hear.quantities import Quantity
from pipeline.hear.usage import ALTERNATIVE, ASIDE
from pipeline.record import Step
from pipeline.split.dishes import MAIN
from pipeline.split.outline import Outline

_UNTIL_WORDS = 9
_PRONOUN_REACH = 45
_LONGEST_NAME = 8
_NOT_DONE = frozenset({"elsewhere", "habit", "interrupted", "hypothetical", "negated", "comparison"})
_ACTIONS = frozenset({"add", "cut", "combine", "cook", "wash", "discard", "rest", "shape"})
_BARE = frozenset({"cook", "rest", "combine", "shape", "wash", "discard"})
_SUPPORT = frozenset({"move", "serve", "use"})
_MOVES = frozenset({"move", "serve", "make", "taste", "use"})


@dataclass(frozen=True, slots=True)
class _Action:
    place: int
    verb: str
    kind: str


class MethodWriter:
    """Compiled verbs and frames of cooking."""

    def __init__(self, classes: Classes) -> None:
        rows = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._verbs: Mapping[str, Row] = {row["form"]: row for row in rows}
        self._frames = load_phrases("usage_frames.csv", ("id", "kind", "pattern"), classes)
        self._chat = load_phrases("chat_cues.csv", ("id", "pattern"), classes)
        self._pronouns = frozenset(classes["object-pronoun"])
        self._until = frozenset({"until", "till", "til"})
        self._not_verb_after = frozenset(classes["not-verb-after"])

    def write(
        self, hearing: Hearing, outline: Outline, lines: Sequence[LineDraft], dish: int, components: Sequence[str]
    ) -> tuple[Step, ...]:
        """Steps of one dish in order of the recording."""
        named = {mention: line for line in lines if line.dish == dish for mention in line.mentions}
        told: set[int] = set()
        steps: list[Step] = []
        starts = hearing.clauses.sentence_starts
        ends = (*starts[1:], len(hearing.speech)) if starts else ()
        for start, end in zip(starts, ends, strict=True):
            topic = outline.topics[start]
            if topic.dish != dish:
                continue
            text = self._sentence(hearing, named, start, end, told)
            if text:
                evidence = hearing.speech.evidence(start, end, "method.sentence")
                component = (topic.part or outline.dishes[dish].head) if components else None
                steps.append(
                    Step(
                        n=len(steps) + 1,
                        component=component if component in components else None,
                        text=text,
                        start=evidence.start,
                        end=evidence.end,
                        evidence=(evidence,),
                    )
                )
        return tuple(steps)

    def _sentence(self, hearing: Hearing, named: Mapping[int, LineDraft], start: int, end: int, told: set[int]) -> str:
        if self._is_talk(hearing, start, end):
            return ""
        actions = self._actions(hearing, start, end)
        foods = [at for at in _between(hearing.foods, start, end) if self._wanted(hearing, at)]
        strong = [action for action in actions if action.kind in _ACTIONS]
        if not strong and not (foods and any(action.kind in _SUPPORT for action in actions)):
            return ""
        tail = self._tail(hearing, start, end)
        pieces: list[str] = []
        chosen = strong or actions
        for number, action in enumerate(chosen):
            until = chosen[number + 1].place if number + 1 < len(chosen) else end
            since = start if number == 0 else action.place
            objects = [at for at in foods if since <= hearing.foods[at].head < until and at in named]
            objects = objects or self._meant_by_pronoun(hearing, named, action)
            if objects or (action.kind in _BARE and (tail or pieces)):
                pieces.append(self._piece(hearing, named, action, objects, told))
        if not pieces:
            return ""
        text = ", then ".join(dict.fromkeys(pieces)) + tail
        return text[:1].upper() + text[1:] + "."

    def _meant_by_pronoun(self, hearing: Hearing, named: Mapping[int, LineDraft], action: _Action) -> list[int]:
        """`chop them up`: the food spoken of last."""
        following = hearing.speech.words[action.place + 1 : action.place + 4]
        if not self._pronouns.intersection(following):
            return []
        near = _between(hearing.foods, action.place - _PRONOUN_REACH, action.place)
        before = [at for at in near if at in named and hearing.foods[at].end < action.place]
        return [max(before)] if before else []

    def _wanted(self, hearing: Hearing, at: int) -> bool:
        return hearing.usages[at].status not in {ASIDE, ALTERNATIVE} and hearing.usages[at].why != "claim"

    def _is_talk(self, hearing: Hearing, start: int, end: int) -> bool:
        over = [scope for scope in hearing.over[start] if scope.start <= start and end <= scope.end]
        if any(scope.kind in {"elsewhere", "interrupted"} for scope in over):
            return True
        return any(self._chat.longest(hearing.speech.words, place) for place in range(start, end))

    def _actions(self, hearing: Hearing, start: int, end: int) -> list[_Action]:
        words = hearing.speech.words
        here = _between(hearing.foods, start - _LONGEST_NAME, end)
        named = {place for at in here for place in range(hearing.foods[at].head, hearing.foods[at].end)}
        actions: list[_Action] = []
        for place in range(start, end):
            row = self._verbs.get(words[place])
            if row is None or place in named or row["kind"] not in _ACTIONS | _MOVES:
                continue
            if _aside(hearing, place) or not self._is_done(hearing, start, place, row):
                continue
            actions.append(_Action(place, row["verb"], row["kind"]))
        if not actions:
            actions = [
                _Action(frame.start, "add", "add")
                for frame in (self._frames.longest(words, place) for place in range(start, end))
                if frame is not None and frame.payload["kind"] == "add" and frame.end <= end
            ][:1]
        return actions

    def _is_done(self, hearing: Hearing, start: int, place: int, row: Row) -> bool:
        """Whether the word can be a verb of doing: none after an article, `a nice brown`, nor after `it` or `which`."""
        if place == start or hearing.clauses.clause(place)[0] == place or hearing.speech.comma_after[place - 1]:
            return True
        return hearing.speech.words[place - 1] not in self._not_verb_after or row["form"].endswith("ing")

    def _piece(
        self, hearing: Hearing, named: Mapping[int, LineDraft], action: _Action, objects: Sequence[int], told: set[int]
    ) -> str:
        names: list[str] = []
        for at in objects:
            line = named.get(at)
            name = line.name if line else hearing.foods[at].name
            words = f"the {name}"
            if line is not None and id(line) not in told:
                told.add(id(line))
                said = [item for item in line.said if item.measured.food == at and not item.quantity.article]
                if said:
                    words = f"{amount_words(said[-1].quantity)} {name}"
            if words not in names:
                names.append(words)
        if not names:
            return action.verb
        listed = names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]
        return f"{action.verb} {listed}"

    def _tail(self, hearing: Hearing, start: int, end: int) -> str:
        tail = ""
        words = hearing.speech.words
        for heat in hearing.heats[_first(hearing.heats, start) : _first(hearing.heats, end)]:
            tail += f" at {hearing.speech.text(heat.start, heat.end)}"
        for time in hearing.times[_first(hearing.times, start) : _first(hearing.times, end)]:
            if time.kind == "planned":
                tail += f" for {hearing.speech.text(time.start, time.end)}"
        for place in range(start, end):
            if words[place] in self._until and place + 1 < end:
                stop = min(end, hearing.clauses.clause(place + 1)[1], place + _UNTIL_WORDS)
                tail += f" until {hearing.speech.text(place + 1, stop)}"
                break
        return tail


def _between(foods: Sequence[FoodSpan], start: int, end: int) -> range:
    """Indices of the foods whose own words begin from word `start` on and before word `end`."""
    first = bisect_left(foods, start, key=lambda food: food.head)
    return range(first, bisect_left(foods, end, key=lambda food: food.head))


def _first(spans: Sequence[TimeSpan | HeatSpan], word: int) -> int:
    return bisect_left(spans, word, key=lambda span: span.start)


def amount_words(quantity: Quantity) -> str:
    """An amount as an editor writes it before a food: `½`, `2 tablespoons of`, `a splash of`."""
    if quantity.low is None or quantity.high is None:
        return f"{quantity.words} of"
    figure = (
        _figure(quantity.low)
        if quantity.low == quantity.high
        else f"{_figure(quantity.low)} to {_figure(quantity.high)}"
    )
    if quantity.unit is None or quantity.unit == "each":
        return figure
    unit = quantity.unit.replace("_", " ")
    several = quantity.high > 1
    return f"{figure} {unit}{'es' if several and unit.endswith(('ch', 'sh')) else 's' if several else ''} of"


def _figure(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    part = f"{rest.numerator}/{rest.denominator}" if rest else ""
    return " ".join(text for text in (str(whole) if whole or not part else "", part) if text)


def _aside(hearing: Hearing, place: int) -> bool:
    return any(scope.kind in _NOT_DONE for scope in hearing.over[place])


__all__ = ["MAIN", "MethodWriter"]
