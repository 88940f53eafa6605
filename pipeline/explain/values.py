"""What became of the times, temperatures, claims and servings that were heard, of the cues, and of what was done."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.errors import clock
from pipeline.explain.traced import Reading, Traced
from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.scopes import Scope
from pipeline.record import Evidence, Recipe
from pipeline.written import kitchen, span


def times(traced: Traced) -> Iterator[Reading]:
    """Lengths of time."""
    for time in traced.hearing.times:
        if traced.within(time.start, time.end):
            figure = span(kitchen(float(time.low)), kitchen(float(time.high)))
            read_as = f"{figure} {time.unit}, {time.kind}"
            yield _value(traced, time.start, time.end, time.rule, "time", read_as)


def temperatures(traced: Traced) -> Iterator[Reading]:
    """Temperatures that were said as a figure, and those that were taken back for another."""
    for heat in traced.hearing.heats:
        if traced.within(heat.start, heat.end):
            yield _value(traced, heat.start, heat.end, heat.rule, "temperature", _read_heat(heat))
    for taken in traced.hearing.heats_taken_back:
        heat = taken.span
        if traced.within(heat.start, heat.end):
            by = traced.evidence(taken.by.start, taken.by.end, taken.by.rule)
            became = f"superseded by “{by.words}” at {clock(by.start)}"
            read_as = _read_heat(heat)
            yield traced.reading(heat.start, heat.end, heat.rule, kind="temperature", read_as=read_as, became=became)


def claims(traced: Traced) -> Iterator[Reading]:
    """Claims about what a food holds."""
    for claim in traced.hearing.claims:
        if traced.within(claim.start, claim.end):
            read_as = f"{claim.food}: {claim.nutrient} {claim.sense}"
            yield _value(traced, claim.start, claim.end, claim.rule, "claim", read_as)


def servings(traced: Traced) -> Iterator[Reading]:
    """Numbers of servings; those that are so only beside the name of a dish, where they are used."""
    for said in traced.hearing.servings:
        if traced.within(said.start, said.end):
            read_as = span(kitchen(float(said.low)), kitchen(float(said.high)))
            yield _value(traced, said.start, said.end, said.rule, "servings", read_as)
    used = {item for recipe in traced.episode.recipes if recipe.servings for item in recipe.servings.evidence}
    for said in traced.hearing.tied:
        if traced.within(said.start, said.end) and traced.evidence(said.start, said.end, said.rule) in used:
            read_as = span(kitchen(float(said.low)), kitchen(float(said.high)))
            yield _value(traced, said.start, said.end, said.rule, "servings", read_as)


def cues(traced: Traced) -> Iterator[Reading]:
    """Cues that keep out what is said under them, where the cue or what it reaches is to be explained."""
    for scope in traced.hearing.scopes:
        first, last = min(scope.start, scope.cue_start), max(scope.end, scope.cue_end)
        if traced.within(first, last):
            yield traced.reading(
                scope.cue_start,
                scope.cue_end,
                scope.rule,
                kind="cue",
                read_as=f"{scope.kind}, over “{traced.hearing.speech.text(scope.start, scope.end)}”",
                became=_under(traced, scope),
            )


def steps(traced: Traced) -> Iterator[Reading]:
    """Steps of the method that were made from the lines to be explained."""
    lines = traced.hearing.speech
    if traced.first >= traced.end:
        return
    start, end = lines.line_at(traced.first).start, lines.line_at(traced.end - 1).end
    made = (
        (recipe, step, said) for recipe in traced.episode.recipes for step in recipe.method for said in step.evidence
    )
    for recipe, step, said in made:
        if said.start < end and said.end > start:
            yield Reading(said.start, said.words, "step", step.text, said.rule, f"step {step.n} of {recipe.title}")


def _value(traced: Traced, start: int, end: int, rule: str, kind: str, read_as: str) -> Reading:
    """A value that stands in a recipe by its words; where it stands in none, why."""
    said = traced.evidence(start, end, rule)
    homes = [
        f"{label} of {recipe.title}"
        for recipe in traced.episode.recipes
        for label, evidence in _held(recipe)
        if said in evidence
    ]
    cue = traced.cue(start)
    lost = f"set aside by {cue}" if cue else f"set aside: {traced.dish(traced.outline.local[start])} has another"
    return Reading(said.start, said.words, kind, read_as, rule, f"used: {'; '.join(homes)}" if homes else lost)


def _read_heat(heat: HeatSpan) -> str:
    unit = heat.unit if heat.unit_said else f"{heat.unit} by kitchen sense"
    return f"{float(heat.value):g} {unit}, of {heat.of}"


def _held(recipe: Recipe) -> Iterator[tuple[str, tuple[Evidence, ...]]]:
    """The values of a recipe, in a word or two, with the words they were read from."""
    yield from ((f"time to {time.for_}", time.evidence) for time in recipe.times)
    yield from ((f"{heat.of} temperature", heat.evidence) for heat in recipe.temperatures)
    yield from (("claim", claim.evidence) for claim in recipe.claims)
    if recipe.servings:
        yield "servings", recipe.servings.evidence


def _under(traced: Traced, scope: Scope) -> str:
    names = [food.name for food in traced.hearing.foods if scope.start <= food.head < scope.end]
    return f"bears on {', '.join(dict.fromkeys(names))}" if names else "bears on no food"
