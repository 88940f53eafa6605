"""Loads the phrase tables of `models/`: one CSV a family, each row a phrase and what it means."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipeline.errors import RulesError
from pipeline.phrases import Phrases
from pipeline.resources import models_path, read_rows

Row = Mapping[str, str]
Classes = Mapping[str, tuple[str, ...]]


def load_classes() -> Classes:
    """The word classes of `models/classes.csv`: name -> words."""
    return {
        row["class"]: tuple(row["words"].split())
        for _, row in read_rows(models_path("classes.csv"), ("class", "words"))
    }


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
