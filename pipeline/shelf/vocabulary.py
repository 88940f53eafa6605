"""The words for food, put into the store so that a question need not read the lists of names.

A listed name stands for its food and for those of the same group of the food table that are called by more words
(butter: unsalted butter, but no peanut butter); models/food_group_words.csv says what other words stand for.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from pipeline.foods.faults import Faults, rows
from pipeline.foods.plurals import default_plurals
from pipeline.resources import data_path, models_path
from pipeline.shelf.store import Store

if TYPE_CHECKING:
    from pipeline.foods.table import Food, FoodTable

GROUP_COLUMNS = ("word", "counts", "groups", "having", "lacking")
_FACT = "food words"
_FORM = "1"


@dataclass(frozen=True, slots=True)
class GroupRow:
    """What a word stands for: foods of `groups` (of any, where empty) whose id has a word of `having` and none of
    `lacking`; `inside` where they only hold it as a part of them."""

    word: str
    inside: bool
    groups: frozenset[str]
    having: tuple[str, ...]
    lacking: tuple[str, ...]

    def fits(self, food: Food) -> bool:
        """Whether the row takes in `food`."""
        bounded = f"-{food.id}-"
        if self.groups and food.group not in self.groups:
            return False
        if any(f"-{part}-" in bounded for part in self.lacking):
            return False
        return not self.having or any(f"-{part}-" in bounded for part in self.having)


def load_groups() -> tuple[GroupRow, ...]:
    """The rows of models/food_group_words.csv. Raises RulesError that lists all faults."""
    path, faults = models_path("food_group_words.csv"), Faults()
    found = []
    for line, (word, counts, groups, having, lacking) in rows(path, GROUP_COLUMNS, faults):
        if not word or word != word.lower():
            faults.add(path.name, line, "word", f"{word!r} is no word in lower case")
        if counts not in {"is", "inside"}:
            faults.add(path.name, line, "counts", f"{counts!r}, expected is or inside")
        if not groups and not having:
            faults.add(path.name, line, "groups", "is empty, and so is having: every food would fit")
        found.append(
            GroupRow(word, counts == "inside", frozenset(groups.split()), tuple(having.split()), tuple(lacking.split()))
        )
    faults.raise_any()
    return tuple(found)


def refresh(store: Store) -> bool:
    """Bring the words for food in the store up to those of the program; whether there was anything to do."""
    stamp = _stamp()
    if store.one("SELECT value FROM fact WHERE name = ?", (_FACT,)) == stamp:
        return False
    from pipeline.foods.table import FoodTable

    table = FoodTable.load()
    senses = _senses(table)
    with store.transaction():
        store.run_each(
            "INSERT INTO food (key, name, listed) VALUES (?, ?, 1)"
            " ON CONFLICT (key) DO UPDATE SET name = excluded.name, listed = 1",
            [(food.id, food.name) for food in table],
        )
        numbers = dict(store.all("SELECT key, id FROM food"))
        store.run("DELETE FROM food_word")
        store.run("DELETE FROM sense_food")
        _write(store, senses, numbers)
        store.run("INSERT OR REPLACE INTO fact (name, value) VALUES (?, ?)", (_FACT, stamp))
    return True


Sense = tuple[tuple[str, bool], ...]


def _write(store: Store, senses: Mapping[str, Sense], numbers: Mapping[object, object]) -> None:
    """Words that stand for the same foods share a sense."""
    ids = {sense: number for number, sense in enumerate(sorted(set(senses.values())), 1)}
    store.run_each(
        "INSERT INTO sense_food (sense, food, inside) VALUES (?, ?, ?)",
        [(number, numbers[key], int(inside)) for sense, number in ids.items() for key, inside in sense],
    )
    store.run_each(
        "INSERT INTO food_word (word, sense) VALUES (?, ?)",
        [(word, ids[sense]) for word, sense in sorted(senses.items())],
    )


def _senses(table: FoodTable) -> dict[str, Sense]:
    """What each word stands for: (id of a food, whether it only holds it) in order, singulars and plurals."""
    from pipeline.foods.names import FoodNames

    groups = {food.id: food.group for food in table}
    names = [name for name in FoodNames.load() if name.food in groups]
    plain = [(name.name, name.food) for name in names if name.kind != "misheard"]
    called = _called(plain)
    found: dict[str, Sense] = {}
    for name in names:
        own = groups[name.food]
        foods = {name.food} | {food for food in called.get(name.name, ()) if groups[food] == own}
        found[name.name] = tuple((food, False) for food in sorted(foods))
    for word, sense in [*_plurals(found), *_group_senses(table).items()]:
        found[word] = sense
    return found


def _called(names: Iterable[tuple[str, str]]) -> dict[str, set[str]]:
    """Foods by each run of words in a name of theirs."""
    found: defaultdict[str, set[str]] = defaultdict(set)
    for name, food in names:
        words = name.split()
        for first in range(len(words)):
            for last in range(first + 1, len(words) + 1):
                found[" ".join(words[first:last])].add(food)
    return found


def _plurals(found: Mapping[str, Sense]) -> Iterator[tuple[str, Sense]]:
    """The plural forms of the names that are not names themselves."""
    for name, sense in found.items():
        for form in _plural_forms(name):
            if form not in found:
                yield form, sense


def _group_senses(table: FoodTable) -> dict[str, Sense]:
    held: defaultdict[str, dict[str, bool]] = defaultdict(dict)
    for row in load_groups():
        for food in table:
            if row.fits(food):
                held[row.word][food.id] = row.inside and held[row.word].get(food.id, True)
    senses = {word: tuple(sorted(foods.items())) for word, foods in held.items()}
    return {form: sense for word, sense in senses.items() for form in (word, *_plural_forms(word))}


def _plural_forms(name: str) -> tuple[str, ...]:
    *first, last = name.split()
    plurals = default_plurals()
    if plurals.singular(last) != last:
        return ()
    return tuple(" ".join((*first, form)) for form in plurals.plurals(last) if form != last)


@cache
def _stamp() -> str:
    """A hash of all that the words rest on."""
    digest = hashlib.sha256(_FORM.encode())
    paths = [models_path("food_group_words.csv"), models_path("plurals.csv"), data_path("foods", "foods.csv")]
    for path in (*paths, *sorted(models_path("foods").glob("*.csv"))):
        digest.update(path.read_bytes())
    return digest.hexdigest()
