"""Reads the dishes out of an episode's opening, where no set phrase announces them: signs are added up."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases, load_rows, load_weights
from pipeline.phrases import Match
from pipeline.split.calls import Caller
from pipeline.split.counts import DishCounter
from pipeline.split.dishes import aside, stem
from pipeline.split.remembered import Remembered
from pipeline.split.titles import Announcement, TitleReader

_MADE = frozenset({"baked", "bread", "dish", "soup-stock", "sweet"})
_WEIGHTS = (
    "enough promised dish weak food cooked modified tail vessel opening article planned listed again often turned "
    "served measured definite within"
)
_OPENING_WORDS = 200
_LEAST_OPENING = 80
_OPENING_SHARE = 5
_LEAD = 3
_SIDE_BY_SIDE = 6
_COOKED_IN = 3
_WITHIN = 8
_SAID_BESIDE = 3
_NAMED_BEFORE = 3
_DESCRIBED = frozenset({"cooked", "modified", "tail", "vessel"})
_OF_A_DISH = (
    frozenset({"article", "served"}),
    frozenset({"vessel", "turned"}),
    frozenset({"planned", "turned"}),
    frozenset({"planned", "tail"}),
)
_BELIEVED = (frozenset({"planned", "turned"}), frozenset({"article", "turned", "served"}))
_PLAN_WITHIN = 14
_LONGEST_LEAD = 4
_SERVED_WITHIN = 8
_SAID_BESIDE = 3
_NAMED_BEFORE = 3
_MADE_WITHIN = 40


@dataclass(frozen=True, slots=True)
class _Noun:
    """The noun of a candidate, words `start` to `end` (exclusive), and what kind of word it is."""

    start: int
    end: int
    kind: str


@dataclass(frozen=True, slots=True)
class _Phrase:
    """A candidate: from its first modifier to the end of its tail; `signs` are those of models/menu.toml."""

    item: Announcement
    noun: _Noun
    signs: tuple[str, ...]


class MenuReader:
    """Compiled words and weights."""

    def __init__(self, titles: TitleReader, classes: Classes, table: FoodTable, caller: Caller) -> None:
        self._titles = titles
        self._caller = caller
        self._main = frozenset(food.id for food in table if food.group in classes["main-group"])
        self._holders = frozenset(classes["title-vessel"])
        self._kept = frozenset(classes["kept-word"])
        self._day = frozenset(classes["menu-day"])
        self._leads = load_phrases("menu_leads.csv", ("id", "when", "pattern"), classes)
        self._counter = DishCounter(classes)
        self._places = Remembered(_places_of)
        self._measured = Remembered(_measured_at)
        self._poured = frozenset(classes["poured-part"])
        self._next_to = frozenset(classes["next-to"])
        self._used_up = frozenset(classes["used-up-part"])
        self._beside_it = frozenset(classes["beside-it"])
        self._renaming = frozenset(classes["renaming"])
        self._definition = frozenset(classes["definition"])
        self._called = frozenset(classes["another-name"])
        self._made = frozenset(food.id for food in table if food.group in _MADE)
        self._weights = load_weights("menu.toml", _WEIGHTS.split())
        self._cooked = frozenset(
            row["form"]
            for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
            if row["kind"] == "cook" and row["form"].endswith("ed")
        ) | frozenset(classes["title-cooked"])
        self._named_cooked = frozenset(classes["title-cooked"])
        self._vessels = frozenset((word,) for word in (*classes["vessel"], *classes["title-vessel"]))
        self._articles = frozenset(classes["title-article"])
        self._definite = frozenset(classes["definite"])
        self._lead = frozenset(classes["title-lead"])
        self._glue = frozenset(classes["clause-lead"]) | frozenset(classes["title-lead"])
        self._between = frozenset(classes["menu-joining"]) | frozenset(classes["title-lead"])

    def find(self, hearing: Hearing, announced: Sequence[Announcement]) -> tuple[Announcement, ...]:
        """Dishes of the opening that are not among those `announced`, and other names of dishes, in order."""
        length = len(hearing.speech)
        limit = min(length, max(_LEAST_OPENING, min(_OPENING_WORDS, length // _OPENING_SHARE)))
        taken = [(item.start, item.end) for item in announced]
        phrases = [
            phrase
            for noun in self._nouns(hearing, limit)
            if not _overlaps(noun, taken) and (phrase := self._phrase(hearing, noun)) is not None
        ]
        ends = {end for _, end in taken} | {phrase.item.end for phrase in phrases}
        phrases = [phrase for phrase in phrases if not any(_within(phrase, other) for other in phrases)]
        others = [phrase for phrase in phrases if self._renames(hearing, phrase, ends)]
        phrases = [phrase for phrase in phrases if phrase not in others]
        coming = {stem(phrase.item.head) for phrase in phrases if "within" in phrase.signs}
        plain = [phrase for phrase in phrases if phrase.noun.kind == "dish" or stem(phrase.item.head) not in coming]
        accepted = self._unlike(announced, [phrase for phrase in plain if self._enough(phrase.signs)])
        firm = taken + [(phrase.item.start, phrase.item.end) for phrase in accepted]
        for phrase in phrases:
            if "within" in phrase.signs or _overlaps(phrase.item, firm) or not self._beside(hearing, phrase, firm):
                continue
            listed = replace(phrase, signs=(*phrase.signs, "listed"))
            accepted.extend([listed] if self._enough(listed.signs) else [])
        found = [*announced, *(phrase.item for phrase in accepted)]
        accepted.extend(self._promised(hearing, phrases, found))
        names = [replace(phrase.item, alias=True) for phrase in others if phrase.noun.kind == "dish"]
        return tuple(sorted((*(phrase.item for phrase in accepted), *names), key=lambda item: item.start))

    def _renames(self, hearing: Hearing, phrase: _Phrase, ends: Set[int]) -> bool:
        """`stuffed peppers, that's gemista`, `turon is the fried roll`, `which is beef and onions`: another name of a
        thing named before."""
        words, start = hearing.speech.words, phrase.item.start
        lead = start - (words[start - 1] in self._lead)
        if words[max(0, lead - 1)] in self._definition:
            told = lead - 1 - (words[lead - 2] == "which")
            if not ends.isdisjoint(range(told - _NAMED_BEFORE * (told < lead - 1), told + 1)):
                return True
        first = start
        while first and words[first - 1] in self._renaming:
            first -= 1
        return first < start and first in ends and not self._called.isdisjoint(words[first:start])

    @staticmethod
    def _unlike(announced: Sequence[Announcement], phrases: Sequence[_Phrase]) -> list[_Phrase]:
        """Without what stands inside a dish's name, and without plain foods that another dish is named after."""
        dishes = [(phrase.item.start, phrase.item.end) for phrase in phrases if phrase.noun.kind == "dish"]
        told = [phrase for phrase in phrases if phrase.noun.kind == "dish" or not _overlaps(phrase.item, dishes)]
        titles = [*announced, *(phrase.item for phrase in told if not _DESCRIBED.isdisjoint(phrase.signs))]
        named = {stem(word) for item in titles for word in item.title.split()}
        return [
            phrase
            for phrase in told
            if phrase.noun.kind == "dish"
            or not _DESCRIBED.isdisjoint(phrase.signs)
            or stem(phrase.item.head) not in named
        ]

    def _promised(
        self, hearing: Hearing, phrases: Sequence[_Phrase], found: Sequence[Announcement]
    ) -> Iterator[_Phrase]:
        """The best of the others, for as many dishes as the opening promises beyond those `found`."""
        heads = {stem(word) for item in found for word in item.title.split()}
        missing = self._counter.said(hearing) - len({stem(item.head) for item in found})
        best = sorted(phrases, key=lambda phrase: -self._weight(phrase.signs))
        for phrase in best:
            dish = phrase.noun.kind == "dish" or not _DESCRIBED.isdisjoint(phrase.signs)
            dish = dish and "definite" not in phrase.signs
            if missing > 0 and dish and stem(phrase.item.head) not in heads:
                if self._weight(phrase.signs) >= self._weights["promised"]:
                    yield phrase
                missing -= 1

    def _weight(self, signs: Sequence[str]) -> float:
        return sum(self._weights[sign] for sign in signs)

    def _enough(self, signs: Sequence[str]) -> bool:
        """A noun that is also a food needs more said with it than that noun; an uncooked food must be
        served or made too."""
        described = signs[0] == "dish" or not _DESCRIBED.isdisjoint(signs)
        bare = not described and not any(told.issubset(signs) for told in _BELIEVED)
        plain = signs[0] == "food" and "cooked" not in signs
        raw = plain and ("measured" in signs or not any(told.issubset(signs) for told in _OF_A_DISH))
        return not bare and not raw and self._weight(signs) >= self._weights["enough"]

    def _nouns(self, hearing: Hearing, limit: int) -> Iterator[_Noun]:
        """Words for dishes, with a food that follows at once (stew chicken), and foods: those with a word for how they
        are cooked before or after (buttered cabbage, pears poached in ginger), and those that are turned to later."""
        words = hearing.speech.words
        starts = {food.start: food.end for food in hearing.foods}
        ends_of = {head.start: starts.get(head.end, head.end) for head in self._titles.heads(hearing)}
        ends_of |= {food.head: food.end for food in hearing.foods if food.head in ends_of and food.food in self._made}
        inside = {
            place
            for food in hearing.foods
            if food.end - food.head > 1 and food.food not in self._made
            for place in range(food.head, food.end)
        }
        ends: set[int] = set()
        for head in self._titles.heads(hearing):
            end = ends_of.get(head.start, head.end)
            kind = self._kind(words, head, end)
            held = head.start in inside and not self._is_beside(words, end)
            if head.start < limit and kind in {"dish", "weak"} and not held:
                ends.add(end)
                yield _Noun(head.start, end, kind)
        for food in hearing.foods:
            beside = words[max(0, food.start - 1) : food.head] + words[food.end : food.end + 1]
            cooked = not self._cooked.isdisjoint(beside) or words[food.start] in self._named_cooked
            if food.head >= limit or food.end in ends or food.food not in self._main | self._made:
                continue
            noun = _Noun(food.start, food.end, "weak" if food.food in self._made else "food")
            if cooked or self._is_made(hearing, noun):
                yield noun

    def _kind(self, words: Sequence[str], head: Match[str], end: int) -> str:
        """What a word for a dish is here: a part that is served beside it is a dish, `for pudding` tells a course."""
        if words[max(0, head.start - 1)] == "for":
            return "course"
        part = head.payload in {"part", "weak-part"} and words[end - 1] not in self._used_up
        return "dish" if part and self._is_beside(words, end) else head.payload

    def _is_beside(self, words: Sequence[str], end: int) -> bool:
        """`a raita next to it`."""
        return not self._next_to.isdisjoint(words[end : end + _SAID_BESIDE])

    def _phrase(self, hearing: Hearing, noun: _Noun) -> _Phrase | None:
        words = hearing.speech.words
        if aside(hearing, noun.end - 1) or words[noun.end : noun.end + 1] in self._vessels:
            return None
        start = self._titles.noun_phrase_start(hearing, noun.start)
        if not self._titles.names(words[start : noun.end - 1]):
            return None
        end = noun.end
        if words[end : end + 1] == ("with",):
            end = self._titles.tail_end(hearing, end, self._titles.phrase_end(hearing, end))
        tail = self._titles.tail(words, noun.end, end, hearing) or list(
            words[noun.end : self._cooked_in(hearing, noun)]
        )
        title = " ".join([*words[start : noun.end], *tail])
        parts = self._titles.parts(words, noun.end, end)
        end = max(end, self._cooked_in(hearing, noun))
        item = Announcement(start, end, title, words[noun.end - 1], parts, noun.kind, True, "title.opening")
        return _Phrase(item, noun, tuple(self._signs(hearing, item, noun, start)))

    def _cooked_in(self, hearing: Hearing, noun: _Noun) -> int:
        """The end of `poached in ginger` after the noun; the noun's own where nothing of the kind follows."""
        words = hearing.speech.words
        if words[noun.end : noun.end + 1] == () or words[noun.end] not in self._cooked:
            return noun.end
        following = (food.end for food in hearing.foods if noun.end < food.head <= noun.end + _COOKED_IN)
        return (
            next(following, noun.end + 1)
            if words[noun.end + 1 : noun.end + 2] in {("in",), ("with",)}
            else noun.end + 1
        )

    def _signs(self, hearing: Hearing, item: Announcement, noun: _Noun, start: int) -> Iterator[str]:
        words, before = hearing.speech.words, hearing.speech.words[start - 1] if start else ""
        yield noun.kind
        if noun.kind != "dish":
            around = words[start : noun.end - 1] + words[noun.end : noun.end + 1]
            cooked = any(word in self._cooked for word in around) or words[noun.start] in self._named_cooked
            if cooked:
                yield "cooked"
            elif self._modified(hearing, noun, start) or (noun.kind == "weak" and noun.end - noun.start > 1):
                yield "modified"
            if words[max(0, start - 1) : start] == ("of",) and words[max(0, start - 2)] in self._holders:
                yield "vessel"
            if len(item.title.split()) > noun.end - start and not cooked:
                yield "tail"
        sentence, clause = hearing.clauses.sentence(start)[0], hearing.clauses.clause(start)[0]
        if any(start - first <= _LEAD and self._glue.issuperset(words[first:start]) for first in (sentence, clause)):
            yield "opening"
        if before in self._articles:
            yield "article"
        if before in self._definite:
            yield "definite"
        if self._planned(hearing, start):
            yield "planned"
        beside = not self._beside_it.isdisjoint(words[noun.end : noun.end + _SAID_BESIDE])
        if not beside and self._accompanies(hearing, start):
            yield "within"
        measured = {
            hearing.foods[said.food].head
            for said in hearing.measured
            if not said.quantity.article and said.quantity.unit != "piece"
        }
        if any(place in measured for place in range(start, noun.end)):
            yield "measured"
        if self._turned(hearing, noun):
            yield "turned"
        if self._served(hearing, noun):
            yield "served"
        later = self._later(hearing, noun)
        if later:
            yield "often" if later > 1 else "again"

    def _planned(self, hearing: Hearing, start: int) -> bool:
        """Whether the phrase follows words of planning (`second stop is`), some of them only soon after a word for the
        day: `so tonight we've got`."""
        words = hearing.speech.words
        while start and words[start - 1] in self._lead:
            start -= 1
        led = {
            match.payload["when"]
            for place in range(max(0, start - _LONGEST_LEAD), start)
            for match in self._leads.at(words, place)
            if match.end == start
        }
        today = not self._day.isdisjoint(words[max(0, start - _PLAN_WITHIN) : start])
        return "always" in led or ("day" in led and today)

    def _again(self, hearing: Hearing, noun: _Noun) -> Iterator[int]:
        """Where the noun comes again."""
        name = stem(hearing.speech.words[noun.end - 1])
        return (place for place in self._places(hearing)[name] if place >= noun.end)

    def _is_made(self, hearing: Hearing, noun: _Noun) -> bool:
        """Whether an uncooked food is turned to later, or planned."""
        return self._turned(hearing, noun) or self._planned(
            hearing, self._titles.noun_phrase_start(hearing, noun.start)
        )

    def _turned(self, hearing: Hearing, noun: _Noun) -> bool:
        """Whether the talk turns to the noun later and something is measured then: `okay carrots ... a pound`."""
        measured = self._measured(hearing)
        return any(
            bisect_right(measured, place) < bisect_right(measured, place + _MADE_WITHIN)
            and self._caller.turns(hearing, place)
            for place in self._again(hearing, noun)
        )

    def _served(self, hearing: Hearing, noun: _Noun) -> bool:
        """Whether it is said of the noun how many it feeds, or how long it keeps."""
        words = hearing.speech.words
        fed = [span.start for span in hearing.servings]
        kept = [span.start for span in hearing.times if self._kept.intersection(words[span.start - 4 : span.start])]
        return any(
            0 < at - place <= _SERVED_WITHIN and hearing.clauses.sentence(place) == hearing.clauses.sentence(at)
            for place in self._again(hearing, noun)
            for at in (*fed, *kept)
        )

    def _accompanies(self, hearing: Hearing, start: int) -> bool:
        """Whether the phrase is what something comes with: `with a SALAD`, `with a sauce and a SALAD`, but not
        `with leeks and a SALAD`; and what is poured over, `crumble and CUSTARD`."""
        words = hearing.speech.words
        if words[start] in self._poured and words[max(0, start - 1)] == "and":
            return True
        first = max(hearing.clauses.sentence(start)[0], start - _WITHIN)
        place = next((at for at in range(start - 1, first - 1, -1) if words[at] == "with"), None)
        if place is None:
            return False
        between = [word for word in words[place + 1 : start] if word not in self._articles | self._lead]
        return not between or (between[-1] == "and" and words[place + 1] in self._articles)

    def _modified(self, hearing: Hearing, noun: _Noun, start: int) -> bool:
        """Whether more is said before the noun than the name of the food that it ends."""
        named = min((food.start for food in hearing.foods if food.end == noun.end), default=noun.start)
        return start < min(named, noun.start)

    def _later(self, hearing: Hearing, noun: _Noun) -> int:
        """How often the noun comes again after the phrase and is spoken of as something that is made."""
        return sum(not aside(hearing, place) for place in self._again(hearing, noun))

    def _beside(self, hearing: Hearing, phrase: _Phrase, firm: Sequence[tuple[int, int]]) -> bool:
        """Whether nothing but joining words stands between the phrase and one that names a dish."""
        words = hearing.speech.words
        for start, end in firm:
            first, second = sorted([(start, end), (phrase.item.start, phrase.item.end)])
            between = words[first[1] : second[0]]
            if len(between) <= _SIDE_BY_SIDE and self._between.issuperset(between):
                return True
        return False


def _within(phrase: _Phrase, other: _Phrase) -> bool:
    """Whether the noun of a phrase stands inside a longer phrase that ends in another: chicken tikka skewers."""
    return phrase.noun != other.noun and other.item.start <= phrase.noun.start and phrase.noun.end <= other.noun.start


def _overlaps(words: _Noun | Announcement, others: Sequence[tuple[int, int]]) -> bool:
    return any(start < words.end and words.start < end for start, end in others)


def _places_of(hearing: Hearing) -> Mapping[str, Sequence[int]]:
    """Every word, in the singular -> its places."""
    found: dict[str, list[int]] = {}
    for place, word in enumerate(hearing.speech.words):
        found.setdefault(stem(word), []).append(place)
    return found


def _measured_at(hearing: Hearing) -> Sequence[int]:
    """Where the amounts begin that are no articles."""
    return [said.start for said in hearing.quantities if not said.article and said.low is not None]
