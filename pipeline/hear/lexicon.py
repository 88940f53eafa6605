"""Loads the phrase tables of `models/`: one CSV a family, each row a phrase and what it means."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from pipeline.errors import RulesError
from pipeline.phrases import Phrases
from pipeline.resources import models_path, read_rows

Row = Mapping[str, str]
Classes = Mapping[str, tuple[str, ...]]


@cache
def load_classes() -> Classes:
    """The word classes of `models/classes.csv`, read once: name -> words."""
    rows = read_rows(models_path("classes.csv"), ("class", "words"))
    return MappingProxyType({row["class"]: tuple(row["words"].split()) for _, row in rows})


def word_class(name: str) -> frozenset[str]:
    """The words of a class. Raises RulesError where `classes.csv` has no class of that name."""
    classes = load_classes()
    if name not in classes:
        raise RulesError(f"there is no class {name}", file="classes.csv")
    return frozenset(classes[name])


def phrase_class(name: str) -> frozenset[tuple[str, ...]]:
    """The phrases of a class, written there with hyphens between their words. Raises RulesError as `word_class`."""
    return frozenset(tuple(phrase.split("-")) for phrase in word_class(name))


class MarkedRules:
    """Rules of the phrase tables by name. One that ends in `*` stands for all whose names begin so."""

    def __init__(self, names: Collection[str]) -> None:
        beginnings = {name for name in names if name.endswith("*")}
        self._names = frozenset(names) - beginnings
        self._beginnings = tuple(name.removesuffix("*") for name in beginnings)

    def __contains__(self, rule: str) -> bool:
        return rule in self._names or rule.startswith(self._beginnings)


@cache
def _marks() -> Mapping[str, MarkedRules]:
    marked: dict[str, list[str]] = {}
    for row in load_rows("rule_marks.csv", ("rule", "mark")):
        marked.setdefault(row["mark"], []).append(row["rule"])
    return {mark: MarkedRules(rules) for mark, rules in marked.items()}


def marked_rules(mark: str) -> MarkedRules:
    """The rules of the phrase tables of which `rule_marks.csv` says something that their kind does not tell. Raises
    RulesError where no rule has that mark."""
    if mark not in _marks():
        raise RulesError(f"no rule is marked {mark}", file="rule_marks.csv")
    return _marks()[mark]


def load_weights(name: str, keys: Sequence[str]) -> Mapping[str, float]:
    """The numbers of a TOML file of `models/`, those of a table as `table.key`.

    Raises RulesError where the file cannot be read, a key is missing or unknown, or a value is no number.
    """
    path = models_path(name)
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise RulesError(f"cannot be read: {fault}", file=path.name) from fault
    tables = {key: value for key, value in content.items() if isinstance(value, dict)}
    weights = {key: value for key, value in content.items() if key not in tables}
    weights |= {f"{table}.{key}": value for table, values in tables.items() for key, value in values.items()}
    for key in sorted(weights.keys() ^ set(keys)):
        raise RulesError(f"{key} is {'unknown' if key in weights else 'missing'}", file=path.name)
    for key, value in weights.items():
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise RulesError(f"{key} is {value!r}, expected a number", file=path.name)
    return weights


def load_rows(name: str, columns: Sequence[str]) -> list[Row]:
    """Rows of a table of `models/`. Raises RulesError where an `id` stands twice."""
    path = models_path(name)
    rows: list[Row] = []
    seen: dict[str, int] = {}
    for line, row in read_rows(path, tuple(columns)):
        key = row.get("id", "")
        if key and key in seen:
            raise RulesError(f"id {key!r} stands on line {seen[key]} already", file=path.name, line=line)
        seen[key] = line
        rows.append(row)
    return rows


def load_sign_weights(name: str) -> Mapping[str, float]:
    """Sign -> its weight, from a table of `models/` with the columns id and weight. Raises RulesError where a weight is
    no number."""
    weights: dict[str, float] = {}
    for row in load_rows(name, ("id", "weight")):
        try:
            weights[row["id"]] = float(row["weight"])
        except ValueError as fault:
            raise RulesError(f"weight of {row['id']} is {row['weight']!r}, expected a number", file=name) from fault
    return weights


@cache
def load_dish_words() -> tuple[Row, ...]:
    """The words for dishes and components of `models/dish_words.csv`, read once: words, kind and ways of cooking."""
    return tuple(load_rows("dish_words.csv", ("words", "kind", "ways")))


@cache
def time_words() -> frozenset[str]:
    """The words for units of time of `models/time_units.csv`."""
    return frozenset(row["word"] for row in load_rows("time_units.csv", ("word", "unit", "seconds")))


@cache
def unit_foods() -> Mapping[str, str]:
    """Unit -> the food that is counted in it, of `models/unit_foods.csv`: cloves are of garlic."""
    return {row["unit"]: row["word"] for row in load_rows("unit_foods.csv", ("unit", "word"))}


def load_phrases(name: str, columns: Sequence[str], classes: Classes, *, key: str = "pattern") -> Phrases[Row]:
    """A table of `models/` compiled by its column `key`; each match carries its row."""
    path = models_path(name)
    rows = load_rows(name, columns)
    for row in rows:
        forms = row[key].replace("?", "").replace("|", " ").split()
        unknown = [form for form in forms if form.startswith("<") and form[1:-1] not in classes]
        if unknown:
            raise RulesError(f"{unknown[0]} in {row[key]!r} is no class of classes.csv", file=path.name)
    return Phrases(((row[key], row) for row in rows), classes)


@dataclass(frozen=True, slots=True)
class Span:
    """Words `start` to `end` (exclusive) and the name of the rule that read them."""

    start: int
    end: int
    rule: str
