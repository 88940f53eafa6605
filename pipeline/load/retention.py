"""What a way of cooking leaves of the minerals: shares of data/retention.csv, spoken words of models/techniques.csv."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from pipeline.errors import RulesError
from pipeline.foods.faults import Faults, number, rows
from pipeline.foods.table import NUTRIENTS, Food
from pipeline.record import Range
from pipeline.resources import data_path, models_path

COLUMNS = ("technique", "food", "nutrient", "low", "best", "high", "source")
WORD_COLUMNS = ("technique", "words", "rank", "advice")


@dataclass(frozen=True, slots=True)
class Technique:
    """A way of cooking: any of `words` tells it, all words of one together; the highest `rank` told is the one meant.
    `advice` says in the imperative how it is done."""

    name: str
    words: tuple[frozenset[str], ...]
    rank: int
    advice: str


@dataclass(frozen=True, slots=True)
class Retention:
    """Shares 0..1 by technique and then by food id or `class:`; techniques by falling rank."""

    techniques: tuple[Technique, ...]
    shares: Mapping[tuple[str, str], Mapping[str, Range]]
    sources: Mapping[tuple[str, str], tuple[str, ...]]

    def told(self, words: Collection[str], food: Food) -> Technique | None:
        """The technique that `words` tell and that has shares for `food`."""
        spoken = frozenset(words)
        for technique in self.techniques:
            if any(needed <= spoken for needed in technique.words) and self.of(technique.name, food):
                return technique
        return None

    def of(self, technique: str, food: Food) -> Mapping[str, Range]:
        """Shares by nutrient of the food, else of its class in that state; empty where none is known."""
        own = self.shares.get((technique, food.id))
        return own if own is not None else self.shares.get((technique, f"class:{food.class_}:{state(food)}"), {})

    def source(self, technique: str, food: Food) -> tuple[str, ...]:
        """Where the shares of `of` are from."""
        own = self.sources.get((technique, food.id))
        return own if own is not None else self.sources.get((technique, f"class:{food.class_}:{state(food)}"), ())


def state(food: Food) -> str:
    """The last word of the food's id, which tells the state its figures are of: `raw`, `dry`, `drained`."""
    return food.id.rpartition("-")[2]


def spoken_words(preparation: Sequence[str]) -> frozenset[str]:
    """The words of a preparation, in lower case."""
    return frozenset(" ".join(preparation).lower().replace(",", " ").replace("-", " ").split())


@cache
def retention() -> Retention:
    """The shares of data/, read once. Raises RulesError listing all faults."""
    return read_retention(data_path("retention.csv"), models_path("techniques.csv"))


def read_retention(shares: Path, words: Path) -> Retention:
    """The shares and spoken words of two files. Raises RulesError listing all faults."""
    faults = Faults()
    techniques = _techniques(words, faults)
    known = {technique.name for technique in techniques}
    found: dict[tuple[str, str], dict[str, Range]] = {}
    sources: dict[tuple[str, str], dict[str, None]] = {}
    for line, (technique, food, nutrient, *figures, source) in rows(shares, COLUMNS, faults):
        low, best, high = (
            number(text, file=shares.name, line=line, column=column, faults=faults, high=1) or 0.0
            for text, column in zip(figures, ("low", "best", "high"), strict=True)
        )
        if technique not in known:
            faults.add(shares.name, line, "technique", f"{technique!r} has no words in {words.name}")
        if nutrient not in NUTRIENTS:
            faults.add(shares.name, line, "nutrient", f"{nutrient!r} is no nutrient of the food table")
        if not low <= best <= high:
            faults.add(shares.name, line, "best", "is not between low and high")
        if not source:
            faults.add(shares.name, line, "source", "is empty")
        found.setdefault((technique, food), {})[nutrient] = Range(low=low, best=best, high=high)
        sources.setdefault((technique, food), {})[source] = None
    faults.raise_any()
    return Retention(
        techniques=techniques,
        shares=MappingProxyType({key: MappingProxyType(value) for key, value in found.items()}),
        sources=MappingProxyType({key: tuple(value) for key, value in sources.items()}),
    )


def _techniques(path: Path, faults: Faults) -> tuple[Technique, ...]:
    words: dict[str, list[frozenset[str]]] = {}
    facts: dict[str, tuple[int, str]] = {}
    for line, (name, spoken, rank, advice) in rows(path, WORD_COLUMNS, faults):
        if not rank.isdigit():
            faults.add(path.name, line, "rank", f"{rank!r} is not a whole number")
            continue
        words.setdefault(name, []).append(frozenset(spoken.split()))
        facts.setdefault(name, (int(rank), advice))
    faults.raise_any()
    if not facts:
        raise RulesError("names no technique", file=path.name)
    return tuple(
        Technique(name, tuple(words[name]), rank, advice)
        for name, (rank, advice) in sorted(facts.items(), key=lambda item: (-item[1][0], item[0]))
    )
