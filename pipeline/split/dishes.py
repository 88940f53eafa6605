"""What a dish is to the stages that follow the talk: its names, its parts and the words that call it to mind."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import dataclass
from enum import Enum
from functools import cache

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import marked_rules
from pipeline.split.remembered import Remembered

MAIN = ""
# In a talk of fewer words little is said twice, and what was fitted on whole talks tells nothing.
FEW_WORDS = 300
_SHORTEST = 3
_WHOSE = marked_rules("whose-dish")
_ASIDE = frozenset({"elsewhere", "habit", "negated", "comparison", "hypothetical", "interrupted"})


class Doubt(Enum):
    """How far a dish is to be doubted until foods go into it: it is announced, told by signs, or by few signs."""

    NONE = "announced"
    SOME = "told by signs"
    MUCH = "told by few signs"


@dataclass(frozen=True, slots=True)
class Dish:
    """A dish: `title` as announced, `head` its noun, `parts` the names of its components besides the main one, and the
    words that call it and each part to mind; `kind` is that of the noun: dish, weak (also a food), food or part;
    `main` is the name of the main component where it is not the dish's noun; `doubt` is that of its announcement."""

    title: str
    head: str
    start: int
    parts: tuple[str, ...]
    keywords: frozenset[str]
    rule: str
    kind: str = "dish"
    main: str = ""
    doubt: Doubt = Doubt.NONE

    @property
    def main_part(self) -> str:
        """What the main component is called beside others."""
        return self.main or self.head


@dataclass(frozen=True, slots=True)
class Topic:
    """A dish by index and a component of it; MAIN is the dish's own."""

    dish: int
    part: str = MAIN


def aside(hearing: Hearing, place: int) -> bool:
    """Whether a word stands where things are only spoken of."""
    over = hearing.over[place]
    return place in hearing.in_sayings or (bool(over) and any(scope.kind in _ASIDE for scope in over))


def named_aside(hearing: Hearing, place: int) -> bool:
    """Whether a word that may name a dish stands where things are only spoken of; `my mum's rice pudding` and `so the
    old way` tell whose dish it is and how it is made."""
    whose = all(scope.rule in _WHOSE for scope in hearing.over[place] if scope.kind in _ASIDE)
    return aside(hearing, place) and not (whose and any(scope.rule in _WHOSE for scope in hearing.over[place]))


def first_amount(hearing: Hearing) -> int | None:
    """Where the first amount of a food that is used or shown is said; None where none is."""
    places = (
        said.quantity.start
        for said in hearing.measured
        if said.quantity.low is not None
        and not said.quantity.article
        and hearing.usages[said.food].status in {"used", "shown"}
    )
    return min(places, default=None)


def measured_places(hearing: Hearing) -> list[int]:
    """The words of the foods that are used or shown and have a measure, each food once."""
    weighed = {item.food for item in hearing.measured if not item.quantity.article}
    return [hearing.foods[at].head for at in sorted(weighed) if hearing.usages[at].status in {"used", "shown"}]


@cache
def stem(word: str) -> str:
    """A plural, a possessive, one with a verb run into it (`the soup'll keep`) and the singular as one key."""
    word = word.removesuffix("'s").removesuffix("'ll").removesuffix("'d")
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if word.endswith(("alves", "eaves", "oaves")):
        return word[:-3] + "f"
    if len(word) > 4 and word.endswith(("shes", "ches", "xes", "oes")):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def _read_places(hearing: Hearing) -> dict[str, list[int]]:
    """Every word, in the singular -> its places, those of one form after those of another."""
    found: dict[str, list[int]] = {}
    for word, places in hearing.speech.places.items():
        found.setdefault(stem(word), []).extend(places)
    return found


places_by_stem = Remembered(_read_places)


def where(hearing: Hearing, nouns: Set[str]) -> list[int]:
    """The places of all words of which the singular is one of `nouns`, in order."""
    places = places_by_stem(hearing)
    return sorted([place for noun in nouns & places.keys() for place in places[noun]])


def ends_in(compound: str, word: str) -> bool:
    """Whether a noun is `word` or a compound of it: bread in flatbread, not ice in rice."""
    longer = len(compound) - len(word)
    return compound == word or (compound.endswith(word) and min(longer, len(word)) >= _SHORTEST)
