"""Finds foods in a run of words: the lexicon's name, the modifiers round it, and what is only a figure of speech."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pipeline.foods.names import FoodName, FoodNames
from pipeline.hear.lexicon import Classes, Span, load_phrases, load_rows, unit_foods
from pipeline.hear.quantity import Quantity
from pipeline.hear.speech import Speech
from pipeline.phrases import ENDINGS, Match

_LONGEST_FIGURE = 7
_CONTEXT = 6
_LONGEST_NAME = 8
_LONGEST_MODIFIER = 5
_PART_REACH = 7
_UNKNOWN_REACH = 4


@dataclass(frozen=True, slots=True)
class FoodSpan:
    """A food named by words `start` to `end`, modifiers included; the lexicon's own words begin at `head`.

    `name` is what an editor would print; `food` the id of the food table; `kind` as in `models/foods`: name, variant,
    generic or misheard. `sizes` and `preparation` are modifiers that do not change the food.
    """

    start: int
    end: int
    head: int
    name: str
    food: str
    kind: str
    rule: str
    sizes: tuple[str, ...] = ()
    preparation: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Saying:
    """A food word that stands in an idiom, a colour or a size."""

    span: Span
    why: str


class FoodFinder:
    """Compiled names, modifiers and guards; finds foods in any number of speeches."""

    def __init__(self, names: FoodNames, classes: Classes) -> None:
        self._names = names
        self._modifiers = {row["words"]: row["kind"] for row in load_rows("modifiers.csv", ("words", "kind"))}
        self._modifier_ends = frozenset(words.split()[-1] for words in self._modifiers)
        self._idioms = load_phrases("idioms.csv", ("id", "pattern", "why"), classes)
        self._fruit_parts = frozenset(classes["fruit-part"])
        self._colours = frozenset(classes["colour"])
        self._dual = frozenset(row["word"] for row in load_rows("dual_words.csv", ("word",)))
        self._objects = frozenset(classes["object"])
        numbers = {row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind"))}
        self._figures = frozenset({*numbers, "and", "of"})
        units = load_rows("units.csv", ("word", "unit", "kind"))
        self._units = frozenset(row["word"] for row in units)
        owners = unit_foods()
        self._unit_owners = {row["word"]: owners[row["unit"]] for row in units if row["unit"] in owners}
        self._measures = frozenset(row["word"] for row in units if row["kind"] in {"measure", "small"})
        self._states = {
            row["word"]: frozenset(row["nouns"].split()) for row in load_rows("state_names.csv", ("word", "nouns"))
        }
        self._noun_openers = frozenset(classes["noun-opener"])

    def sayings(self, speech: Speech) -> tuple[Saying, ...]:
        """Sayings, colours, tools and sizes that hold a food word, in order."""
        return tuple(
            Saying(Span(match.start, match.end, match.payload["id"]), match.payload["why"])
            for match in self._idioms.everywhere(speech.words, speech.places)
        )

    def find(self, speech: Speech, sayings: Sequence[Saying]) -> tuple[FoodSpan, ...]:
        """Foods from left to right, none overlapping another."""
        words = speech.words
        bare_words = {word: _plain(word) for word in speech.places}
        plain = tuple([bare_words[word] for word in words])
        blocked = {place for saying in sayings for place in range(saying.span.start, saying.span.end)}
        found: list[FoodSpan] = []
        openers = self._names.openers({*bare_words, *bare_words.values()})
        done = 0
        for place in speech.where({word for word, bare in bare_words.items() if word in openers or bare in openers}):
            if place < done:
                continue
            match = self._named(words, plain, place, blocked)
            if match is None:
                continue
            (entry, length), place = self._later_noun(words, place, match)
            floor = found[-1].end if found else 0
            span = self._with_modifiers(speech, entry, Match(place, place + length, entry), floor)
            found.append(self._part_of_fruit(words, span, floor))
            done = place + length
        return tuple(found)

    def _named(
        self, words: Sequence[str], plain: Sequence[str], place: int, blocked: set[int]
    ) -> tuple[FoodName, int] | None:
        """The longest name at a word that counts there, with its length: where nothing near by bears out `honey do`,
        the melon, it is honey that'll do."""
        end = place + _LONGEST_NAME
        while end > place:
            here, without = words[place:end], plain[place:end]
            said = self._names.longest(here, 0)
            bare = said if here == without else self._names.longest(without, 0)
            match = bare if said is None or (bare is not None and bare[1] > said[1]) else said
            if match is None or self._is_food(words, place, match[1], match[0], blocked):
                return match
            end = place + match[1] - 1
        return None

    def _part_of_fruit(self, words: Sequence[str], span: FoodSpan, floor: int) -> FoodSpan:
        """`the juice of half a lemon` is lemon juice; the amount still counts lemons."""
        for place in range(span.start - 1, max(floor, span.start - _PART_REACH) - 1, -1):
            if words[place] in self._fruit_parts and words[place + 1 : place + 2] == ("of",):
                name = f"{self._names.singular(span.name)} {words[place]}"
                entry = self._names.lookup(name)
                return replace(span, name=name, food=entry.food) if entry else span
        return span

    def _later_noun(
        self, words: Sequence[str], place: int, match: tuple[FoodName, int]
    ) -> tuple[tuple[FoodName, int], int]:
        """`toasted bread crumbs` are crumbs: a name that begins inside the match and reaches further wins."""
        for start in range(place + 1, place + match[1]):
            other = self._names.longest(words, start)
            if other is None or start + other[1] <= place + match[1] or other[1] < 2:
                continue
            if all(word in self._modifiers for word in words[place:start]):
                return other, start
        return match, place

    def _is_food(self, words: Sequence[str], place: int, length: int, entry: FoodName, blocked: set[int]) -> bool:
        if any(spot in blocked for spot in range(place, place + length)):
            return False
        counted = words[place + length - 1] in self._units and words[place + length : place + length + 1] == ("of",)
        if entry.needs and (counted or (length == 1 and self._counts_another(words, place))):
            return False
        if entry.needs:
            before, after = max(0, place - _CONTEXT), place + length
            around = [*words[before:place], *words[after : after + _CONTEXT]]
            if not entry.needs.intersection(around):
                return False
        return not (length == 1 and words[place] in self._dual and self._is_verb(words, place))

    def _counts_another(self, words: Sequence[str], place: int) -> bool:
        """The cloves of `garlic, five cloves`, not of `garlic and five cloves`: a unit that counts the food named just
        before."""
        owner, first = self._unit_owners.get(words[place]), place
        while first > max(0, place - _LONGEST_FIGURE) and words[first - 1] in self._figures:
            first -= 1
        counts = first < place and words[first] != "and"
        return owner is not None and counts and words[first - 1 : first] == (owner,)

    def _is_verb(self, words: Sequence[str], place: int) -> bool:
        """`butter the tin`, `salt it`: an object follows, and nothing before opens a noun phrase; not `butter two
        tablespoons`."""
        following = words[place + 1] if place + 1 < len(words) else ""
        before = words[place - 1] if place else ""
        if self._is_measured(words, place + 1):
            return False
        return following in self._objects and before not in self._noun_openers and before not in self._modifiers

    def _is_measured(self, words: Sequence[str], place: int) -> bool:
        """Whether words from `place` on say how much of it: `one and a half cups`; not `two pounds of beans`."""
        end = place
        while end < min(len(words), place + _LONGEST_FIGURE) and words[end] in self._figures:
            end += 1
        measured = place < end < len(words) and words[end] in self._measures
        return measured and words[end + 1 : end + 2] != ("of",)

    def _with_modifiers(self, speech: Speech, entry: FoodName, match: Match[FoodName], floor: int) -> FoodSpan:
        start = match.start
        kept: list[str] = []
        sizes: list[str] = []
        preparation: list[str] = []
        while True:
            length, kind = self._modifier_before(speech, start, floor)
            if not length:
                break
            words = " ".join(speech.words[start - length : start])
            if words in self._states and speech.words[match.end - 1] not in self._states[words]:
                kind = "size"
            if words in self._colours and speech.words[start] in self._colours:
                break
            {"name": kept, "size": sizes, "preparation": preparation}[kind].insert(0, words)
            start -= length
        spoken = " ".join(speech.words[match.start : match.end])
        spoken = spoken if entry.name.endswith("'s") else _plain(spoken)
        head = entry.editor or self._without_sizes(spoken, entry, sizes)
        name = " ".join([*kept, head])
        exact = self._names.lookup(name) if kept else None
        return FoodSpan(
            start=start,
            end=match.end,
            head=match.start,
            name=name,
            food=exact.food if exact else entry.food,
            kind=exact.kind if exact else entry.kind,
            rule=f"food.{entry.kind}",
            sizes=tuple(sizes),
            preparation=tuple(preparation),
        )

    def _without_sizes(self, spoken: str, entry: FoodName, sizes: list[str]) -> str:
        """`whole lemon` is a lemon: words of size that the list of names carries do not print."""
        first, _, rest = spoken.partition(" ")
        if rest and self._modifiers.get(first) == "size":
            plain = self._names.lookup(rest)
            if plain is not None and plain.food == entry.food:
                sizes.append(first)
                return rest
        return spoken

    def _modifier_before(self, speech: Speech, end: int, floor: int) -> tuple[int, str]:
        """Length and kind of the longest modifier that ends before word `end`; (0, "") where there is none."""
        if end <= floor or speech.words[end - 1] not in self._modifier_ends:
            return 0, ""
        for length in range(_LONGEST_MODIFIER, 0, -1):
            start = end - length
            if start < floor or any(speech.stop_after[start:end]):
                continue
            kind = self._modifiers.get(" ".join(speech.words[start:end]))
            if kind:
                return length, kind
        return 0, ""


def _plain(word: str) -> str:
    """`pear` for `pear's`, `pear'll` and `pear'd`."""
    ending = next((ending for ending in ENDINGS if word.endswith(ending)), "")
    return word.removesuffix(ending)


def fill_unknown(
    speech: Speech, foods: Sequence[FoodSpan], quantities: Sequence[Quantity], not_foods: frozenset[str]
) -> tuple[FoodSpan, ...]:
    """Adds what is measured by the spoon, the cup or the gram and is no food of the list: `two teaspoons of SOMETHING`.

    Such a food has no id and goes to the questions.
    """
    named = {place for food in foods for place in range(food.start, food.end)}
    found = list(foods)
    for quantity in quantities:
        place = quantity.end
        if not quantity.of or quantity.kind != "measure" or quantity.low is None or place >= len(speech):
            continue
        near = set(range(place, place + _UNKNOWN_REACH))
        if near & named or speech.words[place] in not_foods or not speech.words[place].isalpha():
            continue
        name = speech.words[place]
        found.append(FoodSpan(place, place + 1, place, name, "", "unknown", "food.unknown"))
    return tuple(sorted(found, key=lambda food: food.start))
