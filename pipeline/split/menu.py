"""Chooses the dishes of an episode among all that may be one: signs are added up, and the number that is promised
counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_weights
from pipeline.split.calls import Caller
from pipeline.split.candidates import Candidate, Phrase, opening_of
from pipeline.split.choices import Choice, ChoiceReader
from pipeline.split.counts import DishCounter
from pipeline.split.dishes import Doubt, stem
from pipeline.split.makings import Makings
from pipeline.split.menu_signs import SIGNS
from pipeline.split.other_names import OtherNames
from pipeline.split.promised import PromisedReader
from pipeline.split.titles import HEAD_WORD, Announcement, TitleReader
from pipeline.split.ways import SAUCE, DishWays

# The talk turns to it, foods are measured for it then, and it is told how many it feeds.
_FOLLOWED = frozenset({"turned", "made", "served"})
_HANDLED = frozenset({"turned", "much_made"})
_CALLED_WITHIN = 12
_NAMED_OFTEN = 4


@dataclass(frozen=True, slots=True)
class Weighed:
    """What the opening announces and what is announced `later`, other `names` of dishes and the names of vessels that
    hold them, and all else that may be a dish, the likeliest first."""

    opening: tuple[Announcement, ...]
    later: tuple[Announcement, ...]
    names: tuple[Announcement, ...]
    held: tuple[Announcement, ...]
    ranked: tuple[Choice, ...]


class MenuReader:
    """Compiled words and weights."""

    def __init__(self, titles: TitleReader, classes: Classes, table: FoodTable, caller: Caller) -> None:
        self._weights = load_weights(
            "menu.toml", ["enough", "sure", "trusted", "promised", "beyond", "told_apart", "tail_beside", *SIGNS]
        )
        self._names = OtherNames(titles, classes, table)
        self._choices = ChoiceReader(titles, classes, table, caller, self._weights)
        self._ways = DishWays(table)
        self._makings = Makings(classes)
        self._kinds = frozenset(classes["kind-of-dish"])
        self._vessels = frozenset(classes["title-vessel"]) | frozenset(classes["vessel"])
        self._poured = frozenset(classes["poured-part"])
        self._counter = DishCounter(classes)
        self._promised = PromisedReader(titles, classes)
        self._shapes = frozenset(classes["shape-of-dish"])

    def weigh(self, hearing: Hearing, announced: Sequence[Announcement]) -> Weighed:
        """What is `announced`, and all else that may be a dish, with its points."""
        opening, later = self._by_place(hearing, announced)
        told_of = [item for item in opening if self._names.tells(hearing, item)]
        opening = [item for item in opening if item not in told_of]
        candidates, names, held = self._told_apart(hearing, opening)
        names.extend(replace(item, alias=True) for item in told_of)
        ranked = self._choices.ranked(hearing, candidates, later)
        return Weighed(tuple(opening), tuple(later), tuple(names), tuple(held), tuple(ranked))

    def find(self, hearing: Hearing, weighed: Weighed) -> tuple[Announcement, ...]:
        """The dishes, with other names of them, in order: those announced in the opening, and what signs tell, among
        them that it is announced later."""
        ranked, later, held, names = weighed.ranked, weighed.later, weighed.held, [*weighed.names]
        promised, listed_from = self._counter.told(hearing)
        chosen = self._choose(ranked, weighed.opening, promised, names)
        chosen.extend(self._unnamed(hearing, chosen, names))
        if not chosen:
            likeliest = sorted(ranked, key=lambda choice: -choice.points - min(_NAMED_OFTEN, choice.sentences))[:1]
            chosen = [replace(choice.item, rule=HEAD_WORD) for choice in likeliest]
        missing = promised - len({stem(item.head) for item in chosen})
        if missing > 0:
            taken = [(item.start, item.end) for item in (*chosen, *names)]
            chosen.extend(self._promised.find(hearing, listed_from, taken, missing))
        chosen, kinds = self._kinds_apart(chosen)
        chosen = self._without_shapes(hearing, chosen)
        joined = len(hearing.speech) if promised == 1 else self._counter.joined(hearing)
        together = [item for item in chosen if item.start < joined]
        if together:
            chosen = [*self._in_one(together), *(item for item in chosen if item.start >= joined)]
        starts = {item.start for item in chosen}
        names.extend(item for item in held if item.start in starts)
        heads = {stem(item.head) for item in chosen}
        names.extend(item for item in (*later, *kinds) if item.alias or stem(item.head) in heads)
        told = dict.fromkeys((*chosen, *names))
        return tuple(sorted(told, key=lambda item: (item.start, item.alias, item.title)))

    def _choose(
        self, ranked: Sequence[Choice], opening: Sequence[Announcement], promised: int, names: list[Announcement]
    ) -> list[Announcement]:
        """Those of the opening and the candidates with points enough; adds to `names` what else they are called."""
        chosen = [*opening]
        told = [choice for choice in ranked if "outcome" in choice.signs]
        for choice in ranked:
            count = len({stem(item.head) for item in chosen})
            expected = count < promised and choice.introduced
            least = "enough" if choice.told else "sure"
            bar = least if not promised else "promised" if expected else "beyond"
            bar = "told_apart" if not promised and self._is_told_apart(choice, told, chosen) else bar
            enough = choice.points >= self._weights[bar]
            beside = self._beside(choice, chosen) if enough else None
            if beside is not None:
                chosen = [_without_tail(item) if item is beside else item for item in chosen]
            if self._is_named(choice, chosen, names):
                names.extend(self._fuller(choice, opening))
                continue
            same = next((item for item in chosen if self._is_same(choice, item)), None)
            if same is not None:
                names.append(replace(choice.item, head=same.head))
            elif enough:
                trusted = expected or choice.points >= self._weights["trusted"]
                chosen.append(replace(choice.item, doubt=Doubt.SOME if trusted else Doubt.MUCH))
        return chosen

    def _is_told_apart(self, choice: Choice, told: Sequence[Choice], chosen: Sequence[Announcement]) -> bool:
        """Whether it is said how many it feeds or how long it keeps, and of another as well: the talk turns to it, or
        much is measured for it, it is no sauce, and no other dish is named after it."""
        made = not _HANDLED.isdisjoint(choice.signs) and choice.candidate.kind != "part"
        made = made and SAUCE not in self._ways.of_words([choice.candidate.name])
        titled = {stem(word) for item in chosen for word in item.title.split()}
        own = set(map(stem, choice.item.title.split()))
        return made and len(told) > 1 and choice in told and titled.isdisjoint(own)

    def _kinds_apart(self, chosen: Sequence[Announcement]) -> tuple[list[Announcement], list[Announcement]]:
        """The dishes without a bare word for a kind of dish, `i'm making soup`, where another is of that kind: it is
        called so too."""
        kept: list[Announcement] = []
        kinds: list[Announcement] = []
        for item in chosen:
            ways = self._ways.of_words([item.head])
            bare = self._is_bare(item)
            others = [other for other in chosen if other is not item and not self._is_bare(other)]
            alike = [other for other in others if not ways.keys().isdisjoint(self._ways.of_words(_noun(other)))]
            if bare and len(alike) == 1:
                kinds.append(replace(item, start=alike[0].start, end=alike[0].end, alias=True))
            else:
                kept.append(item)
        return kept, kinds

    def _without_shapes(self, hearing: Hearing, chosen: Sequence[Announcement]) -> list[Announcement]:
        """The dishes without `ten patties`, which only tells the shape of what is cooked; not salmon patties."""
        shapes = [item for item in chosen if stem(item.head) in self._shapes]
        bare = [one for one in shapes if not hearing.foods_in(one.start, one.start + len(one.title.split()) - 1)]
        return [item for item in chosen if item not in bare] or list(chosen)

    def _is_bare(self, item: Announcement) -> bool:
        """Whether it is only said what kind of dish it is: soup, not tinola."""
        return len(item.title.split()) == 1 and stem(item.head) in self._kinds

    @staticmethod
    def _in_one(chosen: Sequence[Announcement]) -> list[Announcement]:
        """The first dish with the others as its components: `koftas and they go on flatbreads, just the one dinner`."""
        first, *others = sorted(chosen, key=lambda item: item.start)
        apart = [other for other in others if stem(other.head) != stem(first.head)]
        parts = [part for other in apart for part in (other.title.split(" with ")[0], *other.parts)]
        again = [other for other in others if other not in apart]
        return [replace(first, parts=(*first.parts, *parts)), *again]

    def _is_same(self, choice: Choice, item: Announcement) -> bool:
        """Whether the candidate only says what kind of thing a dish is, a gingerbread CAKE, or is known to be made of
        the same: it is another name of it."""
        before = choice.item.title.split(" with ")[0].split()[:-1]
        kind = item.kind == "dish" and stem(item.head) in map(stem, before)
        return kind or self._makings.are_alike(choice.item.title, item.title)

    @staticmethod
    def _fuller(choice: Choice, announced: Sequence[Announcement]) -> list[Announcement]:
        """The candidate as the longer title of a dish that was announced by its noun."""
        same = [item for item in announced if stem(item.head) == choice.candidate.name]
        told = set(choice.item.title.split())
        longer = choice.candidate.phrases and any(told > set(item.title.split()) for item in same)
        return [choice.item] if longer else []

    def candidates(
        self, hearing: Hearing, announced: Sequence[Announcement]
    ) -> tuple[tuple[Candidate, Mapping[str, float]], ...]:
        """All that may be a dish beside those `announced` in the opening, with the signs for and against it."""
        opening, later = self._by_place(hearing, announced)
        return tuple(self._choices.told(hearing, self._told_apart(hearing, opening)[0], later))

    def promised(self, hearing: Hearing) -> int:
        """How many dishes the talk promises, 0 where it says no number."""
        return self._counter.told(hearing)[0]

    def in_parts(self, hearing: Hearing) -> bool:
        """Whether the talk counts the parts of one dish."""
        return self._counter.in_parts(hearing)

    def opening(self, hearing: Hearing, announced: Sequence[Announcement]) -> list[Announcement]:
        """Those that the opening announces."""
        return self._by_place(hearing, announced)[0]

    @staticmethod
    def _by_place(hearing: Hearing, announced: Sequence[Announcement]) -> tuple[list[Announcement], list[Announcement]]:
        """What the opening announces, and what is announced later."""
        limit = opening_of(hearing)
        return [item for item in announced if item.start < limit], [item for item in announced if item.start >= limit]

    def _told_apart(
        self, hearing: Hearing, announced: Sequence[Announcement]
    ) -> tuple[list[Candidate], list[Announcement], list[Announcement]]:
        """Candidates without the phrases that stand in other phrases, those that give a dish another name, and the
        vessels that may."""
        taken = [(item.start, item.end) for item in announced]
        candidates = self._choices.candidates(hearing)
        phrases = [phrase for one in candidates for phrase in one.phrases if not _overlaps(phrase.item, taken)]
        ends = {item.end: item.kind for item in announced}
        ends |= {end: phrase.noun.kind for phrase in phrases for end in (phrase.item.end, phrase.noun.end)}
        inner = {phrase.item.end for phrase in phrases if any(_within(phrase, other) for other in phrases)}
        renamed = [(phrase, end) for phrase in phrases if (end := self._names.renamed(hearing, phrase, ends))]
        dropped = {id(phrase) for phrase, _ in renamed} | {id(p) for p in phrases if p.item.end in inner}
        kept = {id(phrase) for phrase in phrases} - dropped
        told = [replace(one, phrases=tuple(p for p in one.phrases if id(p) in kept)) for one in candidates]
        names = [phrase for phrase, end in renamed if phrase.noun.kind == "dish" or _is_one(phrase, ends[end])]
        held = self._held(hearing, phrases, announced)
        taken_up = {stem(item.head) for item in (*(phrase.item for phrase in names), *held)}
        lost = {stem(phrase.item.head) for phrase, _ in renamed}
        open_to = [one for one in told if one.name not in (taken_up if one.phrases else lost)]
        return open_to, [replace(phrase.item, alias=True) for phrase in names], held

    def _held(
        self, hearing: Hearing, phrases: Sequence[Phrase], announced: Sequence[Announcement]
    ) -> list[Announcement]:
        """`a skillet of corn`: the vessel is another name of the dish in it."""
        words = hearing.speech.words
        starts = {item.start: item for item in (*(phrase.item for phrase in phrases), *announced)}
        vessels = (one for one in phrases if words[one.noun.end - 1] in self._vessels)
        of = [
            (one, starts.get(one.noun.end + 1)) for one in vessels if words[one.noun.end : one.noun.end + 1] == ("of",)
        ]
        return [replace(one.item, start=dish.start, end=dish.end, alias=True) for one, dish in of if dish is not None]

    def _is_named(self, choice: Choice, chosen: Sequence[Announcement], names: Sequence[Announcement]) -> bool:
        """Whether a dish has the candidate's name, or is named after it and no more is said of it than its name, or
        little more than what cut of its own food goes in (the pork loin of pulled pork)."""
        bare = choice.plain or len(choice.item.title.split()) == 1
        titled = {stem(word) for item in (*chosen, *names) for word in item.title.split()}
        spans = [(item.start, item.end) for item in chosen]
        heads = {stem(item.head): item.kind for item in chosen}
        of_dish = any(heads.get(stem(word)) == "dish" for word in choice.item.title.split(" with ")[0].split()[:-1])
        headed = choice.candidate.name in heads or (of_dish and choice.candidate.kind != "dish")
        own = {stem(word) for word in choice.item.title.split()}
        whole = any(own < {stem(word) for word in _main(item)} for item in chosen)
        whole = whole or any(_tells_filling(choice, item) for item in chosen)
        doubtful = choice.candidate.kind == "food" and choice.points < self._weights["trusted"]
        doubtful = doubtful or (choice.candidate.kind == "weak" and choice.plain)
        foods = titled.union(*(self._makings.of_title(item.title) for item in chosen)) if doubtful else titled
        cut = doubtful and not own.isdisjoint(foods)
        return headed or whole or cut or (bare and choice.candidate.name in titled) or _overlaps(choice.item, spans)

    def _beside(self, choice: Choice, chosen: Sequence[Announcement]) -> Announcement | None:
        """The dish in whose tail (`with RICE and steamed cabbage`) the candidate stands that is surely a dish of its
        own; None where there is none."""
        followed = choice.candidate.kind != "part" and choice.signs >= _FOLLOWED
        sure = choice.points >= self._weights["tail_beside"] or followed
        if not sure or choice.candidate.name in self._poured:
            return None
        ends = ((item, item.start + len(_main(item))) for item in chosen)
        inside = (item for item, end in ends if choice.item.start >= end and _overlaps(choice.item, [(end, item.end)]))
        named = (item for item in chosen if choice.candidate.name in map(stem, _tail(item)))
        return next(inside, next(named, None))

    @staticmethod
    def _unnamed(hearing: Hearing, chosen: Sequence[Announcement], names: Sequence[Announcement]) -> list[Announcement]:
        """Other names of dishes whose own name was not understood, as dishes: `frumenty, which is WHEAT PORRIDGE`."""
        heads = {stem(item.head) for item in chosen}
        words = hearing.speech.words
        found: dict[str, Announcement] = {}
        for name in names:
            near = {stem(word) for word in words[max(0, name.start - _CALLED_WITHIN) : name.start]}
            if name.kind == "dish" and stem(name.head) not in heads and heads.isdisjoint(near):
                found.setdefault(stem(name.head), replace(name, alias=False, doubt=Doubt.SOME))
        return list(found.values())


def _tells_filling(choice: Choice, item: Announcement) -> bool:
    """Whether the candidate is a food inside the title of a dish: arepas stuffed with CHICKEN."""
    words = item.title.split()
    inside = item.start < choice.item.start < item.start + len(words)
    return choice.candidate.kind == "food" and inside and set(choice.item.title.split()) <= set(words)


def _main(item: Announcement) -> list[str]:
    """The title without what comes with the dish."""
    return item.title.split(" with ")[0].split()


def _tail(item: Announcement) -> list[str]:
    """The words of what comes with the dish."""
    return item.title.partition(" with ")[2].split()


def _without_tail(item: Announcement) -> Announcement:
    main = _main(item)
    return replace(item, title=" ".join(main), end=item.start + len(main), parts=())


def _noun(item: Announcement) -> list[str]:
    """The noun of a title with the word before it: panna cotta."""
    return item.title.split(" with ")[0].split()[-2:]


def _is_one(phrase: Phrase, kind: str) -> bool:
    """Whether one food tells what a dish is: `that's the beef`, not `that's the beef and cucumber`."""
    return kind in {"dish", "weak"} and " and " not in phrase.item.title


def _within(phrase: Phrase, other: Phrase) -> bool:
    """Whether the noun of a phrase stands inside a longer phrase that ends in another: chicken tikka skewers."""
    return phrase.noun != other.noun and other.item.start <= phrase.noun.start and phrase.noun.end <= other.noun.start


def _overlaps(item: Announcement, others: Sequence[tuple[int, int]]) -> bool:
    return any(start < item.end and item.start < end for start, end in others)
