"""Decides for each food spoken of whether it goes into the dish, stands in for another, or is only talked about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipeline.hear.attach import Measured
from pipeline.hear.claims import ClaimSpan
from pipeline.hear.clauses import Clauses
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.hear.scopes import Scope
from pipeline.hear.speech import Speech

USED, SHOWN, SPOKEN, ASIDE, ALTERNATIVE = "used", "shown", "spoken", "aside", "alternative"
_WHY_ORDER = ("alternative", "negated", "elsewhere", "habit", "comparison", "hypothetical", "interrupted")
_BACK_VERB = 14
_ON_VERB = 8


@dataclass(frozen=True, slots=True)
class Usage:
    """What becomes of one food of the speech: `status` is used, shown (on the table), spoken (nothing says that it is
    used), aside (kept out, `why` tells the kind of scope) or alternative. `rule` names what decided."""

    status: str
    why: str
    rule: str


class UsageJudge:
    """Compiled verbs and frames."""

    def __init__(self, classes: Classes) -> None:
        self._verbs: Mapping[str, str] = {
            row["form"]: row["kind"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        }
        self._frames = load_phrases("usage_frames.csv", ("id", "kind", "pattern"), classes)
        self._joins = frozenset(classes["joining"]) | {"then", "some", "the", "a", "an", "little", "my", "um"}
        self._name_frames = load_phrases("name_frames.csv", ("id", "pattern", "place"), classes)

    def judge(
        self,
        speech: Speech,
        clauses: Clauses,
        foods: Sequence[FoodSpan],
        measured: Sequence[Measured],
        scopes: Sequence[Scope],
        claims: Sequence[ClaimSpan],
    ) -> tuple[Usage, ...]:
        """One usage for each food, in the same order."""
        amounts = {item.food for item in measured if not item.quantity.article}
        articles = {item.food for item in measured if item.quantity.article}
        subjects = {claim.subject.head for claim in claims if claim.subject is not None}
        frames = self._frames.everywhere(speech.words)
        called = self._called(speech, foods)
        usages: list[Usage] = []
        for at, food in enumerate(foods):
            aside = self._aside(food, scopes)
            if food.head in called and at not in amounts:
                usages.append(Usage(ASIDE, "a name", "usage.name"))
            elif aside is not None:
                status = ALTERNATIVE if aside.kind == "alternative" else ASIDE
                usages.append(Usage(status, aside.kind, aside.rule))
            elif at in amounts:
                usages.append(Usage(USED, "", "usage.amount"))
            else:
                usages.append(self._by_context(speech, clauses, foods, at, usages, frames, subjects, articles))
        return tuple(usages)

    def _aside(self, food: FoodSpan, scopes: Sequence[Scope]) -> Scope | None:
        covering = [scope for scope in scopes if scope.kind in _WHY_ORDER and scope.covers(food)]
        return min(covering, key=lambda scope: _WHY_ORDER.index(scope.kind)) if covering else None

    def _called(self, speech: Speech, foods: Sequence[FoodSpan]) -> set[int]:
        """Foods whose word is somebody's name: a dog called Biscuit, a Ginger who is spoken to."""
        single = {speech.words[food.head]: food for food in foods if food.end - food.head == 1}
        names: set[str] = set()
        for match in self._name_frames.everywhere(speech.words):
            place = match.start - 1 if match.payload["place"] == "before" else match.end
            if 0 <= place < len(speech) and speech.words[place] in single:
                names.add(speech.words[place])
        return {food.head for food in foods if food.end - food.start == 1 and speech.words[food.head] in names}

    def _by_context(
        self,
        speech: Speech,
        clauses: Clauses,
        foods: Sequence[FoodSpan],
        at: int,
        before: Sequence[Usage],
        frames: Sequence[object],
        subjects: set[int],
        articles: set[int],
    ) -> Usage:
        food = foods[at]
        start, end = clauses.sentence(food.head)
        start, end = max(start, food.start - _BACK_VERB), min(end, food.end + _ON_VERB)
        kinds = {self._verbs[word] for word in speech.words[start:end] if word in self._verbs}
        for frame in frames:
            if start <= frame.start and frame.end <= end:  # type: ignore[attr-defined]
                kinds.add("frame-" + frame.payload["kind"])  # type: ignore[attr-defined]
        if food.head in subjects and not kinds & {"add", "cut", "frame-add"}:
            return Usage(SPOKEN, "claim", "usage.claim-only")
        if kinds & {
            "add",
            "frame-add",
            "cut",
            "combine",
            "cook",
            "wash",
            "use",
            "discard",
            "shape",
            "make",
            "rest",
            "serve",
        }:
            return Usage(USED, "", "usage.verb")
        if kinds & {"frame-shown", "show"} or at in articles:
            return Usage(SHOWN, "", "usage.shown")
        if at and before[at - 1].status in {USED, SHOWN}:
            between = speech.words[foods[at - 1].end : food.start]
            if len(between) <= 3 and self._joins.issuperset(between):
                return Usage(before[at - 1].status, "", "usage.list")
        return Usage(SPOKEN, "", "usage.none")
