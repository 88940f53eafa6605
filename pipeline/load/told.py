"""The words that tell how a line was cooked: its preparation, the state of its food, and the steps that name it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from pipeline.foods.plurals import default_plurals
from pipeline.foods.table import Food
from pipeline.load.retention import spoken_words
from pipeline.record import Ingredient, Step

_CLAUSE = re.compile(r"[.;,:]|\band\b|\bthen\b")
_WORD = re.compile(r"[a-zà-ÿ]+")


def words_told(ingredient: Ingredient, food: Food, steps: Mapping[str, frozenset[str]]) -> frozenset[str]:
    """All words that tell how the line was cooked; `steps` as `step_words` gives it."""
    of_id = frozenset(food.id.split("-"))
    return spoken_words(ingredient.preparation) | of_id | steps.get(ingredient.id, frozenset())


def step_words(ingredients: Sequence[Ingredient], method: Sequence[Step]) -> dict[str, frozenset[str]]:
    """By ingredient id the words of all clauses that name it.

    A clause that names no ingredient is about those of the clause before: `boil the potatoes, and drain`. A step of
    another component is about none that went before.
    """
    heads, singular = _heads(ingredients), default_plurals().singular
    found: dict[str, set[str]] = {}
    named: tuple[str, ...] = ()
    component: str | None = None
    for step in method:
        if step.component != component:
            named, component = (), step.component
        for clause in _CLAUSE.split(step.text.lower()):
            words = set(_WORD.findall(clause))
            told = {singular(word) for word in words}
            named = tuple(sorted({one for head, ids in heads.items() if head in told for one in ids})) or named
            for one in named:
                found.setdefault(one, set()).update(words)
    return {one: frozenset(words) for one, words in found.items()}


def _heads(ingredients: Sequence[Ingredient]) -> dict[str, tuple[str, ...]]:
    """Ingredient ids by the last word of their name, in the singular."""
    heads: dict[str, tuple[str, ...]] = {}
    for ingredient in ingredients:
        words = _WORD.findall(ingredient.name.lower())
        if words:
            head = default_plurals().singular(words[-1])
            heads[head] = (*heads.get(head, ()), ingredient.id)
    return heads
