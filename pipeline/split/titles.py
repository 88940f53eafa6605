"""Reads what dishes an episode announces, and what an editor would call them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_dish_words, load_phrases, load_rows
from pipeline.phrases import Match, Names
from pipeline.split.dishes import Doubt, stem
from pipeline.split.remembered import Remembered

HEAD_WORD = "title.head-word"
_LONGEST_TITLE = 20
_FRONT = 0.1
_LONGEST_LEAD = 7


@dataclass(frozen=True, slots=True)
class Announcement:
    """Words `start` to `end` (exclusive) of the speech name a dish: `title` without articles; `head` its noun;
    `parts` the components named after `with`; `kind` is that of the head: dish, weak, part or food;
    `listed` says that it stood in a row of dishes, `alias` that it is another name of the dish before it, `doubt`
    how far it is to be doubted."""

    start: int
    end: int
    title: str
    head: str
    parts: tuple[str, ...]
    kind: str
    beside: bool
    rule: str
    listed: bool = False
    alias: bool = False
    doubt: Doubt = Doubt.NONE


class TitleReader:
    """Compiled announcements and dish words."""

    def __init__(self, classes: Classes) -> None:
        self._openers = load_phrases("announcements.csv", ("id", "kind", "pattern"), classes)
        self._speakers = frozenset(classes["pronoun"])
        self._inverted = frozenset(classes["asking-verb"])
        rows = load_dish_words()
        spellings = ((form, row["kind"]) for row in rows for form in _numbers_of(row["words"]))
        self.dish_words: Names[str] = Names(spellings)
        self._stop = frozenset(classes["title-stop"]) | frozenset(classes["finite-verb"]) | frozenset(classes["person"])
        self._stop |= {f"{word}'s" for word in classes["person"]} | frozenset(classes["never-titled"])
        self._lead = frozenset(classes["title-lead"])
        self._owners = frozenset(person + "'s" for person in classes["person"])
        self._joining = frozenset(classes["joining"])
        self._heads = Remembered(
            lambda hearing: tuple(self.dish_words.scan(hearing.speech.words, hearing.speech.places))
        )
        self._food_places = Remembered(_food_places)
        self._food_edges = Remembered(_food_edges)
        self._honorifics = frozenset(classes["honorific"])
        self._within = frozenset(classes["title-within"])
        self._edge = self._stop | self._lead | self._within | {"of", "and", "with"}
        self._vessels = frozenset(classes["title-vessel"])
        self._indefinite = frozenset({"a", "an", "some"})
        self._definite = frozenset(classes["own-article"])
        self._before_article = frozenset(classes["preposition"]) | self._joining
        self._part_nouns = frozenset(classes["title-part"])
        self._eaten_with = tuple(tuple(cue.split("-")) for cue in classes["eaten-with"])
        self._groups = frozenset(classes["group-word"])
        self._cooked = frozenset(classes["title-cooked"])
        nutrients = {row["words"] for row in load_rows("nutrients.csv", ("words", "nutrient"))}
        units = {row["word"] for row in load_rows("units.csv", ("word", "unit", "kind")) if row["kind"] == "measure"}
        figures = {row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind"))}
        self._courses = frozenset(classes["course-told"])
        verbs = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        doing = {row["form"] for row in verbs if row["kind"] in {"add", "move", "use"}}
        self._doings = frozenset(form for form in doing if form.endswith("ing"))
        self._places = frozenset(classes["place-lead"])
        self._after_verb = frozenset(classes["preposition"]) | frozenset(classes["det"])
        self._no_modifiers = frozenset(nutrients | units | figures)

    def find(self, hearing: Hearing) -> tuple[Announcement, ...]:
        """Announcements in order, none inside talk of another day nor in a question (am i making buns)."""
        speech = hearing.speech
        kept_out = [scope for scope in hearing.scopes if scope.kind in {"elsewhere", "negated", "interrupted"}]
        found: dict[tuple[int, int], Announcement] = {}
        for match in self._openers.everywhere(speech.words, speech.places):
            places = (match.start, match.end)
            if any(scope.start <= place < scope.end for scope in kept_out for place in places):
                continue
            before = speech.words[max(0, match.start - 1)]
            if speech.words[match.start] in self._speakers and before in self._inverted:
                continue
            asked = match.payload["kind"] == "asked"
            after = hearing.clauses.sentence(min(match.end, len(speech) - 1))
            if not asked and hearing.clauses.sentence(match.end - 1) != after:
                continue
            joined = match.start and before in self._joining
            beside = match.payload["kind"] not in {"dish", "asked"} or bool(joined)
            least = {"dish", "part"} if match.payload["kind"] == "also" else {"dish", "weak", "food", "part"}
            front = match.end <= max(160, _FRONT * len(speech))
            for item in self._named(hearing, match.end, beside, match.payload["id"]):
                if item.kind == "dish" or (item.kind in least and front):
                    found.setdefault((item.start, item.end), item)
        return tuple(sorted(found.values(), key=lambda item: item.start))

    def noun_phrase_start(self, hearing: Hearing, head: int) -> int:
        """Back from the noun to the article, another dish, `the soup's` or the start of the sentence; `and` is passed
        where it joins two foods."""
        words = hearing.speech.words
        food_ends, food_edges = self._food_edges(hearing)
        first = hearing.clauses.sentence(head)[0]
        start = head
        while start > first and head - start < _LONGEST_LEAD:
            before = words[start - 1]
            joins = before == "and" and start - 1 in food_ends and words[start - 2] not in self._stop
            joins = joins and not (start == head and self._last_dish_word(words, head, head + 1)[1] == "dish")
            joins = joins and not self._is_row(hearing, start, head)
            if before in self._edge and not joins:
                break
            if self._is_subject(before) or before == words[head] or words[max(0, start - 2)] in self._honorifics:
                break
            another = start < head and self._last_dish_word(words, start - 1, start)[0] == start
            if another and start in food_edges:
                break
            start -= 1
        return start + (words[start] == "and")

    def _is_row(self, hearing: Hearing, start: int, head: int) -> bool:
        """Whether a thing of its own stands before the `and` at `start` - 1: `deviled eggs AND lemon bars`, where one
        food in the plural with a word for how it is cooked is named, and more than a noun follows."""
        noun = self.dish_words.longest(hearing.speech.words, head)
        alone = start == head and (noun is None or noun.end - noun.start == 1)
        return not alone and self._are_cooked(hearing, start - 1)

    def _are_cooked(self, hearing: Hearing, end: int) -> bool:
        """Whether one food in the plural, with a word for how it is cooked, ends there: `stewed pears`."""
        words = hearing.speech.words
        food = next((food for food in hearing.foods if food.end == end), None)
        if food is None or not words[end - 1].endswith("s"):
            return False
        return words[food.start] in self._cooked or words[max(0, food.start - 1)] in self._cooked

    def _is_subject(self, word: str) -> bool:
        """`the soup's minestrone`: a dish or course something is told of; not the shepherd of `shepherd's pie`."""
        base = word.removesuffix("'s")
        return base != word and (base in self._courses or self.dish_words.longest((base,), 0) is not None)

    def phrase_end(self, hearing: Hearing, start: int) -> int:
        """Where the phrase that begins at `start` ends: at a word that no title holds, before what explains a dish
        (`pancit THE skinny noodles`), before its noun again (`poriyal PORIYAL means`), or with the sentence."""
        words = hearing.speech.words
        end = start
        while end < min(len(words), start + _LONGEST_TITLE) and words[end] not in self._stop:
            if end > start and (hearing.clauses.sentence(end)[0] == end or self._another(words, end)):
                break
            again = end > start and words[end] == words[end - 1]
            if (again or words[end] in self._definite) and self._last_dish_word(words, start, end) == (end, "dish"):
                break
            end += 1
        return end

    def _another(self, words: Sequence[str], place: int) -> bool:
        """Whether an article begins another thing: `a glaze some cabbage`, not `with some` or `and a`."""
        return words[place] in self._indefinite and words[place - 1] not in self._lead | self._before_article

    def heads(self, hearing: Hearing) -> tuple[Match[str], ...]:
        """Every word for a dish or part, in order."""
        return self._heads(hearing)

    def phrase_before(self, hearing: Hearing, head: Match[str]) -> Announcement:
        """The noun phrase that ends in a dish word: its foods and modifiers, back to an article."""
        return self.named_by(hearing, head.start, head.end, head.payload)

    def named_by(self, hearing: Hearing, start: int, end: int, kind: str) -> Announcement:
        """The noun phrase that ends in the noun from word `start` to `end` (exclusive)."""
        words = hearing.speech.words
        named = self._food_places(hearing)
        while start and words[start - 1] not in self._lead and start - 1 in named:
            if self._is_subject(words[start - 1]):
                break
            start -= 1
        title = " ".join(words[start:end])
        return Announcement(start, end, title, words[end - 1], (), kind, True, HEAD_WORD)

    def _named(self, hearing: Hearing, start: int, beside: bool, rule: str) -> list[Announcement]:
        """The dishes named from word `start` on: one, or several joined by `and a`."""
        speech = hearing.speech
        words = speech.words
        start = self._skip_lead(words, start)
        if self._does(words[start : start + 2]):
            return []
        end = self.phrase_end(hearing, start)
        cut = next((place for place in range(start, end) if self._tails(hearing, start, place)), end)
        found: list[Announcement] = []
        others = self._dishes_in_tail(hearing, cut, end, rule) if cut < end else []
        last = self.tail_end(hearing, cut, end)
        pieces = self._pieces(hearing, start, cut)
        for piece_start, piece_end in pieces:
            tail_end = last if piece_end == cut else piece_end
            item = self._one(hearing, piece_start, piece_end, tail_end, beside, rule)
            if item is not None:
                found.append(replace(item, listed=len(pieces) > 1))
        if found:
            found.extend(others)
        return found

    def _does(self, words: Sequence[str]) -> bool:
        """`in the flour`, `putting in some flour`, `adding the milk`: what is done, and no dish."""
        doing = words[:1] and words[0] in self._doings and not self._after_verb.isdisjoint(words[1:])
        return bool(doing) or not self._places.isdisjoint(words[:1])

    def _tails(self, hearing: Hearing, start: int, place: int) -> bool:
        """Whether a tail of the title begins: `with ...`, or `in onion gravy` after a food."""
        return hearing.speech.words[place] == "with" or self.served_in(hearing, start, place)

    def served_in(self, hearing: Hearing, start: int, place: int) -> bool:
        """Whether `in` or the like follows a food of the phrase that begins at `start`: `cucumbers IN sour cream`."""
        words = hearing.speech.words[place : place + 1]
        return not self._within.isdisjoint(words) and any(
            start <= food.head < food.end == place for food in hearing.foods
        )

    def _skip_lead(self, words: Sequence[str], start: int) -> int:
        while start + 1 < len(words):
            word = words[start]
            if word in self._lead or word in {"and", *self._owners} or self._is_subject(word):
                start += 1
            elif words[start] in self._vessels and words[start + 1] == "of":
                start += 2
            else:
                break
        return start

    def _pieces(self, hearing: Hearing, start: int, end: int, *, tail: bool = False) -> list[tuple[int, int]]:
        """Cuts at `and a`, and at `and` after a word for a dish; in a tail also before what is eaten beside."""
        words = hearing.speech.words
        pieces: list[tuple[int, int]] = []
        begin = start
        for place in range(start, end - 1):
            if words[place] != "and" or place == begin:
                continue
            article = words[place + 1] in {"a", "an", "some", "the", "my"}
            headed = self._noun(hearing, begin, place)[0] == place or words[place - 1] in self._part_nouns
            after_head = headed and not self._goes_with(words, place + 1, end)
            row = self._are_cooked(hearing, place) and self._last_dish_word(words, place + 1, end)[1] == "dish"
            if article or after_head or row or (tail and self._comes_beside(words, place + 1, end)):
                pieces.append((begin, place))
                begin = self._skip_lead(words, place + 1)
        if begin < end:
            pieces.append((begin, end))
        return pieces

    def _comes_beside(self, words: Sequence[str], place: int, end: int) -> bool:
        """`with mince and PHULKAS to eat it with`: what is said to be eaten beside the dish."""
        last = self._last_dish_word(words, place, end)[0]
        return bool(last) and any(words[last : last + len(cue)] == cue for cue in self._eaten_with)

    def _goes_with(self, words: Sequence[str], place: int, end: int) -> bool:
        """`jerk chicken and rice`: one plain word that is also a food is no dish of its own."""
        match = self.dish_words.longest(words, place)
        plain = match is not None and match.payload == "weak" and match.end - place == 1
        return plain and not self._last_dish_word(words, place + 1, end)[0]

    def tail_end(self, hearing: Hearing, cut: int, end: int) -> int:
        """Where the tail that begins at `cut` ends: before the `and` of another dish, that of `in oatmeal` before any
        `and a`, else at `end`."""
        words = hearing.speech.words
        another = (at for at in range(cut, end - 1) if words[at] == "and" and words[at + 1] in self._indefinite)
        if "with" not in words[cut:end]:
            end = next(another, end)
        others = self._dishes_in_tail(hearing, cut, end, "")
        if not others:
            return end
        joined = (place for place in range(cut, others[0].start) if words[place] == "and")
        return max(joined, default=end)

    def _dishes_in_tail(self, hearing: Hearing, cut: int, end: int, rule: str) -> list[Announcement]:
        """`with ... and lemony couscous`, `and a skillet of squash`: what follows `and` and is a dish of its own."""
        words = hearing.speech.words
        found: list[Announcement] = []
        for number, (start, stop) in enumerate(self._pieces(hearing, self._skip_lead(words, cut + 1), end, tail=True)):
            held = self._is_held(words, start) or self._is_at_side(words[start:stop])
            item = self._one(hearing, start, stop, stop, True, rule)
            if item is not None and (item.kind == "dish" or (number and (held or item.kind == "weak"))):
                found.append(item)
            elif item is not None and number and item.kind in {"food", "part"} and words[start] in self._cooked:
                found.append(replace(item, listed=True, doubt=Doubt.SOME))
        return found

    def _is_held(self, words: Sequence[str], start: int) -> bool:
        """Whether the words before are `a skillet of`."""
        return start > 1 and words[start - 1] == "of" and words[start - 2] in self._vessels

    @staticmethod
    def _is_at_side(words: Sequence[str]) -> bool:
        """`oven fries on the side`."""
        return words[-3:] == ("on", "the", "side")

    def _one(self, hearing: Hearing, start: int, cut: int, end: int, beside: bool, rule: str) -> Announcement | None:
        words = hearing.speech.words
        head_end, kind = self._noun(hearing, start, cut)
        foods = [food for food in hearing.foods if start <= food.head and food.end <= cut]
        if foods and foods[-1].end > head_end:
            within = words[head_end : foods[-1].start]
            if not head_end or "in" in within or "and" in within:
                head_end, kind = foods[-1].end, kind or "food"
        if not head_end or head_end - start > 9:
            return None
        lone = head_end - start < 2 and not self._is_held(words, start)
        if kind == "food" and (lone or words[head_end - 1] in self._groups):
            return None
        if not self.names(words[start : head_end - 1]):
            return None
        tail = self.tail(words, cut, end, hearing)
        title = " ".join([*words[start:head_end], *tail])
        parts = self.parts(words, cut, end)
        end = end if tail else cut
        return Announcement(start, end, title, words[head_end - 1], parts, kind, beside, rule)

    def names(self, modifiers: Sequence[str]) -> bool:
        """Whether the words before a noun can be part of a title: no units, figures or nutrients."""
        return not any(word in self._no_modifiers or word.isdigit() for word in modifiers)

    def _noun(self, hearing: Hearing, start: int, end: int) -> tuple[int, str]:
        """Where the last word for a dish ends, with the food that it says how to make (stew chicken), and its kind."""
        last, kind = self._last_dish_word(hearing.speech.words, start, end)
        if kind == "weak" and any(food.start < last < food.end for food in hearing.foods):
            return 0, ""
        if kind in {"dish", "weak"}:
            last = next((food.end for food in hearing.foods if food.start <= last < food.end <= end), last)
        return last, kind

    def _last_dish_word(self, words: Sequence[str], start: int, end: int) -> tuple[int, str]:
        last, kind = 0, ""
        for place in range(start, end):
            match = self.dish_words.longest(words, place)
            if match is not None and match.end <= end and match.end > last:
                last, kind = match.end, match.payload
        return last, kind

    def parts(self, words: Sequence[str], start: int, end: int) -> tuple[str, ...]:
        """Components after `with`: each phrase that ends in a word for a part; the top of `icing on the top` is where
        the icing goes."""
        parts: list[str] = []
        begin = start + 1
        for place in range(start + 1, end):
            match = self.dish_words.longest(words, place)
            stop = match.end if match is not None and match.payload == "part" else 0
            stop = place + 1 if words[place] in self._part_nouns and place > begin else stop
            if stop and stop < end and self._is_part(words, stop):
                continue
            if place >= begin and begin < stop <= end:
                phrase = [word for word in words[begin:stop] if word not in self._lead and word not in {"and", "on"}]
                if words[stop - 2] == "on" and phrase[-2:-1] and self.dish_words.longest(phrase, len(phrase) - 2):
                    phrase.pop()
                if phrase and not (parts and len(phrase) == 1 and phrase[0] in self._part_nouns):
                    parts.append(" ".join(phrase[-2:]))
                begin = stop
        return tuple(parts)

    def _is_part(self, words: Sequence[str], place: int) -> bool:
        """Whether a word for a part follows: the topping of `crumb topping`."""
        match = self.dish_words.longest(words, place)
        return match is not None and match.payload == "part"

    def tail(self, words: Sequence[str], cut: int, end: int, hearing: Hearing) -> list[str]:
        """`with ...`, up to its last food or part, articles left out."""
        last_dish = self._last_dish_word(words, cut, end)
        if last_dish[1] == "dish":
            return []
        kept = [word for word in words[cut : self.last_noun(hearing, cut, end)] if word not in self._lead]
        return kept if len(kept) > 1 else []

    def last_noun(self, hearing: Hearing, cut: int, end: int) -> int:
        """Where the last food, dish or part from word `cut` to `end` ends, `cut` where there is none."""
        words = hearing.speech.words
        stops = [food.end for food in hearing.foods if cut < food.head and food.end <= end]
        found = (self.dish_words.longest(words, place) for place in range(cut, end))
        stops += [match.end for match in found if match is not None and match.end <= end]
        stops += [place + 1 for place in range(cut, end) if words[place] in self._part_nouns]
        return max(stops, default=cut)


def _food_places(hearing: Hearing) -> frozenset[int]:
    """The places of all words of foods."""
    return frozenset(place for food in hearing.foods for place in range(food.start, food.end))


def _food_edges(hearing: Hearing) -> tuple[frozenset[int], frozenset[int]]:
    """Where foods end, and where they end or begin."""
    ends = frozenset(food.end for food in hearing.foods)
    return ends, ends | {food.start for food in hearing.foods}


def _numbers_of(words: str) -> tuple[str, ...]:
    """A dish word as listed, in the singular and in the plural."""
    first, _, last = words.rpartition(" ")
    forms = dict.fromkeys((last, stem(last), f"{stem(last)}s"))
    return tuple(f"{first} {form}".strip() for form in forms)
