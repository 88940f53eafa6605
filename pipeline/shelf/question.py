"""A question put to the shelf, and the SQL it becomes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.shelf.store import Store
from pipeline.shelf.words import PER_SERVING, Bound, Foods, Nutrient, Span, match_of

_TITLE, _FOODS, _METHOD, _SPOKEN = 10, 4, 2, 1
_FEW = 4000


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


def query_of(store: Store, question: Question, *, limit: int) -> Query:
    """The SQL of a question, for at most `limit` recipes.

    The tables are gone through from the one that leaves fewest recipes: those with the words; those with a food or a
    figure that few have; else all, in the order that was asked for, until there are enough. Without words and without
    an order what came to the shelf last stands first.
    """
    rare = _rare(store, question)
    first, key = _first(question, rare)
    tests = [*first[1:], *_tests(question, key)]
    if match_of(question.words) and rare is not None:
        tests.insert(0, _Part(f"+{key} IN ({rare.sql})", rare.values))
    joins = [first[0], *_joins(question, key)]
    where = f"WHERE {' AND '.join(part.sql for part in tests)}" if tests else ""
    sql = f"SELECT {key} FROM {' CROSS JOIN '.join(part.sql for part in joins)} {where} {_order(question, key)} LIMIT ?"
    values = [value for part in (*joins, *tests) for value in part.values]
    return Query(sql, (*values, limit))


def _first(question: Question, rare: _Part | None) -> tuple[tuple[_Part, ...], str]:
    """The table to begin with and the tests that lead into it; and the column that has the recipe's number."""
    if match := match_of(question.words):
        return (_Part("recipe_words w"), _Part("recipe_words MATCH ?", (match,))), "w.rowid"
    if rare is not None:
        return (_Part(f"(SELECT DISTINCT recipe FROM ({rare.sql})) f", rare.values),), "f.recipe"
    if question.sort is not None:
        index = "" if question.likely else "INDEXED BY recipe_load_high"
        return (
            _Part(f"recipe_load s {index}"),
            _Part("s.nutrient = ? AND s.per = ?", _sorted_by(question)),
        ), "s.recipe"
    return (_Part("recipe r"),), "r.id"


def _joins(question: Question, key: str) -> Iterator[_Part]:
    """The other tables that the tests and the order need."""
    if key != "r.id" and (question.time or question.reviewed or question.since or question.until):
        yield _Part(f"recipe r ON r.id = {key}")
    if question.sort is not None and key != "s.recipe":
        yield _Part(f"recipe_load s ON s.nutrient = ? AND s.per = ? AND s.recipe = {key}", _sorted_by(question))


def _rare(store: Store, question: Question) -> _Part | None:
    """Of the conditions that few recipes meet the rarest, as a list of recipes that has at least those; else None."""
    counted = []
    for part in _lists(question):
        few = store.one(f"SELECT count(*) FROM ({part.sql} LIMIT {_FEW})", part.values)
        if few < _FEW:
            counted.append((few, part))
    return min(counted, key=lambda pair: int(pair[0]))[1] if counted else None


def _lists(question: Question) -> Iterator[_Part]:
    for foods in question.having:
        marks = ", ".join("?" * len(foods.itself))
        yield _Part(f"SELECT recipe FROM recipe_food WHERE food IN ({marks})", foods.itself)
    bounds = [(bound, "<") for bound in question.under if not question.likely]
    for bound, sign in (*bounds, *((bound, ">") for bound in question.over)):
        yield _Part(
            f"SELECT recipe FROM recipe_load WHERE nutrient = ? AND per = ? AND high {sign} ?",
            (bound.nutrient.id, question.per, bound.value),
        )


def _tests(question: Question, key: str) -> Iterator[_Part]:
    for bound in question.under:
        yield _load(bound, "best < ?" if question.likely else "at_least = 0 AND high < ?", question.per, key)
    for bound in question.over:
        yield _load(bound, "best > ?" if question.likely else "low > ?", question.per, key)
    for foods in question.having:
        yield _Part(f"EXISTS ({_used(foods.itself, key)})", foods.itself)
    for foods in question.lacking:
        every = (*foods.itself, *foods.inside)
        yield _Part(f"NOT EXISTS ({_used(every, key)})", every)
    yield from _settings(question, key)
    yield from _dates(question)


def _load(bound: Bound, test: str, per: int, key: str) -> _Part:
    return _Part(
        f"EXISTS (SELECT 1 FROM recipe_load WHERE nutrient = ? AND per = ? AND recipe = {key} AND {test})",
        (bound.nutrient.id, per, bound.value),
    )


def _used(foods: tuple[int, ...], key: str) -> str:
    """The plus has the few foods of a recipe looked up among `foods`, not each of many `foods` in the recipe."""
    return f"SELECT 1 FROM recipe_food WHERE recipe = {key} AND +food IN ({', '.join('?' * len(foods))})"


def _settings(question: Question, key: str) -> Iterator[_Part]:
    if question.heat is not None:
        ends = (("<=", question.heat.high), (">=", question.heat.low))
        held = [(sign, value) for sign, value in ends if value is not None]
        within = " AND ".join(f"celsius {sign} ?" for sign, _ in held)
        values = tuple(value for _, value in held)
        yield _Part(f"EXISTS (SELECT 1 FROM recipe_heat WHERE recipe = {key} AND {within})", values)
    if question.time is not None:
        if question.time.low is not None:
            yield _Part("r.time_low >= ?", (question.time.low,))
        if question.time.high is not None:
            yield _Part("r.time_high <= ?", (question.time.high,))
    if question.reviewed:
        yield _Part("r.reviewed = 1")


def _dates(question: Question) -> Iterator[_Part]:
    for sign, date in ((">=", question.since), ("<=", f"{question.until}~" if question.until else None)):
        if date:
            yield _Part(f"r.date {sign} ?", (date,))


def _sorted_by(question: Question) -> tuple[object, ...]:
    return (question.sort.id if question.sort else None, question.per)


def _order(question: Question, key: str) -> str:
    direction = "DESC" if question.descending else "ASC"
    if question.sort is not None:
        return f"ORDER BY s.{'best' if question.likely else 'high'} {direction}, {key} {direction}"
    if match_of(question.words):
        return f"ORDER BY bm25(recipe_words, {_TITLE}, {_FOODS}, {_METHOD}, {_SPOKEN}), {key}"
    return f"ORDER BY {key} DESC"
