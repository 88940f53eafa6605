"""Remarks such as `this one is low in potassium`: which food, which nutrient, which sense."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.hear.clauses import Clauses
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, Row, load_phrases
from pipeline.hear.speech import Speech
from pipeline.phrases import Match

DISH = "dish"
_GLUE = 4
_BACK = 22


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
        self._glue = frozenset(classes["claim-glue"])
        self._dish = frozenset(classes["dish-word"])
        self._there = frozenset({"there's", "there", "is"})
        self._here = frozenset({"it", "there", "here", "this"})
        self._salts = frozenset({"salt", "sodium"})
        self._none = frozenset({"no", "without", "any", "not"})
        self._joins = frozenset(classes["joining"])

    def find(
        self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan], parts: Sequence[str] = ()
    ) -> tuple[ClaimSpan, ...]:
        """Claims in order. One claim for each food and nutrient that are joined by and, or, nor."""
        words = speech.words
        nutrients = [match for match in self._nutrients.scan(words) if not self._in_longer_name(match, foods)]
        found: list[ClaimSpan] = []
        covered = -1
        for at, nutrient in enumerate(nutrients):
            if nutrient.start <= covered:
                continue
            level = self._level(words, nutrient)
            if level is None:
                continue
            chain = self._chain(words, nutrients[at:])
            covered = chain[-1].end - 1
            start, end = min(level.start, nutrient.start), max(level.end, chain[-1].end)
            for food, subject in self._subjects(speech, clauses, foods, level, start, end):
                for match in chain:
                    sense = level.payload["sense"]
                    found.append(
                        ClaimSpan(start, end, food, match.payload["nutrient"], sense, level.payload["id"], subject)
                    )
        found.extend(_unsalted_by_name(foods))
        return tuple(sorted(found, key=lambda claim: (claim.start, claim.food)))

    @staticmethod
    def _in_longer_name(match: Match[Row], foods: Sequence[FoodSpan]) -> bool:
        return any(food.start <= match.start < food.end and food.end - food.start > 1 for food in foods)

    def _level(self, words: Sequence[str], nutrient: Match[Row]) -> Match[Row] | None:
        """The level word that belongs to a nutrient: close before it, or right after it."""
        after = self._frames.longest(words, nutrient.end) if nutrient.end < len(words) else None
        if after is not None and (after.payload["sense"] != "added-none" or words[nutrient.start - 1] in self._none):
            return after
        if words[nutrient.start].endswith("y") and not nutrient.payload["nutrient"].endswith("y"):
            return Match(nutrient.start, nutrient.end, {"id": "claim.high.adjective", "sense": "high"})
        near = (
            match
            for start in range(max(0, nutrient.start - 9), nutrient.start)
            for match in self._levels.at(words, start)
        )
        fitting = [match for match in near if self._leads_to(words, match.end, nutrient.start)]
        return max(fitting, key=lambda match: match.end) if fitting else None

    def _leads_to(self, words: Sequence[str], end: int, start: int) -> bool:
        between = words[end:start]
        return end <= start and len(between) <= _GLUE and self._glue.issuperset(between)

    def _is_nutrient(self, food: FoodSpan) -> bool:
        return bool(self._nutrients.longest((food.name,), 0))

    def _chain(self, words: Sequence[str], nutrients: Sequence[Match[Row]]) -> list[Match[Row]]:
        chain = [nutrients[0]]
        for match in nutrients[1:]:
            between = words[chain[-1].end : match.start]
            if len(between) > 2 or not between or not self._joins.issuperset(between):
                break
            chain.append(match)
        return chain

    def _subjects(
        self,
        speech: Speech,
        clauses: Clauses,
        foods: Sequence[FoodSpan],
        level: Match[Row],
        start: int,
        end: int,
    ) -> list[tuple[str, FoodSpan | None]]:
        words = speech.words
        sense = level.payload["sense"]
        before = [
            food for food in foods if food.end <= start and start - food.end <= _BACK and not self._is_nutrient(food)
        ]
        if sense == "added-none":
            kind_of = (
                level.payload["id"].startswith("claim.added-none.after") and before and start - before[-1].end <= 3
            )
            return [(before[-1].name, before[-1])] if kind_of else self._without_salt(words, foods, end)
        inside = self._inside(words, foods, start, end)
        if inside:
            return inside
        if not before:
            return [(DISH, None)] if any(word in self._dish for word in words[max(0, start - 6) : start]) else []
        nearest = before[-1]
        dish_at = max((place for place in range(nearest.end, start) if words[place] in self._dish), default=-1)
        if dish_at > nearest.end + 1 and words[dish_at - 1] in {"this", "the", "that", "our", "my"}:
            return [(DISH, None)]
        chain = [nearest]
        for food in before[-2::-1]:
            between = words[food.end : chain[-1].start]
            if not (len(between) <= 2 and between and self._joins.issuperset(between)):
                break
            chain.append(food)
        same = [food for food in chain if clauses.sentence_of[food.head] == clauses.sentence_of[chain[0].head]]
        return [(food.name, food) for food in reversed(same)]

    def _inside(
        self, words: Sequence[str], foods: Sequence[FoodSpan], start: int, end: int
    ) -> list[tuple[str, FoodSpan | None]]:
        """`a lot of potassium in milk`: the food named after `in`."""
        if end + 1 >= len(words) or words[end] != "in":
            return []
        if words[end + 1] in self._here and words[end - 1] in self._salts and words[start - 1] in self._there:
            return [(DISH, None)]
        named = [food for food in foods if end < food.start <= end + 2]
        if named:
            return [(named[0].name, named[0])]
        return [(words[end + 1], None)] if words[end + 1] in self._dish else []

    def _without_salt(
        self, words: Sequence[str], foods: Sequence[FoodSpan], end: int
    ) -> list[tuple[str, FoodSpan | None]]:
        """`no added salt in this slaw`, `to that broth`: the thing named after in or to, else the dish."""
        if end < len(words) and words[end] in {"in", "to", "into"}:
            for food in foods:
                if end < food.head <= end + 3:
                    return [(food.name, food)]
            if end + 2 < len(words) and words[end + 2] in self._dish:
                return [(words[end + 2], None)]
        if end + 1 < len(words) and words[end : end + 2] == ("added", "to"):
            return self._without_salt(words, foods, end + 1)
        return [(DISH, None)]


def _unsalted_by_name(foods: Sequence[FoodSpan]) -> list[ClaimSpan]:
    """`no salt added chicken broth` says of itself that no salt was added."""
    found: list[ClaimSpan] = []
    for food in foods:
        for words in ("no salt added ", "no added salt ", "without added salt "):
            if food.name.startswith(words):
                name = food.name.removeprefix(words)
                found.append(ClaimSpan(food.start, food.end, name, "salt", "added-none", "claim.added-none.name", None))
    return found
