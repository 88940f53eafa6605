"""What the shelf as a whole tells: foods used most, load over time, and audits over all episodes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.resources import models_path, read_rows
from pipeline.shelf.store import Store
from pipeline.shelf.words import Nutrient

AUDIT_COLUMNS = ("audit", "rules", "level", "reviewed", "help")


@dataclass(frozen=True, slots=True)
class FoodCount:
    """How many recipes, and how many episodes, a food is in."""

    name: str
    recipes: int
    episodes: int


@dataclass(frozen=True, slots=True)
class Trend:
    """The load of the recipes of one time: means of the lower, likeliest and upper values, in the nutrient's unit.

    `open` is the number of the recipes that have a figure or a weight not known, so that the mean is a lower end.
    """

    when: str
    recipes: int
    low: float
    best: float
    high: float
    open: int


@dataclass(frozen=True, slots=True)
class Audit:
    """A question on findings: rules as a pattern with `*`, and where not empty the level, and whether reviewed."""

    name: str
    rules: str
    level: str
    reviewed: str
    help: str


@dataclass(frozen=True, slots=True)
class Flag:
    """A finding of the shelf; `moment` is in seconds of the recording, where it is about words that were said."""

    recipe: int
    file: str
    title: str
    moment: float | None
    rule: str
    level: str
    text: str
    reviewed: bool


def food_counts(store: Store, *, limit: int) -> tuple[FoodCount, ...]:
    """The foods in most recipes, first those in most."""
    rows = store.all(
        "SELECT f.name, count(*) AS uses, count(DISTINCT r.episode) FROM recipe_food u JOIN food f ON f.id = u.food"
        " JOIN recipe r ON r.id = u.recipe WHERE u.food IN"
        " (SELECT food FROM recipe_food GROUP BY food ORDER BY count(*) DESC, food LIMIT ?)"
        " GROUP BY u.food ORDER BY uses DESC, f.name",
        (limit,),
    )
    return tuple(FoodCount(*row) for row in rows)


def trends(store: Store, nutrient: Nutrient, *, per: int, each: str) -> Iterator[Trend]:
    """The load of a nutrient over time, `each` year, month or episode; episodes without a date come last."""
    lengths = {"year": 4, "month": 7}
    when = f"substr(e.date, 1, {lengths[each]})" if each in lengths else "coalesce(e.date || ' ', '') || e.file"
    rows = store.each(
        f"SELECT coalesce({when}, 'no date') AS time, count(*), avg(l.low), avg(l.best), avg(l.high), sum(l.at_least)"
        " FROM recipe_load l JOIN recipe r ON r.id = l.recipe JOIN episode e ON e.id = r.episode"
        " WHERE l.nutrient = ? AND l.per = ? GROUP BY time ORDER BY min(e.date) IS NULL, time",
        (nutrient.id, per),
    )
    yield from (Trend(*row) for row in rows)


def audits() -> tuple[Audit, ...]:
    """The audits of models/shelf_audits.csv, by name. Raises RulesError."""
    rows = read_rows(models_path("shelf_audits.csv"), AUDIT_COLUMNS)
    return tuple(Audit(*(row[column] for column in AUDIT_COLUMNS)) for _, row in rows)


def flags(store: Store, audit: Audit) -> Iterator[Flag]:
    """The findings an audit asks for, by date, file and time."""
    tests, values = ["f.rule GLOB ?"], [audit.rules]
    if audit.level:
        tests.append("f.level = ?")
        values.append(audit.level)
    if audit.reviewed:
        tests.append(f"r.reviewed = {int(audit.reviewed == 'yes')}")
    rows = store.each(
        "SELECT r.id, e.file, r.title, coalesce(f.start, r.start), f.rule, f.level, f.text, r.reviewed"
        " FROM recipe_finding f JOIN recipe r ON r.id = f.recipe JOIN episode e ON e.id = r.episode"
        f" WHERE {' AND '.join(tests)} ORDER BY e.date, e.file, 4, f.rule, r.id, f.n",
        tuple(values),
    )
    for recipe, file, title, moment, rule, level, text, reviewed in rows:
        yield Flag(recipe, file, title, moment, rule, level, text, bool(reviewed))
