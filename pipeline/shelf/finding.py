"""The answers to a question: recipes with their place in the recording and their load."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.errors import StoreError
from pipeline.shelf.question import Question, query_of
from pipeline.shelf.store import Store
from pipeline.shelf.words import Nutrient, match_of, nutrients_of

_SHOWN = ("sodium_mg", "potassium_mg", "phosphorus_mg", "protein_g")
_FACTS = (
    "SELECT r.id, r.slug, r.title, e.file, e.date, r.start, r.stop, r.reviewed, r.time_low, r.time_high, e.id"
    " FROM recipe r JOIN episode e ON e.id = r.episode WHERE r.id IN ({})"
)
_LOAD = (
    "SELECT nutrient, recipe, low, best, high, at_least FROM recipe_load"
    " WHERE per = ? AND nutrient IN ({}) AND recipe IN ({})"
)
_MARK = "\x02"
_SAID = (
    f"SELECT highlight(recipe_words, 3, '{_MARK}', ''), t.moments FROM recipe_words w"
    " JOIN recipe_text t ON t.recipe = w.rowid WHERE w.rowid = ? AND recipe_words MATCH ?"
)


@dataclass(frozen=True, slots=True)
class Figure:
    """A nutrient of a hit. `open` where a figure or a weight is not known, so that `high` is no upper end."""

    nutrient: Nutrient
    low: float
    best: float
    high: float
    open: bool


@dataclass(frozen=True, slots=True)
class Hit:
    """A recipe of the shelf. Times are seconds in the recording: the span of the recipe, and in `said` where the words
    of the question were said, None where there were none or they stand elsewhere. Planned times are in seconds too."""

    id: int
    slug: str
    title: str
    file: str
    date: str | None
    start: float
    stop: float
    reviewed: bool
    time_low: float | None
    time_high: float | None
    episode: int
    said: float | None = None
    load: tuple[Figure, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """Hits in order; `more` where there are others after the last."""

    hits: tuple[Hit, ...]
    more: bool


def find(store: Store, question: Question, *, limit: int) -> Answer:
    """The first `limit` answers to the question, with the load per what it asks for. Raises StoreError."""
    with store.snapshot():
        query = query_of(store, question, limit=limit + 1)
        ids = [int(number) for (number,) in store.all(query.sql, query.values)]
        return Answer(hits_of(store, ids[:limit], question), len(ids) > limit)


def hits_of(store: Store, ids: Sequence[int], question: Question) -> tuple[Hit, ...]:
    """The recipes of those numbers in that order, with the figures that are usual and those that are asked for."""
    marks = ", ".join("?" * len(ids))
    loads = _figures(store, ids, question)
    said = _said(store, ids, question.words)
    facts = {row[0]: row for row in store.all(_FACTS.format(marks), tuple(ids))}
    found = []
    for key in ids:
        number, slug, title, file, date, start, stop, reviewed, low, high, episode = facts[key]
        place = (number, slug, title, file, date, start, stop, bool(reviewed), low, high, episode)
        found.append(Hit(*place, said=said.get(number), load=loads[number]))
    return tuple(found)


def recipe_named(store: Store, name: str) -> int:
    """The number of the recipe called `name`: its number, its id, FILE/ID or its title.

    Raises StoreError where there is none, or several.
    """
    if name.isdigit() and store.one("SELECT 1 FROM recipe WHERE id = ?", (int(name),)):
        return int(name)
    file, _, slug = name.rpartition("/")
    rows = store.all(
        "SELECT r.id, e.file, r.slug FROM recipe r JOIN episode e ON e.id = r.episode"
        " WHERE (r.slug = ?1 AND (?2 = '' OR e.file = ?2)) OR r.title = ?3 COLLATE NOCASE ORDER BY r.id",
        (slug, file, name),
    )
    if not rows:
        raise StoreError(
            f"there is no recipe {name!r} on this shelf; `stillroom shelf find` lists them", file=str(store.path)
        )
    if len(rows) > 1:
        some = ", ".join(f"{number} ({held}/{slug})" for number, held, slug in rows[:5])
        raise StoreError(f"{len(rows)} recipes are called {name!r}: say which by number: {some}", file=str(store.path))
    return int(rows[0][0])


def record_of(store: Store, recipe: int) -> str:
    """The JSON of the episode record that holds the recipe of that number."""
    text = store.one("SELECT record FROM episode WHERE id = (SELECT episode FROM recipe WHERE id = ?)", (recipe,))
    return str(text)


def _shown(question: Question, known: Sequence[Nutrient]) -> tuple[Nutrient, ...]:
    asked = {bound.nutrient.name for bound in (*question.under, *question.over)}
    asked |= {question.sort.name} if question.sort else set()
    usual = [nutrient for name in _SHOWN for nutrient in known if nutrient.name == name]
    return (*usual, *(nutrient for nutrient in known if nutrient.name in asked - set(_SHOWN)))


def _figures(store: Store, ids: Sequence[int], question: Question) -> dict[int, tuple[Figure, ...]]:
    shown = {nutrient.id: nutrient for nutrient in _shown(question, nutrients_of(store))}
    sql = _LOAD.format(", ".join("?" * len(shown)), ", ".join("?" * len(ids)))
    found: dict[int, dict[int, Figure]] = {recipe: {} for recipe in ids}
    for nutrient, recipe, low, best, high, least in store.all(sql, (question.per, *shown, *ids)):
        found[recipe][nutrient] = Figure(shown[nutrient], low, best, high, bool(least))
    return {recipe: tuple(held[key] for key in shown if key in held) for recipe, held in found.items()}


def _said(store: Store, ids: Sequence[int], words: tuple[str, ...]) -> dict[int, float]:
    """When the first of the words that were sought was said, for the recipes in whose speech they are."""
    match = match_of(words)
    found: dict[int, float] = {}
    for recipe in ids if match else ():
        for marked, moments in store.all(_SAID, (recipe, match)):
            before, mark, _ = marked.partition(_MARK)
            if mark:
                found[recipe] = float(moments.split()[before.count("\n")])
    return found
