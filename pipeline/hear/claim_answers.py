"""What is said of a remark on a nutrient: a question with its answer, `they're not`, `it's not true that`."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.hear.claim_subjects import Remark
from pipeline.hear.clauses import Clauses
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_phrases, word_class
from pipeline.hear.speech import Speech

_REACH = 8
_ANSWER = 6
_LEAD = 9
_GOES_ON = word_class("answer-goes-on")
_SENSES = frozenset({"high", "low"})


class AnswerJudge:
    """Compiled answers and denials."""

    def __init__(self, classes: Classes) -> None:
        self._said = load_phrases("claim_answers.csv", ("id", "kind", "pattern"), classes)
        self._asking = frozenset(classes["is-or-does"])
        self._gap = frozenset(classes["det"]) | frozenset(classes["claim-between"])

    def asked(self, speech: Speech, foods: Sequence[FoodSpan], remark: Remark) -> bool:
        """`is rice high in potassium`, `there's no salt in it is there`."""
        words = speech.words
        ending = words[remark.end : remark.end + 4]
        if any(ending[at : at + 2] == ("is", "there") for at in range(3)):
            return True
        lead = remark.start - (words[remark.start - 1] == "have")
        food = next((food for food in foods if food.end == lead), None)
        if food is None or words[lead - 1].endswith("'s") or not food.start:
            return False
        at = food.start - 1
        while at and words[at] in self._gap - self._asking:
            at -= 1
        return words[food.start - 1] in self._asking or (words[at] in self._asking and self._opens(speech, at))

    def answer(self, speech: Speech, remark: Remark) -> str | None:
        """The sense that the answer to a question gives: that of the question, the other one, or None where there is
        no answer or it only denies."""
        turn = self._turn(speech, remark.end)
        if turn is None:
            return None
        told = self._said.longest(speech.words, turn)
        if told is None or told.payload["kind"] not in {"yes", "no", "low", "high"}:
            return None
        if told.payload["kind"] in _SENSES:
            return told.payload["kind"]
        if told.payload["kind"] == "yes":
            return remark.sense
        following = speech.words[told.end : told.end + _ANSWER]
        return next((word for word in following if word in _SENSES and word != remark.sense), None)

    def denied(self, speech: Speech, clauses: Clauses, remark: Remark) -> bool:
        """`who told you grapes are high`, `people say they're high but they're not`."""
        words = speech.words
        told = self._said.longest(words, remark.end) if remark.end < len(words) else None
        if told is not None and told.payload["kind"] == "denied-after":
            clause = clauses.clause_of
            return told.end == len(words) or clause[told.end] > clause[told.end - 1] or words[told.end] in _GOES_ON
        first = max(clauses.sentence(remark.start)[0], remark.start - _LEAD)
        told_before = (self._said.longest(words, place) for place in range(first, remark.start))
        return any(told is not None and told.payload["kind"] == "denied-before" for told in told_before)

    def _turn(self, speech: Speech, end: int) -> int | None:
        """Where the next turn or line after a question begins."""
        places = range(end, min(end + _REACH, len(speech)))
        return next((at for at in places if self._opens(speech, at)), None)

    @staticmethod
    def _opens(speech: Speech, at: int) -> bool:
        return not at or speech.turn_before[at] or speech.stop_after[at - 1] or speech.line[at] > speech.line[at - 1]
