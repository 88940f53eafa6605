"""Runs the stages: a transcript in, the record of its recipes out."""

from __future__ import annotations

import gc
from dataclasses import dataclass
from functools import cache

from pipeline.compose.amounts import AmountResolver
from pipeline.compose.goes_in import GoesIn
from pipeline.compose.lines import Lines
from pipeline.compose.recipes import Composer
from pipeline.foods.names import FoodNames, spoken_names
from pipeline.foods.table import FoodTable
from pipeline.hear.ear import hear
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import load_classes
from pipeline.load.lines import lines_of
from pipeline.load.total import load_as_said
from pipeline.measure.weigh import weigh
from pipeline.read.transcript import Transcript
from pipeline.record import Episode, Ingredient, Recipe, Source
from pipeline.review.findings import findings_of
from pipeline.review.lines import loads_of_lines
from pipeline.review.questions import questions_of
from pipeline.split.outline import Outline, Outliner
from pipeline.version import CAUTION, rules_version


@dataclass(frozen=True, slots=True)
class _Stages:
    table: FoodTable
    names: FoodNames
    outliner: Outliner
    goes_in: GoesIn
    composer: Composer


@cache
def _stages() -> _Stages:
    classes = load_classes()
    table = FoodTable.load()
    names = spoken_names()
    composer = Composer.load(table, names, classes)
    stages = _Stages(table, names, Outliner(classes, table), GoesIn(table, classes), composer)
    # The tables stay to the end: looked through for garbage at every turn, they cost a tenth of a second now and then.
    gc.freeze()
    return stages


@dataclass(frozen=True, slots=True)
class Drafted:
    """An episode's record and what the stages before it made: the mentions as they were `heard` and as they were judged
    together, the dishes, the lines, what settles the amount of a line, what tells whether a food goes in, and what
    follows the talk from dish to dish."""

    heard: Hearing
    hearing: Hearing
    outline: Outline
    lines: Lines
    amounts: AmountResolver
    goes_in: GoesIn
    outliner: Outliner
    episode: Episode


def draft(transcript: Transcript, *, measures: str | None = None) -> Episode:
    """The episode record of a transcript.

    `measures` is us, british, metric or australian: whose cups and spoons are meant; else the episode's own words
    tell. The same transcript gives the same record, byte for byte.
    """
    return drafted(transcript, measures=measures).episode


def drafted(transcript: Transcript, *, measures: str | None = None) -> Drafted:
    """The record of `draft` with what it was made from."""
    stages = _stages()
    heard = hear(transcript)
    outline = stages.outliner.outline(heard)
    hearing, doubted = stages.goes_in.judged(heard, outline.dishes)
    lines = stages.composer.lines.compose(hearing, outline, doubted)
    kitchen = measures or hearing.kitchen
    recipes = stages.composer.recipes(hearing, outline, lines)
    source = Source(
        file=transcript.file, sha256=transcript.sha256, format=transcript.format, duration=transcript.duration
    )
    episode = Episode(
        source=source,
        rules=rules_version(),
        caution=CAUTION,
        recipes=tuple(_reckoned(recipe, stages, kitchen) for recipe in recipes),
    )
    return Drafted(heard, hearing, outline, lines, stages.composer.amounts, stages.goes_in, stages.outliner, episode)


def _reckoned(recipe: Recipe, stages: _Stages, kitchen: str) -> Recipe:
    """The recipe with grams, load, findings and questions."""
    weighed = recipe.model_copy(
        update={"ingredients": tuple(_weighed(line, stages.table, kitchen) for line in recipe.ingredients)}
    )
    lines = lines_of(weighed.ingredients, stages.table, method=weighed.method)
    loaded = weighed.model_copy(update={"load": load_as_said(lines, weighed.servings)})
    loads = loads_of_lines(lines)
    return loaded.model_copy(
        update={
            "findings": findings_of(loaded, stages.table, names=stages.names, loads=loads),
            "questions": questions_of(loaded, stages.table, names=stages.names, loads=loads),
        }
    )


def _weighed(line: Ingredient, table: FoodTable, kitchen: str) -> Ingredient:
    food = table.get(line.food.id) if line.food else None
    grams = weigh(line.amount, food, kitchen=kitchen, preparation=line.preparation)
    return line.model_copy(update={"grams": grams})
