"""A question put to the shelf, and the SQL it becomes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.shelf.entry import PER_SERVING
from pipeline.shelf.words import Bound, Foods, Nutrient, Span, match_of

_TITLE, _FOODS, _METHOD, _SPOKEN = 10, 4, 2, 1


@dataclass(frozen=True, slots=True)
class Question:
    """All that must hold of a recipe, and the order of the answers.

    `under` means the upper end of the range, `over` the lower one; with `likely` both mean the likeliest value. Where
    a figure or a weight is not known there is no upper end, and `under` does not hold. `time` is of all planned times
    together. `until` takes in the day, month or year it names.
    """

    words: tuple[str, ...] = ()
    having: tuple[Foods, ...] = ()
    lacking: tuple[Foods, ...] = ()
    under: tuple[Bound, ...] = ()
    over: tuple[Bound, ...] = ()
    per: int = PER_SERVING
    likely: bool = False
    heat: Span | None = None
    time: Span | None = None
    reviewed: bool = False
    since: str | None = None
    until: str | None = None
    sort: Nutrient | None = None
    descending: bool = False


@dataclass(frozen=True, slots=True)
class Query:
    """SQL with the values of its question marks; its rows are ids of recipes, in order."""

    sql: str
    values: tuple[object, ...]


@dataclass(frozen=True, slots=True)
class _Part:
    sql: str
    values: tuple[object, ...] = ()


def query_of(question: Question, *, limit: int) -> Query:
    """The SQL of a question, for at most `limit` recipes.

    Without words and without an order that was asked for, what came to the shelf last stands first.
    """
    joins = list(_joins(question))
    tests = list(_tests(question))
    order = _order(question)
    sql = " ".join(
        (
            "SELECT r.id FROM recipe r",
            *(part.sql for part in joins),
            f"WHERE {' AND '.join(part.sql for part in tests)}" if tests else "",
            f"ORDER BY {order} LIMIT ?",
        )
    )
    values = [value for part in (*joins, *tests) for value in part.values]
    return Query(sql, (*values, limit))


def _joins(question: Question) -> Iterator[_Part]:
    if any(word.strip() for word in question.words):
        yield _Part("JOIN recipe_words w ON w.rowid = r.id")
    if question.sort is not None:
        yield _Part(
            "JOIN recipe_load s ON s.nutrient = ? AND s.per = ? AND s.recipe = r.id",
            (question.sort.id, question.per),
        )


def _tests(question: Question) -> Iterator[_Part]:
    if match := match_of(question.words):
        yield _Part("recipe_words MATCH ?", (match,))
    for bound in question.under:
        end = "best" if question.likely else "at_least = 0 AND high"
        yield _load(bound, f"{end} < ?", question.per)
    for bound in question.over:
        yield _load(bound, f"{'best' if question.likely else 'low'} > ?", question.per)
    for foods in question.having:
        yield _Part(f"EXISTS ({_used(foods.itself)})", foods.itself)
    for foods in question.lacking:
        every = (*foods.itself, *foods.inside)
        yield _Part(f"NOT EXISTS ({_used(every)})", every)
    yield from _settings(question)
    yield from _dates(question)


def _load(bound: Bound, test: str, per: int) -> _Part:
    return _Part(
        f"EXISTS (SELECT 1 FROM recipe_load WHERE nutrient = ? AND per = ? AND recipe = r.id AND {test})",
        (bound.nutrient.id, per, bound.value),
    )


def _used(foods: tuple[int, ...]) -> str:
    return f"SELECT 1 FROM recipe_food WHERE recipe = r.id AND food IN ({', '.join('?' * len(foods))})"


def _settings(question: Question) -> Iterator[_Part]:
    if question.heat is not None:
        within = _within("celsius", question.heat)
        yield _Part(f"EXISTS (SELECT 1 FROM recipe_heat WHERE recipe = r.id AND {within.sql})", within.values)
    if question.time is not None:
        if question.time.low is not None:
            yield _Part("r.time_low >= ?", (question.time.low,))
        if question.time.high is not None:
            yield _Part("r.time_high <= ?", (question.time.high,))
    if question.reviewed:
        yield _Part("r.reviewed = 1")


def _within(column: str, span: Span) -> _Part:
    ends = (("<=", span.high), (">=", span.low))
    held = [(sign, value) for sign, value in ends if value is not None]
    return _Part(" AND ".join(f"{column} {sign} ?" for sign, _ in held), tuple(value for _, value in held))


def _dates(question: Question) -> Iterator[_Part]:
    for sign, date in ((">=", question.since), ("<=", f"{question.until}~" if question.until else None)):
        if date:
            yield _Part(f"r.date {sign} ?", (date,))


def _order(question: Question) -> str:
    direction = "DESC" if question.descending else "ASC"
    if question.sort is not None:
        return f"s.{'best' if question.likely else 'high'} {direction}, r.id"
    if match_of(question.words):
        return f"bm25(recipe_words, {_TITLE}, {_FOODS}, {_METHOD}, {_SPOKEN}), r.id"
    return "r.id DESC"
