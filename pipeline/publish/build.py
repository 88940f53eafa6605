"""Episode -> CardView: what stands in a record, put into a reader's words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from pathlib import PurePath

from pipeline import written
from pipeline.errors import clock
from pipeline.publish import figures
from pipeline.publish.loads import load_view
from pipeline.publish.reasons import reason
from pipeline.publish.view import (
    CardView,
    DishView,
    FindingsView,
    GroupView,
    IngredientView,
    Level,
    RemarkView,
    ServingsView,
    SettingView,
    StepView,
)
from pipeline.record import (
    Claim,
    Decided,
    Duration,
    Episode,
    Evidence,
    Finding,
    Ingredient,
    Question,
    Recipe,
    Servings,
    Step,
    Temperature,
)
from pipeline.review.dietitian import review_line


def card_view(episode: Episode) -> CardView:
    """The view of every dish of `episode`, in the order of the record."""
    titles = [_capital(recipe.title) for recipe in episode.recipes]
    ids = {recipe.id for recipe in episode.recipes}
    return CardView(
        title=" · ".join(titles) if titles else "No dish found",
        file=PurePath(episode.source.file).name,
        length=clock(episode.source.duration),
        rules=episode.rules,
        caution=episode.caution,
        review=review_line(episode),
        dishes=tuple(_dish(recipe, episode.decisions) for recipe in episode.recipes),
        decisions=tuple(_decision(decided) for decided in episode.decisions if decided.recipe not in ids),
    )


def _dish(recipe: Recipe, decisions: Sequence[Decided]) -> DishView:
    span = written.span(clock(recipe.start), clock(recipe.end))
    return DishView(
        id=recipe.id,
        title=_capital(recipe.title),
        span=span,
        servings=_servings(recipe.servings),
        groups=_groups(recipe),
        steps=_steps(recipe.method),
        temperatures=tuple(_temperature(said) for said in recipe.standing_temperatures),
        times=tuple(_duration(said) for said in recipe.times),
        load=load_view(recipe.load, recipe.servings) if recipe.load else None,
        claims=tuple(_claim(claim) for claim in recipe.claims),
        mentions=tuple(RemarkView(food.name, reason(food.why), _at(food.evidence)) for food in recipe.mentions),
        findings=_findings(recipe.findings, span),
        questions=tuple(_question(asked, span) for asked in recipe.questions),
        decisions=tuple(_decision(decided) for decided in decisions if decided.recipe == recipe.id),
    )


def _servings(servings: Servings | None) -> ServingsView:
    if servings is None:
        return ServingsView("", "unknown", "not said", "")
    figure = written.span(written.kitchen(servings.low), written.kitchen(servings.high))
    if servings.basis == "said" and not servings.evidence:
        return ServingsView(figure, "decided", "decided by a person, not said in the recording", "")
    marks = {
        "said": "said in the recording",
        "inferred": "worked out, not said in so many words",
        "assumed": "assumed, not said",
    }
    return ServingsView(figure, servings.basis, marks[servings.basis], _at(servings.evidence))


def _groups(recipe: Recipe) -> tuple[GroupView, ...]:
    lines = recipe.ingredients
    named = [name for name in recipe.components if any(line.component == name for line in lines)]
    named += sorted({line.component for line in lines if line.component} - set(named))
    order = [None, *named] if any(line.component is None for line in lines) else list(named)
    return tuple(
        GroupView(
            name=_capital(part or ("For the dish" if named else "")),
            ingredients=tuple(_ingredient(line) for line in lines if line.component == part),
        )
        for part in order
    )


def _ingredient(line: Ingredient) -> IngredientView:
    first, second = _amounts(line)
    return IngredientView(
        amount=first,
        basis=line.amount.basis,
        second=second,
        name=line.name,
        preparation=", ".join(line.preparation),
        weight=_weight(line),
        notes=tuple(_notes(line)),
        at=_at(line.evidence) or "not in the recording",
    )


def _amounts(line: Ingredient) -> tuple[str, str]:
    """Both spoken forms of the amount; a bare count stands first, as in `1 (400 grams) swede`."""
    if line.or_ is None:
        return written.amount(line.amount), ""
    forms = (line.or_, line.amount) if line.or_.unit == "each" else (line.amount, line.or_)
    return written.amount(forms[0]), written.amount(forms[1])


def _weight(line: Ingredient) -> str:
    if line.grams is None:
        return "weight not known"
    if line.grams.basis == "weight" and line.amount.unit == "gram":
        return ""
    counted = figures.grams(line.grams)
    return counted if line.amount.basis == "said" else f"counted as {counted}"


def _notes(line: Ingredient) -> Iterable[str]:
    if line.optional:
        yield "optional"
    if line.alternatives:
        yield f"or use {' or '.join(line.alternatives)}"
    if line.discarded:
        yield f"{round(line.discarded * 100)} % does not reach the plate"


def _steps(method: Sequence[Step]) -> tuple[StepView, ...]:
    steps = []
    before: str | None = None
    for step in method:
        heading = step.component if step.component and step.component != before else ""
        before = step.component
        steps.append(StepView(step.n, _capital(heading), step.text, clock(step.start)))
    return tuple(steps)


def _temperature(said: Temperature) -> SettingView:
    mark = "" if said.unit_said else "scale not said"
    of = "" if said.of == "other" else said.of
    return SettingView(of, figures.temperature(said), said.for_, mark, _at(said.evidence))


def _duration(said: Duration) -> SettingView:
    mark = "already gone by when it was said" if said.kind == "elapsed" else ""
    return SettingView(said.for_, written.duration(said), "", mark, _at(said.evidence))


def _claim(claim: Claim) -> RemarkView:
    senses = {"low": "low in {}", "high": "high in {}", "none": "free of {}", "added-none": "without added {}"}
    said = senses[claim.sense].format(claim.nutrient)
    return RemarkView(f"{claim.food}: said to be {said}", _quoted(claim.evidence), _at(claim.evidence))


def _findings(findings: Sequence[Finding], span: str) -> tuple[FindingsView, ...]:
    headings: tuple[tuple[Level, str], ...] = (
        ("stop", "Stop: settle before anyone cooks this"),
        ("caution", "Caution: look at this before it is published"),
        ("note", "Note: worth knowing"),
    )
    return tuple(
        FindingsView(level, heading, items)
        for level, heading in headings
        if (items := tuple(_finding(finding, span) for finding in findings if finding.level == level))
    )


def _finding(finding: Finding, span: str) -> RemarkView:
    sources = "; ".join(finding.sources) or "none given"
    return RemarkView(finding.text, f"Source: {sources}", _at(finding.evidence) or span)


def _question(asked: Question, span: str) -> RemarkView:
    """The question; its effect is not said twice."""
    effect = "" if asked.effect in asked.text else asked.effect
    return RemarkView(asked.text, effect, _at(asked.evidence) or span)


def _decision(decided: Decided) -> RemarkView:
    outcome = f"not carried out: {decided.unplaced}" if decided.unplaced else ""
    by = f"{decided.who}, {decided.when}: {decided.why}"
    return RemarkView(decided.text, f"{by} ({outcome})" if outcome else by, "")


def _quoted(evidence: Sequence[Evidence]) -> str:
    return " … ".join(f"“{said.words}”" for said in evidence if said.words)


def _at(evidence: Sequence[Evidence]) -> str:
    """Times of the evidence in order, each once: `0:12, 3:05`."""
    times = sorted(said.start for said in evidence)
    return ", ".join(text for text, _ in groupby(clock(time) for time in times))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
