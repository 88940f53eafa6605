"""Entries into the store and out of it. An episode comes in whole or not at all: call these in a transaction."""

from __future__ import annotations

from typing import Literal

from pipeline.shelf.entry import Entry, RecipeEntry
from pipeline.shelf.store import Store

Kept = Literal["added", "updated", "unchanged"]

_EPISODE = (
    "INSERT INTO episode (id, sha256, file, rules, date, duration, record, digest, transcript, amendments, measures)"
    " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
    " ON CONFLICT (sha256) DO UPDATE SET file = excluded.file, rules = excluded.rules,"
    " date = coalesce(excluded.date, date), duration = excluded.duration, record = excluded.record,"
    " digest = excluded.digest, transcript = coalesce(excluded.transcript, transcript),"
    " amendments = coalesce(excluded.amendments, amendments), measures = coalesce(excluded.measures, measures)"
)
_SAME = (
    "SELECT id FROM episode WHERE sha256 = ?1 AND digest = ?2 AND file = ?3 AND rules = ?4"
    " AND (?5 IS NULL OR transcript = ?5) AND (?6 IS NULL OR amendments = ?6)"
    " AND (?7 IS NULL OR date = ?7) AND (?8 IS NULL OR measures = ?8)"
)
_RECIPE = (
    "INSERT INTO recipe (id, episode, date, slug, title, start, stop, reviewed, time_low, time_high)"
    " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)
_TEXT = "INSERT INTO recipe_text (recipe, title, foods, method, spoken, moments) VALUES (?, ?, ?, ?, ?, ?)"


def put(store: Store, entry: Entry, *, anew: bool = False) -> Kept:
    """Add the episode, or bring the one of the same transcript up to date; its numbers and those of its recipes stay.

    A transcript, amendments, measures and a date that the entry does not have are kept as they are. With `anew` the
    rows are written even where nothing changed.
    """
    held = store.one("SELECT id FROM episode WHERE sha256 = ?", (entry.sha256,))
    if held is not None and not anew and store.one(_SAME, _identity(entry)) is not None:
        return "unchanged"
    store.run(_EPISODE, (held, *_columns(entry)))
    ((episode, date),) = store.all("SELECT id, date FROM episode WHERE sha256 = ?", (entry.sha256,))
    before = dict(store.all("SELECT slug, id FROM recipe WHERE episode = ?", (episode,)))
    store.run("DELETE FROM recipe WHERE episode = ?", (episode,))
    nutrients = _nutrients(store, entry)
    kept_ids = [before.get(recipe.slug) for recipe in entry.recipes]
    for recipe, number in sorted(zip(entry.recipes, kept_ids, strict=True), key=lambda pair: pair[1] is None):
        key = store.run(_RECIPE, (number, episode, date, *recipe_columns(recipe)))
        _put_rows(store, recipe, key, nutrients)
    return "added" if held is None else "updated"


def remove(store: Store, episode: int) -> None:
    """Take an episode and all that belongs to it out of the store."""
    store.run("DELETE FROM episode WHERE id = ?", (episode,))


def recipe_columns(recipe: RecipeEntry) -> tuple[object, ...]:
    """What the table of recipes says of `recipe`, from slug to time_high."""
    return (
        recipe.slug,
        recipe.title,
        recipe.start,
        recipe.stop,
        int(recipe.reviewed),
        recipe.time_low,
        recipe.time_high,
    )


def text_columns(recipe: RecipeEntry) -> tuple[object, ...]:
    """What the table of texts says of `recipe`, from title to moments."""
    return recipe.title, recipe.foods, recipe.method, recipe.spoken, recipe.moments


def _identity(entry: Entry) -> tuple[object, ...]:
    facts = (entry.sha256, entry.digest, entry.file, entry.rules)
    return (*facts, entry.transcript, entry.amendments, entry.date, entry.measures)


def _columns(entry: Entry) -> tuple[object, ...]:
    return (
        entry.sha256,
        entry.file,
        entry.rules,
        entry.date,
        entry.duration,
        entry.record,
        entry.digest,
        entry.transcript,
        entry.amendments,
        entry.measures,
    )


def _put_rows(store: Store, recipe: RecipeEntry, key: int, nutrients: dict[object, object]) -> None:
    store.run(_TEXT, (key, *text_columns(recipe)))
    foods = [_food(store, use.key, use.name, listed=use.listed) for use in recipe.uses]
    store.run_each("INSERT INTO recipe_food (food, recipe) VALUES (?, ?)", [(food, key) for food in foods])
    store.run_each(
        "INSERT INTO recipe_load (nutrient, per, recipe, low, best, high, at_least) VALUES (?, ?, ?, ?, ?, ?, ?)",
        [
            (nutrients[load.nutrient], load.per, key, load.low, load.best, load.high, int(load.at_least))
            for load in recipe.loads
        ],
    )
    store.run_each(
        "INSERT INTO recipe_heat (recipe, celsius, what) VALUES (?, ?, ?)", [(key, *heat) for heat in recipe.heats]
    )
    store.run_each(
        "INSERT INTO recipe_finding (recipe, n, rule, level, text, start) VALUES (?, ?, ?, ?, ?, ?)",
        [
            (key, place, found.rule, found.level, found.text, found.start)
            for place, found in enumerate(recipe.findings, 1)
        ],
    )


def _food(store: Store, key: str, name: str, *, listed: bool) -> object:
    store.run("INSERT OR IGNORE INTO food (key, name, listed) VALUES (?, ?, ?)", (key, name, int(listed)))
    return store.one("SELECT id FROM food WHERE key = ?", (key,))


def _nutrients(store: Store, entry: Entry) -> dict[object, object]:
    """Ids of the nutrients by name, those that are new added."""
    names = sorted({load.nutrient for recipe in entry.recipes for load in recipe.loads})
    store.run_each("INSERT OR IGNORE INTO nutrient (name) VALUES (?)", [(name,) for name in names])
    return dict(store.all("SELECT name, id FROM nutrient"))
