"""What a remark on a nutrient is about: the food or the part of the dish that the words beside it name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.hear.clauses import Clauses
from pipeline.hear.foods import FoodSpan
from pipeline.hear.lexicon import Classes, load_phrases, load_rows, phrase_class, word_class
from pipeline.hear.speech import Speech

DISH = "dish"
BARE = "claim.added-none.bare."
Subject = tuple[str, FoodSpan | None]
_BACK = 22
_NEAR = 8
_LONGEST_NAME = 2
_PLACE = 3
_SAME_ON = 4
_LEVEL_ON = 45
_STOCK_BACK = 14
_KIND_BACK = 12
_MADE_BACK = 10
_WATER = "water"
_ITSELF = phrase_class("in-itself")
_PLACES = phrase_class("put-place")
_FILLERS = word_class("added-filler")
_THERE = 8
_CONTAINED = phrase_class("contained-in")
_FEW = phrase_class("hardly-any")
_OF_IT = word_class("of-taste")
_SO = phrase_class("is-or-does")
_BARE_HAS = word_class("has-got")
_IS = word_class("definition")
_UP_THERE = phrase_class("up-there")
_IN_IT = phrase_class("in-it-or-them")
_HELD_IN = word_class("claim-in")
_A = word_class("article")
_HAS = word_class("having")


@dataclass(frozen=True, slots=True)
class Remark:
    """Words `start` to `end` (exclusive) put a nutrient on a level; `sense` and `rule` are those of the level."""

    start: int
    end: int
    sense: str
    rule: str


def past_fillers(words: Sequence[str], at: int) -> int:
    """The place after `gone`, `added`, `at all` that may stand before `in this dough`."""
    while words[at : at + 1] != () and words[at] in _FILLERS:
        at += 1
    return at


class SubjectFinder:
    """Compiled words that stand between what is spoken of and what is said of it."""

    def __init__(self, classes: Classes) -> None:
        self._dish = frozenset(classes["dish-word"])
        self._sharing = load_phrases("claim_sharing.csv", ("id", "kind", "pattern"), classes)
        self._kinds = frozenset(classes["claim-kind"])
        self._general = frozenset(classes["whole-dish"])
        self._between = frozenset(classes["claim-between"])
        self._verbs = frozenset(classes["claim-verb"])
        self._one = frozenset(classes["claim-verb-single"])
        self._pronouns = frozenset(classes["claim-pronoun"])
        verbs = {row["form"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))}
        self._no_nouns = frozenset(classes["not-a-subject"])
        self._not_subject = self._no_nouns | (verbs - self._dish)
        self._definite = frozenset(classes["definite"])
        self._here = frozenset(classes["here-or-this"])
        self._joins = frozenset(classes["joining"]) - {"no", "any"}
        self._contrasting = frozenset(classes["contrasting"])
        self._thats = frozenset(classes["that-is-what"])
        self._exists = frozenset(classes["there-exists"])
        self._articles = self._definite | frozenset(classes["claim-article"])
        self._going_on = self._verbs | frozenset(classes["claim-goes-on"])
        self._people = frozenset(classes["claim-people"])
        self._tailing = frozenset(classes["claim-tail"])
        self._relative = frozenset(classes["claim-relative"])
        self._nutrients = {row["words"] for row in load_rows("nutrients.csv", ("words", "nutrient"))}
        modifiers = load_rows("modifiers.csv", ("words", "kind"))
        named = (row["words"] for row in modifiers if row["kind"] == "name")
        self._modifiers = frozenset(classes["kind-adjective"]).union(named)
        self._stocks = frozenset(classes["claim-stock"])
        self._labelled = frozenset(classes["label-says"]) | self._kinds
        self._carrying = frozenset(classes["claim-level-before"])
        self._prepositions = frozenset(classes["preposition"])

    def find(self, speech: Speech, clauses: Clauses, foods: Sequence[FoodSpan], remark: Remark) -> list[Subject]:
        """The subjects in order; `foods` are without those that only name a nutrient. Empty where none is named."""
        words = speech.words
        before = [food for food in foods if food.end <= remark.start and remark.start - food.end <= _BACK]
        if remark.sense == "added-none":
            return self._without_salt(words, foods, before, remark)
        named = (
            self._inside(words, foods, remark)
            or self._named_after(words, foods, remark)
            or self._measured_as(words, remark)
        )
        lead = self._lead(words, remark)
        if named or (words[lead] in self._people and words[lead + 1] in self._verbs):
            return named
        there = self._held_there(words, before, lead)
        return there or self._beside(words, clauses, before, remark) or self._nearest(words, clauses, before, remark)

    def also(self, words: Sequence[str], foods: Sequence[FoodSpan], remark: Remark) -> list[tuple[str, FoodSpan]]:
        """The foods that share a remark, each with its sense: `... is low in potassium and so are radishes`, `... is
        high in potassium and cauliflower is fairly low`, `... and plantain the same`."""
        end = remark.end
        at = end + (words[end : end + 1] == ("and",))
        if words[at : at + 1] == ("so",) and words[at + 1 : at + 2] in _SO:
            at += 2 + (words[at + 2 : at + 3] != () and words[at + 2] in self._definite | _A)
            return [(remark.sense, food) for food in foods if food.start == at and food.name != _WATER]
        if words[at : at + 1] == ("so's",):
            at += 1 + (words[at + 1 : at + 2] != () and words[at + 1] in self._definite | _A)
            return [(remark.sense, food) for food in foods if food.start == at and food.name != _WATER]
        same = [(remark.sense, food) for food in foods if self._is_same(words, food, end)]
        if remark.sense not in {"low", "high"}:
            return same
        again = (place for place in range(end, len(words)) if words[place] in self._nutrients)
        stop = min(end + _LEVEL_ON, next(again, len(words)))
        near = (food for food in foods if end <= food.start <= stop)
        return same or [(to, food) for food in near for to in self._level_after(words, food.end)]

    def _is_same(self, words: Sequence[str], food: FoodSpan, end: int) -> bool:
        """`and plantain the same`, `and bran does too`, `so not today and coconut milk the same`."""
        link = food.start - 1
        if not end <= link <= end + _SAME_ON or words[link] != "and" or food.end >= len(words):
            return False
        match = self._sharing.longest(words, food.end)
        return match is not None and (link == end or match.payload["kind"] == "same")

    def _level_after(self, words: Sequence[str], at: int) -> list[str]:
        """`is fairly low`, `'s too high in it`, `is way up there`, `has hardly any`, with no nutrient of its own after
        it."""
        if words[at : at + 1] in {("has",), ("have",)} and words[at + 1 : at + 3] in _FEW:
            own = at + 3 < len(words) and words[at + 3] in self._nutrients | _OF_IT
            return [] if own else ["low"]
        if _IS.isdisjoint(words[at : at + 1]) and not words[at - 1].endswith("'s"):
            return []
        while at < len(words) and words[at] in self._between:
            at += 1
        level = words[at].removesuffix("er") if at < len(words) else ""
        following = words[at + 1 : at + 2]
        if words[at : at + 2] in _UP_THERE:
            level, following = "high", words[at + 2 : at + 3]
        ends = following == () or following[0] not in self._carrying or words[at + 1 : at + 3] == ("in", "it")
        return [level] if level in {"low", "high"} and ends else []

    def _inside(self, words: Sequence[str], foods: Sequence[FoodSpan], remark: Remark) -> list[Subject]:
        """`a lot of potassium in milk`: the food named after `in` or `from`."""
        end = remark.end
        if end + 1 >= len(words) or words[end] not in _HELD_IN or words[end + 1] in self._pronouns:
            return []
        named = [food for food in foods if end < food.start <= end + 2]
        if named:
            return [(named[0].name, named[0])]
        return [(words[end + 1], None)] if words[end + 1] in self._dish and words[end] != "on" else []

    def _named_after(self, words: Sequence[str], foods: Sequence[FoodSpan], remark: Remark) -> list[Subject]:
        """`they're full of salt those crisps`, `it's high in potassium is beetroot`: the food a pronoun stood for."""
        lead = words[self._lead(words, remark)] if remark.start else ""
        in_it = words[remark.end : remark.end + 2] in _IN_IT
        if not in_it and lead not in self._pronouns:
            return []
        at = remark.end + 2 * in_it
        named = next((food for food in foods if food.start == at + 1), None)
        if named is None or words[at] not in self._tailing:
            return []
        goes_on = words[at] not in _IS and not self._going_on.isdisjoint(words[named.end : named.end + 1])
        return [] if goes_on else [(named.name, named)]

    def _lead(self, words: Sequence[str], remark: Remark) -> int:
        """The place of the word before `is`, `has` and the adverbs between."""
        at = remark.start
        while at > max(0, remark.start - _NEAR) and words[at - 1] in self._between:
            at -= 1
        return at - 1

    def _held_there(self, words: Sequence[str], before: Sequence[FoodSpan], lead: int) -> list[Subject]:
        """`there's raising agent in it and that's full of phosphorus`: what was said to be in it."""
        end = lead - (words[lead - 1] in self._contrasting)
        if words[lead] not in self._thats or words[end - 2 : end] not in _CONTAINED:
            return []
        first = next((at + 1 for at in range(end - 3, max(0, end - _THERE), -1) if words[at] in self._exists), end)
        name = [word for word in words[first : end - 2] if word not in self._between | self._articles]
        food = next((food for food in before if first <= food.start and food.end <= end), None)
        if food is not None or not 0 < len(name) <= _LONGEST_NAME:
            return []
        return [(" ".join(name), None)]

    def _measured_as(self, words: Sequence[str], remark: Remark) -> list[Subject]:
        """`that's low sodium for a sauce`."""
        said = words[remark.end : remark.end + 3]
        fits = len(said) == 3 and said[0] == "for" and said[1] in _A and said[2] in self._dish
        return [self._named(said[2])] if fits else []

    def _beside(
        self, words: Sequence[str], clauses: Clauses, before: Sequence[FoodSpan], remark: Remark
    ) -> list[Subject]:
        """What stands right before `is`, `has` and the adverbs between: a food, a part of the dish, or another noun."""
        at = self._lead(words, remark)
        if words[at] in self._relative and words[at - 1 : at] == ("one",) and words[at - 2 : at - 1] == ("the",):
            at = self._lead(words, Remark(at - 1, at, remark.sense, remark.rule))
        if at < 0:
            return []
        if any(food.start <= at < food.end for food in before):
            return self._chain(words, clauses, [food for food in before if food.start <= at], remark)
        if owner := self._placed(words, before, at):
            return [(owner.name, owner)]
        noun = words[at].removesuffix("'s")
        verb = noun != words[at] or bool(self._verbs.intersection(words[at + 1 : remark.start + 1]))
        if verb and noun in self._kinds and (other := self._other_kind(words, before, at)):
            return other
        if not verb or words[at] in self._pronouns or not noun.isalpha():
            return []
        if noun in self._general:
            return [(DISH, None)]
        if noun in self._kinds:
            return []
        named = self._full_name(words, at)
        made = noun.endswith("ing") and noun not in self._no_nouns and " " in named
        is_noun = noun not in self._no_nouns and self._is_noun(words, at)
        return [(named, None)] if made or is_noun or noun not in self._not_subject else []

    def _other_kind(self, words: Sequence[str], before: Sequence[FoodSpan], at: int) -> list[Subject]:
        """`hard cheese is high in phosphorus but the soft one's low in it`: the soft cheese."""
        told = words[at - 1] in self._modifiers and words[at - 2] in self._definite
        if not told or not before or before[-1].start < at - _KIND_BACK:
            return []
        return [(f"{words[at - 1]} {before[-1].name.split()[-1]}", None)]

    def _is_noun(self, words: Sequence[str], at: int) -> bool:
        """Whether a word that may be a verb is none here: `cubes are full of salt`, `them wraps is all sodium`."""
        plural = words[at].endswith("s") and words[at + 1 : at + 2] in {("are",), ("aren't",)}
        named = words[at - 1] in self._definite or words[at - 1] == "them"
        return plural or (named and not words[at].endswith("ed"))

    def _placed(self, words: Sequence[str], before: Sequence[FoodSpan], at: int) -> FoodSpan | None:
        """`the bread from the shop`: the food before the place that it is from or in."""
        if words[at] in self._pronouns | self._not_subject:
            return None
        near = range(at - 1, max(0, at - 1 - _PLACE), -1)
        place = next((place for place in near if words[place] in {"from", "in"}), None)
        return next((food for food in before if food.end == place), None)

    def _full_name(self, words: Sequence[str], at: int) -> str:
        """A noun no table has, with the words before it that are part of its name: `gravy granules`."""
        head = words[at].removesuffix("'s")
        first = at
        while first > max(0, at - _LONGEST_NAME):
            word = words[first - 1]
            if word in self._not_subject or word in self._pronouns or word in self._between or word == head:
                break
            first -= 1
        return " ".join([*words[first:at], head])

    def _nearest(
        self, words: Sequence[str], clauses: Clauses, before: Sequence[FoodSpan], remark: Remark
    ) -> list[Subject]:
        before = self._without_predicates(words, before)
        if not before:
            said = words[max(0, remark.start - 6) : remark.start]
            here = words[remark.end : remark.end + 1] == ("in",) and self._here.intersection(
                words[remark.end + 1 : remark.end + 2]
            )
            return [(DISH, None)] if here or self._dish.intersection(said) else []
        nearest = before[-1]
        dish_at = max((place for place in range(nearest.end, remark.start) if words[place] in self._dish), default=-1)
        if dish_at > nearest.end + 1 and words[dish_at - 1] in self._definite:
            return [self._named(words[dish_at])]
        return self._chain(words, clauses, before, remark)

    def _without_predicates(self, words: Sequence[str], foods: Sequence[FoodSpan]) -> list[FoodSpan]:
        """`marrow is basically water, so it's low in potassium`: not the food that another is said to be."""
        kept = list(foods)
        for one, two in pairwise(foods):
            between = words[one.end : two.start]
            said = bool(between) and between[0] in _IS and self._between.issuperset(between)
            if said and two in kept:
                kept.remove(two)
        return kept

    def _chain(
        self, words: Sequence[str], clauses: Clauses, before: Sequence[FoodSpan], remark: Remark
    ) -> list[Subject]:
        """The last food, and those joined to it in its sentence by and, or, nor, unless the verb is singular."""
        chain = [before[-1]]
        together = not {"all", "both"}.isdisjoint(words[chain[0].end : remark.start])
        single = self._is_single(words, before, remark) or (not together and _is_repeated(before))
        for food in () if single else before[-2::-1]:
            between = words[food.end : chain[-1].start]
            listed = len(between) > 0 or len(chain) > 1 or together
            joined = listed and len(between) <= 2 and self._joins.issuperset(between)
            if (
                not joined
                or self._starts_anew(words, before, food)
                or clauses.sentence_of[food.head] != clauses.sentence_of[chain[0].head]
            ):
                break
            chain.append(food)
        return [(food.name, food) for food in reversed(chain)]

    def _is_single(self, words: Sequence[str], before: Sequence[FoodSpan], remark: Remark) -> bool:
        end = before[-1].end
        return words[end - 1].endswith("'s") or not self._one.isdisjoint(words[end : remark.start + 1])

    def _starts_anew(self, words: Sequence[str], before: Sequence[FoodSpan], food: FoodSpan) -> bool:
        """Whether what follows `and` is a new statement: `in a curry and potatoes are high`, where potatoes were just
        spoken of, or `with ginger and apples are low`."""
        lead = food.start - 1 - (words[food.start - 1] in self._definite | _A)
        return before[-1].start > food.end and words[lead] in self._prepositions - {"of"}

    def _without_salt(
        self, words: Sequence[str], foods: Sequence[FoodSpan], before: Sequence[FoodSpan], remark: Remark
    ) -> list[Subject]:
        """`no added salt in this slaw`, `fish stock with no added salt`: the thing named, else the dish."""
        if remark.rule.startswith(BARE) and words[remark.end : remark.end + 1] not in _PLACES:
            return [(DISH, None)]
        at = past_fillers(words, remark.end)
        if words[at : at + 1] in _PLACES:
            named = self._put_in(words, foods, at + 1)
            held = self._stock(words, before, remark) if words[at : at + 2] in _ITSELF else None
            held = held or self._of_itself(words, before, remark, words[at + 1 : at + 3])
            return [(held.name, held)] if held is not None else named
        has = _NEAR if _HAS.intersection(words[remark.start - 2 : remark.start]) else 3
        label = words[before[-1].end : remark.end + 1] if before else ()
        if stock := self._stock(words, before, remark):
            return [(stock.name, stock)]
        if not self._labelled.isdisjoint(label) and before and remark.start - before[-1].end <= _KIND_BACK:
            return [(before[-1].name, before[-1])]
        if "made" in label and "with" in label and before and remark.start - before[-1].end <= _MADE_BACK:
            return [(before[-1].name, before[-1])]
        if remark.rule.startswith("claim.added-none.after") and before and remark.start - before[-1].end <= has:
            return [(before[-1].name, before[-1])]
        holds = words[remark.start - 1] in _BARE_HAS
        if holds and before and before[-1].end == remark.start - 1:
            return [(before[-1].name, before[-1])]
        with_it = words[remark.start - 1] == "with" and before and remark.start - before[-1].end <= _NEAR
        return [(before[-1].name, before[-1])] if with_it else [(DISH, None)]

    def _stock(self, words: Sequence[str], before: Sequence[FoodSpan], remark: Remark) -> FoodSpan | None:
        """`it's chicken stock i boil myself no salt added`, `i made this stock and there's no salt gone in it`: what
        was left out of a stock is said of the stock."""
        near = bool(before) and remark.start - before[-1].end <= _STOCK_BACK
        if not near or before[-1].name.split()[-1] not in self._stocks:
            return None
        said = words[remark.start : remark.end + 3]
        own = not _ITSELF.isdisjoint(pairwise(said))
        return before[-1] if own or "added" in said else None

    def _of_itself(
        self, words: Sequence[str], before: Sequence[FoodSpan], remark: Remark, place: Sequence[str]
    ) -> FoodSpan | None:
        """The food of `stock with no salt added to it`, `broth of the kind with no salt in the carton`."""
        own = place[:1] in {("it",), ("them",)} or not self._kinds.isdisjoint(place)
        near = bool(before) and remark.start - before[-1].end <= _KIND_BACK
        return before[-1] if own and near and "with" in words[remark.start - 2 : remark.start] else None

    def _put_in(self, words: Sequence[str], foods: Sequence[FoodSpan], at: int) -> list[Subject]:
        """`in this roast`, `to that broth`, `in here`."""
        if words[at : at + 1] == ("top",):
            return [(DISH, None)]
        for food in foods:
            if at <= food.head <= at + 2:
                return [(food.name, food)]
        at += words[at : at + 1] != () and words[at] in self._definite
        pointed = words[at - 1] in self._definite
        at += words[at : at + 1] == ("whole",)
        noun = words[at] if at < len(words) else ""
        known = noun and noun not in self._here | self._general | self._no_nouns | self._people
        return [(noun, None)] if known and pointed else [(DISH, None)]

    def _named(self, noun: str) -> Subject:
        return (DISH, None) if noun in self._general else (noun, None)


def _is_repeated(before: Sequence[FoodSpan]) -> bool:
    """Whether of the last two only the last was named before: `with peanuts or coconut and peanuts are ...`."""
    return [any(food.name == said.name for food in before if food.start < said.start) for said in before[-2:]] == [
        False,
        True,
    ]
