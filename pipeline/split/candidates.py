"""Collects what may be a dish: every noun for a dish, and every food that a dish is made of, with the phrases of the
opening that it ends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows
from pipeline.phrases import Match
from pipeline.split.dishes import named_aside, stem
from pipeline.split.nouns import Noun
from pipeline.split.outcomes import OutcomeReader
from pipeline.split.strange_names import StrangeNames
from pipeline.split.titles import Announcement, TitleReader
from pipeline.split.ways import SAUCE, DishWays

_MADE = frozenset({"baked", "bread", "dish", "soup-stock", "sweet"})
_OPENING_WORDS = 200
_LEAST_OPENING = 40
_OPENING_SHARE = 4
_SAID_BESIDE = 3
_GOES_WITHIN = 6
_SHOW_WITHIN = 5
_HANDLING = frozenset({"add", "combine", "cut", "move", "wash"})
_CLAIMED_BEFORE = 6
_WITH_BEFORE = 6
_ASKED_BEFORE = 4
_COUNTING = frozenset({"digit", "teen", "ten", "group"})
_STRENGTH = ("part", "food", "weak", "dish")


@dataclass(frozen=True, slots=True)
class Phrase:
    """A noun in the opening with what is said with it; `cooked` where a word tells how, as in poached pears."""

    noun: Noun
    item: Announcement
    cooked: bool


@dataclass(frozen=True, slots=True)
class Candidate:
    """All nouns of one name, by its singular, and the phrases of the opening that end in it."""

    name: str
    kind: str
    nouns: tuple[Noun, ...]
    phrases: tuple[Phrase, ...]


class CandidateFinder:
    """Compiled words for dishes and foods."""

    def __init__(self, titles: TitleReader, classes: Classes, table: FoodTable, outcomes: OutcomeReader) -> None:
        self._titles = titles
        self._strange = StrangeNames(titles, classes, outcomes)
        self._made = frozenset(food.id for food in table if food.group in _MADE)
        self._dish_foods = self._made.union(food.id for food in table if food.group in classes["main-group"])
        verbs = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._verbs = frozenset(row["form"] for row in verbs)
        self._before_verb = frozenset(classes["before-verb"])
        self._handling = frozenset(row["form"] for row in verbs if row["kind"] in _HANDLING)
        self._lead = frozenset(classes["title-lead"])
        self._definite = frozenset(classes["definite"])
        self._cooking = frozenset(row["form"] for row in verbs if row["kind"] == "cook")
        self._named_cooked = frozenset(classes["title-cooked"])
        self._cooked = frozenset(form for form in self._cooking if form.endswith("ed")) | self._named_cooked
        vessels = (*classes["vessel"], *classes["title-vessel"], *classes["utensil"])
        self._vessels = frozenset((word,) for word in (*vessels, *classes["meal"]))
        numbers = load_rows("numbers.csv", ("word", "value", "kind"))
        self._counts = frozenset((row["word"],) for row in numbers if row["kind"] in _COUNTING) - {("one",)}
        self._own = frozenset(classes["possessive"])
        self._sweet_courses = frozenset(classes["course-sweet"])
        self._being = frozenset(classes["title-being"])
        self._groups = frozenset(classes["group-word"])
        self._presenting = frozenset(classes["presenting"])
        self._beside_it = frozenset((word,) for word in (*classes["next-to"], "with"))
        self._next_to = frozenset(classes["next-to"])
        self._cooked_with = frozenset(classes["cooked-with"])
        self._used_up = frozenset(classes["used-up-part"])
        self._asking = frozenset(classes["asking-verb"])
        self._asked_for = frozenset(classes["sort-asked"]) | {"what"}
        self._speakers = frozenset(classes["speaking-pronoun"])
        self._ways = DishWays(table)

    def find(self, hearing: Hearing) -> tuple[Candidate, ...]:
        """Candidates in order of first mention."""
        limit = opening_of(hearing)
        named: dict[str, list[Noun]] = {}
        for noun in sorted(self._nouns(hearing), key=lambda noun: noun.start):
            named.setdefault(stem(hearing.speech.words[noun.end - 1]), []).append(noun)
        named |= {name: nouns for name, nouns in self._strange.find(hearing).items() if name not in named}
        return tuple(
            Candidate(
                name,
                max((noun.kind for noun in nouns), key=_STRENGTH.index),
                tuple(nouns),
                tuple(
                    phrase
                    for noun in nouns
                    if noun.start < limit and (phrase := self._phrase(hearing, noun)) is not None
                ),
            )
            for name, nouns in named.items()
            if not all(named_aside(hearing, noun.end - 1) for noun in nouns)
        )

    def _nouns(self, hearing: Hearing) -> Iterator[Noun]:
        """Words for dishes, with a food that follows at once (stew chicken), and the foods dishes are made of."""
        words, heads = hearing.speech.words, self._titles.heads(hearing)
        starts = {food.start: food.end for food in hearing.foods}
        made = {food.head: food.end for food in hearing.foods if food.food in self._made}
        plain = [food for food in hearing.foods if food.end - food.head > 1 and food.food not in self._made]
        inside = {place: (food.head, food.end) for food in plain for place in range(food.head, food.end)}
        ends: set[int] = set()
        covered: set[int] = set()
        for head in heads:
            way = words[head.end - 1] in self._named_cooked or words[head.end - 1] in self._verbs
            end = max(head.end, made.get(head.start, starts.get(head.end, head.end) if way else head.end))
            kind = self._kind(words, head, end)
            food_of = inside.get(head.start, (head.start, head.end))
            held = food_of != (head.start, head.end) and food_of[1] >= head.end and not self._is_beside(words, end)
            if kind in _STRENGTH and not held and not self._is_verb(hearing, head.start, end):
                ends.add(end)
                covered.update(range(head.start, end - 1))
                yield Noun(head.start, end, kind)
        for food in hearing.foods:
            dish = food.food in self._dish_foods or self._is_course(words, food.end)
            named = dish and not self._is_verb(hearing, food.start, food.end)
            group = food.end - food.start == 1 and hearing.speech.words[food.start] in self._groups
            if named and food.end not in ends and food.end - 1 not in covered and not group:
                yield Noun(food.start, food.end, "weak" if food.food in self._made else "food")

    def _kind(self, words: Sequence[str], head: Match[str], end: int) -> str:
        """What a word for a dish is here: a part served beside it is a dish but for `with a dip on the side` and
        `some of that gravy on the side`; `for your pudding` tells a course."""
        lead = words[max(0, head.start - 2) : head.start]
        if lead[-1:] == ("for",) or (lead[:1] == ("for",) and lead[1] in self._own):
            return "course"
        part = head.payload in {"part", "weak-part"} and words[end - 1] not in self._used_up
        dip = "with" in words[max(0, head.start - _WITH_BEFORE) : head.start] and self._is_sauce(words[end - 1])
        some = "of" in lead and self._is_sauce(words[end - 1])
        if part and not dip and not some and self._is_beside(words, end):
            return "dish"
        return "part" if head.payload == "weak-part" else head.payload

    def _is_course(self, words: Sequence[str], end: int) -> bool:
        """`a lemon cream for afters`: whatever is eaten then is a dish."""
        return words[end : end + 1] == ("for",) and not self._sweet_courses.isdisjoint(words[end + 1 : end + 2])

    def _is_sauce(self, word: str) -> bool:
        return SAUCE in self._ways.of_words([word])

    def _is_asked(self, words: Sequence[str], start: int) -> bool:
        """`are we having a trifle`, not `what are we having, trifle`."""
        asked = (at for at in range(max(1, start - _ASKED_BEFORE), start - 1) if words[at] in self._asking)
        return any(words[at + 1] in self._speakers and words[at - 1] not in self._asked_for for at in asked)

    def _is_beside(self, words: Sequence[str], end: int) -> bool:
        """`a raita next to it`, not `sauce next`, nor `in a sauce and next to it some slaw`."""
        near = range(end, end if words[end : end + 1] == ("and",) else min(len(words), end + _SAID_BESIDE))
        return any(
            words[at] in self._next_to and (words[at] != "next" or words[at + 1 : at + 2] == ("to",)) for at in near
        )

    def _is_verb(self, hearing: Hearing, start: int, end: int) -> bool:
        """Whether one word is what is done and no dish: `chop a leek`, `and roll it`, `you roast them`."""
        words = hearing.speech.words
        if end - start > 1 or words[start] not in self._verbs:
            return False
        first = hearing.clauses.clause(start)[0]
        return start == first or self._before_verb.issuperset(words[start - 1 : start])

    def _is_handled(self, hearing: Hearing, start: int) -> bool:
        """Whether the phrase is what something is done with: `add the rice`, `chop an onion`, `simmer the dal`."""
        words = hearing.speech.words
        first = start - 1 - (words[start - 1] in self._lead)
        cooked = words[start - 1] in self._definite and words[first] in self._cooking
        noun = self._titles.dish_words.longest(words, first) is not None
        done = words[first] in self._handling and (not noun or self._is_verb(hearing, first, first + 1))
        return start > 1 and (done or cooked)

    def _goes_beside(self, words: Sequence[str], end: int) -> bool:
        """`put some okra and corn in a skillet TO GO NEXT TO it`."""
        places = range(end, min(len(words), end + _GOES_WITHIN))
        return any(words[at : at + 2] == ("to", "go") and words[at + 2 : at + 3] in self._beside_it for at in places)

    def _phrase(self, hearing: Hearing, noun: Noun) -> Phrase | None:
        """The phrase that ends in the noun and its tail; none where it is only spoken of, counted, handled, tells a
        vessel or what it holds of potassium and the like."""
        words = hearing.speech.words
        if self._is_asked(words, noun.start) or named_aside(hearing, noun.end - 1):
            return None
        if words[noun.end : noun.end + 1] in self._vessels:
            return None
        if any(claim.start - _CLAIMED_BEFORE <= noun.end <= claim.end for claim in hearing.claims):
            return None
        start = self._titles.noun_phrase_start(hearing, noun.start)
        start += self._is_doing(words, start, noun.start)
        if self._is_show(words, start, noun.end) or words[start - 1 : start] == ("from",):
            return None
        counted = words[start - 1 : start] in self._counts
        beside = self._is_beside(words, noun.end) or self._goes_beside(words, noun.end)
        handled = self._is_handled(hearing, start) and not beside
        if counted or handled or not self._titles.names(words[start : noun.end - 1]):
            return None
        end = noun.end
        if words[end : end + 1] == ("with",) or self._titles.served_in(hearing, start, end):
            end = self._titles.tail_end(hearing, end, self._titles.phrase_end(hearing, end))
        cooked_end = self._cooked_in(hearing, noun)
        tail = self._titles.tail(words, noun.end, end, hearing) or list(words[noun.end : cooked_end])
        title = " ".join([*words[start : noun.end], *tail])
        parts = self._titles.parts(words, noun.end, end)
        around = words[start : noun.end - 1] + words[noun.end : noun.end + 1]
        cooked = not self._cooked.isdisjoint(around) or words[noun.start] in self._named_cooked
        head = words[noun.end - 1]
        end = end if tail else noun.end
        item = Announcement(start, end, title, head, parts, noun.kind, True, "title.opening")
        return Phrase(noun, item, cooked)

    def _is_doing(self, words: Sequence[str], start: int, noun: int) -> bool:
        """Whether the phrase begins with what is done: `we are FILLING tortillas`, `i'm MAKING naan`."""
        doing = words[start].endswith("ing") and words[start] in self._verbs
        return doing and start < noun and not self._being.isdisjoint(words[max(0, start - 1) : start])

    def _is_show(self, words: Sequence[str], start: int, end: int) -> bool:
        """`welcome back to second bowl`, `this is one small bowl and i am`: the name of the programme."""
        before = words[max(0, start - _SHOW_WITHIN) : start]
        named = ("this", "is") in pairwise(before) and not self._presenting.isdisjoint(words[end : end + _SAID_BESIDE])
        return named or ("welcome" in before and "to" in before[before.index("welcome") :])

    def _cooked_in(self, hearing: Hearing, noun: Noun) -> int:
        """The end of `poached in ginger` after the noun; the noun's own where nothing of the kind follows."""
        words, end = hearing.speech.words, noun.end
        if self._cooked.isdisjoint(words[end : end + 1]):
            return end
        if self._cooked_with.isdisjoint(words[end + 1 : end + 2]):
            return end + 1
        tail_end = self._titles.tail_end(hearing, end + 1, self._titles.phrase_end(hearing, end + 1))
        return max(end + 1, self._titles.last_noun(hearing, end + 1, tail_end))


def opening_of(hearing: Hearing) -> int:
    """Where the opening ends: after a fourth of the talk, but not before the first words nor long after them."""
    length = len(hearing.speech)
    return min(length, max(_LEAST_OPENING, min(_OPENING_WORDS, length // _OPENING_SHARE)))
