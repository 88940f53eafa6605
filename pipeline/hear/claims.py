"""Remarks such as `this one is low in potassium`: which food, which nutrient, which sense."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from pipeline.hear.claim_answers import AnswerJudge
from pipeline.hear.claim_held import HELD, HeldReader
from pipeline.hear.claim_subjects import BARE, DISH, Remark, Subject, SubjectFinder, past_fillers
from pipeline.hear.clauses import Clauses
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases, marked_rules, phrase_class, word_class
from pipeline.hear.placed import InOrder
from pipeline.hear.speech import Speech
from pipeline.phrases import Match

__all__ = ["DISH", "ClaimReader", "ClaimSpan"]

_AROUND = 60
_GLUE = 4
_SAID = 7
_SHOWN = 12
_MADE = 8
_LISTED = 5
_AGAIN = 14
_HELD_ON = 9
_MINERALS = frozenset({"potassium", "phosphorus", "protein"})
_IT_HAVE = phrase_class("it-has")
_BARE_NONE = marked_rules("none-at-all")
_NONE_IN = "claim.added-none.no-salt-in"
_NOT_A_GRAIN = marked_rules("not-a-grain")
_LEFT_OUT = "|".join(map(" ".join, sorted(phrase_class("salt-left-out"))))
_SALT_LEFT_OUT = re.compile(rf"\b(with )?({_LEFT_OUT})\b")
_NOR = phrase_class("nor-word")
_IS = word_class("definition")
_LEVEL_WORDS = word_class("claim-level-word")
_IN_A = phrase_class("in-a")
_IN_IT = phrase_class("in-it-or-them")
_ADDED_BETWEEN = word_class("added-between")


@dataclass(frozen=True, slots=True)
class ClaimSpan:
    """Words `start` to `end` (exclusive) claim something of `food` (its name, a part's name, or `dish`). `subject` is
    the food span it is about, where it is one."""

    start: int
    end: int
    food: str
    nutrient: str
    sense: str
    rule: str
    subject: FoodSpan | None = None


class ClaimReader:
    """Compiled words for nutrients and levels."""

    def __init__(self, classes: Classes) -> None:
        self._nutrients = load_phrases("nutrients.csv", ("words", "nutrient"), classes, key="words")
        self._levels = load_phrases("claim_levels.csv", ("id", "sense", "pattern"), classes)
        self._frames = load_phrases("claim_frames.csv", ("id", "sense", "pattern"), classes)
        self._subjects = SubjectFinder(classes)
        self._held = HeldReader(classes)
        self._answers = AnswerJudge(classes)
        self._glue = frozenset(classes["claim-glue"])
        self._salts = frozenset({"salt", "sodium"})
        self._none = frozenset(classes["none-word"])
        self._less = frozenset(classes["claim-less"])
        self._holds = frozenset(classes["claim-holding"])
        self._puts = frozenset(classes["put-into"])
        self._there = frozenset(classes["there-is"])
        self._bare_lead = frozenset(classes["claim-bare-lead"])
        self._groups = frozenset(classes["group-word"])
        self._grouped = frozenset(classes["claim-grouped"])
        self._removing = frozenset(classes["claim-removing"])
        self._kinds = frozenset(classes["claim-kind"])
        self._asking = frozenset(classes["is-or-does"])
        self._shown = frozenset(classes["shown-is"])
        self._wanting = frozenset(classes["wanting-verb"])
        self._poured = frozenset(classes["claim-poured"])
        self._no_adjective = frozenset(classes["indefinite-thing"])
        self._made = frozenset(classes["claim-made"])
        self._ours = frozenset(classes["definite"])
        self._joins = frozenset(classes["joining"])
        self._besides = frozenset(classes["claim-besides"])
        self._at = frozenset(classes["claim-at"])
        self._links = self._joins | frozenset(classes["claim-link"])

    def find(self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan]) -> tuple[ClaimSpan, ...]:
        """Claims in order. One claim for each food and nutrient that are joined by and, or, nor."""
        words = speech.words
        real = InOrder(food for food in foods if self._nutrients.longest((food.name,), 0) is None)
        longer = {place for food in foods if food.end - food.head > 1 for place in range(food.head, food.end)}
        nutrients = [match for match in self._nutrients.scan(words, speech.places) if match.start not in longer]
        found: list[ClaimSpan] = []
        covered = -1
        last: Remark | None = None
        subjects: list[Subject] = []
        for at, nutrient in enumerate(nutrients):
            if nutrient.start <= covered:
                continue
            near = real.within(nutrient.start - _AROUND, nutrient.end + _AROUND)
            level = self._level(words, near, nutrient)
            if level is None or self._is_name(words, near, level, nutrient):
                continue
            chain = self._chain(words, nutrients[at:], level.payload["sense"])
            covered = chain[-1].end - 1
            start, end = min(level.start, nutrient.start), max(level.end, chain[-1].end)
            remark = self._remark(words, Remark(start, end, level.payload["sense"], level.payload["id"]), nutrient)
            if remark is None or self._is_no_statement(words, clauses, near, remark, nutrient):
                continue
            remark = self._settled(speech, clauses, near, remark)
            if remark is None:
                continue
            if not self._goes_on(words, last, remark):
                subjects = self._subjects.find(speech, clauses, near, remark)
            last = remark
            stated = remark.rule == _NONE_IN and words[start - 1] in self._there
            told: list[tuple[str, str, FoodSpan | None]] = []
            for food, subject in subjects:
                held = stated and subject is not None and words[subject.start - 1] not in self._ours
                told.append(("none" if held else remark.sense, food, subject))
            told += [(sense, other.name, other) for sense, other in self._subjects.also(words, near, remark)]
            for sense, food, subject in told:
                for match in chain:
                    claimed = match.payload["nutrient"]
                    found.append(ClaimSpan(start, end, food, claimed, sense, remark.rule, subject))
        found.extend(_unsalted_by_name(foods))
        return tuple(sorted(_not_again(found), key=lambda claim: (claim.start, claim.food)))

    def _goes_on(self, words: Sequence[str], last: Remark | None, remark: Remark) -> bool:
        """Whether a remark goes on with what the last one was about: `low in potassium and low in phosphorus`."""
        if last is None or last.end > remark.start or remark.rule.startswith(BARE):
            return False
        put = not self._puts.isdisjoint(words[remark.end : remark.end + 1])
        between = words[last.end : remark.start]
        joined = 0 < len(between) <= 2 and self._joins.issuperset(between)
        return joined and not (remark.sense == "added-none" and put)

    def _level(self, words: Sequence[str], foods: Sequence[FoodSpan], nutrient: Match[Row]) -> Match[Row] | None:
        """The level word that belongs to a nutrient: close before it, or right after it."""
        after = self._frame(words, nutrient)
        if after is not None and self._follows(words, after, nutrient):
            return after
        if held := self._held_in(words, nutrient):
            return held
        if nutrient.payload["nutrient"] == "salt" and words[nutrient.start] not in self._salts:
            if words[nutrient.start - 1] in self._no_adjective:
                return None
            sense = "low" if self._less.intersection(words[max(0, nutrient.start - 2) : nutrient.start]) else "high"
            return Match(nutrient.start, nutrient.end, {"id": f"claim.{sense}.adjective", "sense": sense})
        near = (
            match
            for start in range(max(0, nutrient.start - 9), nutrient.start)
            for match in self._levels.at(words, start)
        )
        fitting = [match for match in near if self._leads_to(words, foods, match, nutrient)]
        return max(fitting, key=lambda match: match.end) if fitting else None

    def _follows(self, words: Sequence[str], after: Match[Row], nutrient: Match[Row]) -> bool:
        """Whether a level right after a nutrient is of it: `no salt added`, and of salt alone `no salt, none`."""
        if after.payload["sense"] != "added-none":
            return True
        bare = after.payload["id"].startswith(BARE)
        return words[nutrient.start - 1] in self._none and (not bare or words[nutrient.start] in self._salts)

    def _frame(self, words: Sequence[str], nutrient: Match[Row]) -> Match[Row] | None:
        """The level right after a nutrient, or after another that is joined to it: `a sugar and salt bomb`."""
        at = nutrient.end
        if (
            words[at : at + 1] == ("and",)
            and at + 1 < len(words)
            and (second := self._nutrients.longest(words, at + 1))
        ):
            at = second.end
        if at >= len(words) or (words[at].endswith("'s") and words[at] not in self._shown):
            return None
        return self._frames.longest(words, at)

    def _held_in(self, words: Sequence[str], nutrient: Match[Row]) -> Match[Row] | None:
        """`the potassium in bananas is sky high`: as if the level stood right after the nutrient."""
        if words[nutrient.end : nutrient.end + 1] != ("in",) or words[nutrient.start - 1] not in self._ours:
            return None
        for place in range(nutrient.end + 2, min(nutrient.end + _HELD_ON, len(words))):
            level = self._frames.longest(words, place)
            if level is not None and words[place] in self._asking:
                return Match(nutrient.end, nutrient.end, level.payload)
        return None

    def _leads_to(
        self, words: Sequence[str], foods: Sequence[FoodSpan], level: Match[Row], nutrient: Match[Row]
    ) -> bool:
        start = nutrient.start
        between = words[level.end : start]
        if level.payload["id"].endswith(HELD):
            return self._held.fits(words, foods, level, nutrient)
        if level.payload["sense"] == "added-none" or level.payload["id"].endswith(".direct"):
            between = tuple(word for word in between if word not in _ADDED_BETWEEN)
            return level.end <= start and not between
        return level.end <= start and len(between) <= _GLUE and self._glue.issuperset(between)

    def _is_name(
        self, words: Sequence[str], foods: Sequence[FoodSpan], level: Match[Row], nutrient: Match[Row]
    ) -> bool:
        """Whether the words only name a kind of food: `the less sodium one`, `low salt butter`, `a low fat diet`."""
        if level.start >= nutrient.start:
            return self._is_label(words, level, nutrient)
        if level.end < nutrient.start or words[nutrient.start - 1] in {"in", "on"}:
            return False
        following = words[nutrient.end : nutrient.end + 1]
        named = any(food.start == nutrient.end and food.name not in self._groups for food in foods)
        if self._kinds.intersection(following) and self._tells_which(words, level.start):
            return False
        if self._kinds.intersection(following) or named:
            return words[level.start] in _LEVEL_WORDS
        bare = level.payload["id"].endswith(".bare")
        mineral = nutrient.payload["nutrient"] in _MINERALS
        said = mineral and any(food.end == level.start for food in foods)
        return (
            bare
            and not said
            and not self._grouped.intersection(following)
            and not self._leads_bare(words[level.start - 1])
        )

    def _tells_which(self, words: Sequence[str], at: int) -> bool:
        """`this is the low sodium kind`."""
        before = words[max(0, at - 2) : at]
        is_said = len(before) == 2 and (before[0] in _IS or before[0].endswith("'s"))
        return is_said and before[1] in {"the", "a"}

    def _is_label(self, words: Sequence[str], level: Match[Row], nutrient: Match[Row]) -> bool:
        """`broth, the no salt added one` tells which; `this is broth, the no salt added one` says it of the broth."""
        kind = bool(self._kinds.intersection(words[level.end : level.end + 1]))
        before = words[max(0, nutrient.start - _SAID) : nutrient.start]
        said = any(word in self._asking or word.endswith("'s") for word in before)
        shown = ("this", "is") in pairwise(words[max(0, nutrient.start - _SHOWN) : nutrient.start])
        return kind and words[nutrient.start - 2] in {"the", "a"} and not (said or shown)

    def _leads_bare(self, word: str) -> bool:
        return word in self._bare_lead or word.endswith("'s")

    def _remark(self, words: Sequence[str], remark: Remark, nutrient: Match[Row]) -> Remark | None:
        """`no salt in this` tells that none is added, `there's no salt in olive oil` that it holds none; `that's it, no
        salt` is no statement of its own; what was `boiled with no salt` got none. Who finds no sodium in it, has read
        its label."""
        if remark.rule in _NOT_A_GRAIN and words[remark.end : remark.end + 2] in _IN_A:
            return Remark(remark.start, remark.end, "none", "claim.none.not-a-grain-in-a")
        lead, following = words[remark.start - 1 : remark.start + 1], words[remark.end + 1 : remark.end + 2]
        existing = lead in _IT_HAVE and following == ("the",)
        bare = (remark.rule in _BARE_NONE or existing) and words[nutrient.start] in self._salts
        made = self._made.intersection(words[max(0, remark.start - _MADE) : remark.start])
        gone = words[remark.end : remark.end + 1] == ("gone",)
        if bare and (made or gone) and words[remark.start - 1] == "with":
            return Remark(remark.start, remark.end, "added-none", "claim.added-none.made-with-no-salt")
        if not bare or words[remark.start - 1] in self._holds:
            return remark
        if words[nutrient.start] == "sodium" and words[remark.end : remark.end + 2] in _IN_IT:
            return remark
        end = remark.end
        if words[end : end + 1] in _NOR:
            ends = (at for at in range(end + 2, min(end + _LISTED, len(words))) if words[at] in self._puts)
            end = next(ends, end)
        place = past_fillers(words, end)
        if self._puts.intersection((*words[place : place + 1], *words[end : end + 1])):
            return Remark(remark.start, end, "added-none", _NONE_IN)
        return None

    def _is_no_statement(
        self,
        words: Sequence[str],
        clauses: Clauses,
        foods: Sequence[FoodSpan],
        remark: Remark,
        nutrient: Match[Row],
    ) -> bool:
        """Fat that is poured off; what soaking takes out; what is wanted or needed."""
        ending = words[remark.end : remark.end + 4]
        poured = nutrient.payload["nutrient"] == "fat" and bool(self._poured.intersection(ending[:3]))
        since = max(clauses.clause(remark.start)[0], remark.start - 3)
        since = next((food.end for food in foods if since < food.end <= remark.start), since)
        removed = bool(self._removing.intersection(words[since : remark.start]))
        wanted = words[remark.start] in {"less", "more"} and words[remark.start - 1] in self._wanting
        return wanted or poured or removed

    def _settled(self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan], remark: Remark) -> Remark | None:
        """The remark as it stands after what is said of it: a question by its answer, None where it has none or where
        the remark is denied."""
        if self._answers.asked(speech, foods, remark):
            sense = self._answers.answer(speech, remark)
            return None if sense is None else replace(remark, sense=sense)
        return None if self._answers.denied(speech, clauses, remark) else remark

    def _chain(self, words: Sequence[str], nutrients: Sequence[Match[Row]], sense: str) -> list[Match[Row]]:
        """The nutrients of one level; `all protein and no fat` has two levels."""
        chain = [nutrients[0]]
        for match in nutrients[1:]:
            between = tuple(word for word in words[chain[-1].end : match.start] if word not in self._besides)
            if len(between) > 1 and between[-1] in self._at | {sense}:
                between = between[:-1]
            close = len(between) <= 2 and self._joins.issuperset(between)
            linked = len(between) <= 3 and between[-1:] == ("and",) and self._links.issuperset(between)
            turns = "no" in between and sense == "high"
            if between[:2] == ("on", "top"):
                linked = between == ("on", "top", "of")
            if not between or turns or not (close or linked):
                break
            chain.append(match)
        return chain


def _unsalted_by_name(foods: Sequence[FoodSpan]) -> list[ClaimSpan]:
    """`no salt added chicken broth`, `chicken broth with no salt added` say of themselves that no salt was added."""
    found: list[ClaimSpan] = []
    for food in foods:
        name = _SALT_LEFT_OUT.sub(" ", food.name).strip()
        if name and name != food.name:
            found.append(ClaimSpan(food.start, food.end, name, "salt", "added-none", "claim.added-none.name", None))
    return found


def _not_again(found: Sequence[ClaimSpan]) -> list[ClaimSpan]:
    """`no salt, not a grain, I put no salt on this chicken`: what is said at once of something named is not said of
    the dish as well, and what one remark says of a food it says once."""
    kept: list[ClaimSpan] = []
    once = {(claim.start, claim.food, claim.nutrient, claim.sense): claim for claim in reversed(found)}
    for claim in reversed(once.values()):
        bare = claim.rule.startswith(BARE) and claim.food == DISH
        others = (other for other in found if other is not claim and other.sense == claim.sense)
        if not bare or all(abs(other.start - claim.end) > _AGAIN for other in others):
            kept.append(claim)
    return kept
