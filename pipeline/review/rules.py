"""The rules of data/findings.toml, checked as they are read."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from pipeline.errors import RulesError
from pipeline.foods.table import Food
from pipeline.resources import data_path

Level = Literal["stop", "caution", "note"]


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Limit(_Strict):
    """The amount a serving from which a rule applies, in the unit of `nutrient`; `below` ends it."""

    nutrient: str
    at_least: float
    below: float | None = None
    of: Literal["line", "all"]
    unknown: bool = False


class Rule(_Strict):
    """One rule; which food it fits is said in the head of the file."""

    id: str
    level: Level
    text: str
    sources: Annotated[tuple[str, ...], Field(min_length=1)]
    tags: frozenset[str] = frozenset()
    foods: frozenset[str] = frozenset()
    groups: frozenset[str] = frozenset()
    words: tuple[str, ...] = ()
    not_tags: frozenset[str] = frozenset()
    not_foods: frozenset[str] = frozenset()
    not_groups: frozenset[str] = frozenset()
    not_words: tuple[str, ...] = ()
    limit: Limit | None = None
    mention: str = ""

    def fits(self, name: str, food: Food | None) -> bool:
        """Whether the rule is about a food spoken of by `name`; `food` is its row where one was matched."""
        names = " | ".join((name, food.name) if food else (name,)).lower().replace("-", " ")
        if _within(self.not_words, names):
            return False
        if food is None:
            return _within(self.words, names)
        if self.not_tags & food.tags or food.id in self.not_foods or food.group in self.not_groups:
            return False
        named = bool(self.tags & food.tags) or food.id in self.foods or food.group in self.groups
        return named or _within(self.words, names)


class Rules(_Strict):
    """All rules in the order of the file."""

    rule: tuple[Rule, ...]


def _within(phrases: tuple[str, ...], text: str) -> bool:
    return bool(phrases) and _any_of(phrases).search(text) is not None


@cache
def _any_of(phrases: tuple[str, ...]) -> re.Pattern[str]:
    """An expression that finds any of the phrases as whole words."""
    return re.compile(rf"\b(?:{'|'.join(re.escape(phrase.replace('-', ' ')) for phrase in phrases)})\b")


def load_rules(path: Path | None = None) -> Rules:
    """Read the rules (default data/findings.toml). Raises RulesError naming what is wrong and where."""
    path = path or data_path("findings.toml")
    try:
        rules = Rules.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise RulesError(f"cannot be read: {fault}", file=path.name) from fault
    except ValidationError as fault:
        faults = "; ".join(f"{'.'.join(map(str, error['loc']))}: {error['msg']}" for error in fault.errors())
        raise RulesError(faults, file=path.name) from fault
    ids = [rule.id for rule in rules.rule]
    twice = sorted({name for name in ids if ids.count(name) > 1})
    if twice:
        raise RulesError(f"rules that stand here twice: {', '.join(twice)}", file=path.name)
    return rules


@cache
def default_rules() -> Rules:
    """The rules of data/findings.toml, read once."""
    return load_rules()
