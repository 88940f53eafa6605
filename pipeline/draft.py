"""Runs the stages: a transcript in, the record of its recipes out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from pipeline.compose.recipes import Composer
from pipeline.foods.table import FoodTable
from pipeline.hear.ear import hear
from pipeline.hear.lexicon import load_classes
from pipeline.measure.weigh import weigh
from pipeline.read.transcript import Transcript
from pipeline.record import Episode, Recipe, Source
from pipeline.split.outline import Outliner
from pipeline.version import CAUTION, RULES


@dataclass(frozen=True, slots=True)
class _Stages:
    table: FoodTable
    outliner: Outliner
    composer: Composer


@cache
def _stages() -> _Stages:
    classes = load_classes()
    table = FoodTable.load()
    return _Stages(table, Outliner(classes), Composer.load(table, classes))


def draft(transcript: Transcript, *, measures: str | None = None) -> Episode:
    """The episode record of a transcript. `measures` is us, british or metric: whose cups and spoons, where known."""
    stages = _stages()
    hearing = hear(transcript)
    outline = stages.outliner.outline(hearing)
    kitchen = measures or hearing.kitchen
    recipes = tuple(_weighed(recipe, stages.table, kitchen) for recipe in stages.composer.recipes(hearing, outline))
    source = Source(
        file=transcript.file, sha256=transcript.sha256, format=transcript.format, duration=transcript.duration
    )
    return Episode(source=source, rules=RULES, caution=CAUTION, recipes=recipes)


def _weighed(recipe: Recipe, table: FoodTable, kitchen: str) -> Recipe:
    ingredients = tuple(
        line.model_copy(
            update={
                "grams": weigh(line.amount, table.get(line.food.id), kitchen=kitchen, preparation=line.preparation)
                if line.food
                else None
            }
        )
        for line in recipe.ingredients
    )
    return recipe.model_copy(update={"ingredients": ingredients})
