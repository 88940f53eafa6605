"""Episode and decisions -> Episode: what people decided, carried out, and the recipes it touches reckoned again."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.errors import RecordError
from pipeline.foods.names import FoodNames
from pipeline.foods.table import FoodTable
from pipeline.load import load_of
from pipeline.record import Decided, Episode, Finding, Recipe, Review
from pipeline.review.carrying import Larder, Unplaced, carry_out
from pipeline.review.decisions import Amendments, Decision
from pipeline.review.findings import findings_of, spoken_names
from pipeline.review.questions import questions_of
from pipeline.review.rules import default_rules

_LEVELS = ("stop", "caution", "note")


def amend(episode: Episode, amendments: Amendments, *, table: FoodTable, names: FoodNames | None = None) -> Episode:
    """The episode with the decisions carried out in order, as if all had been taken at once.

    Each decision stands in `decisions` of the result; one that has no place there says why in `unplaced`. Decisions
    that the episode holds already are not carried out twice. Load, findings and questions of the recipes that change
    are reckoned again; findings of later stages stay. The latest review stands in `review`, out of date or not.

    Raises RecordError where the episode holds decisions that `amendments` does not begin with: it must be drafted
    again from its transcript.
    """
    larder = Larder(table, names or spoken_names())
    fresh = _fresh(episode.decisions, amendments.decision)
    recipes = {recipe.id: recipe for recipe in episode.recipes}
    decisions = list(episode.decisions)
    touched: set[str] = set()
    for decision in fresh:
        try:
            recipes[decision.recipe] = carry_out(decision, _recipe(decision, recipes), larder)
        except Unplaced as why:
            decisions.append(decision.decided(str(why)))
        else:
            decisions.append(decision.decided())
            touched.add(decision.recipe)
    return episode.model_copy(
        update={
            "recipes": tuple(_reckoned(one, larder) if one.id in touched else one for one in recipes.values()),
            "decisions": tuple(decisions),
            "review": _latest(amendments),
        }
    )


def unplaced(episode: Episode) -> tuple[Decided, ...]:
    """The decisions of an amended episode that have no place in it."""
    return tuple(decided for decided in episode.decisions if decided.unplaced)


def _fresh(held: Sequence[Decided], decisions: Sequence[Decision]) -> Sequence[Decision]:
    """The decisions after those that the record holds."""
    known = [decided.model_copy(update={"unplaced": ""}) for decided in held]
    if known != [decision.decided() for decision in decisions[: len(known)]]:
        raise RecordError(
            "the record holds decisions that are no longer in its amendments, or stand there in another order;"
            " draft it again from its transcript"
        )
    return decisions[len(known) :]


def _recipe(decision: Decision, recipes: dict[str, Recipe]) -> Recipe:
    if decision.recipe not in recipes:
        known = ", ".join(recipes) or "none"
        raise Unplaced(f"there is no recipe {decision.recipe!r}; there are {known}")
    return recipes[decision.recipe]


def _reckoned(recipe: Recipe, larder: Larder) -> Recipe:
    load = load_of(recipe.ingredients, larder.table, servings=recipe.servings, method=recipe.method)
    loaded = recipe.model_copy(update={"load": load})
    found = findings_of(loaded, larder.table, names=larder.names)
    others = [finding for finding in recipe.findings if not _ours(finding)]
    findings = sorted((*found, *others), key=lambda finding: _LEVELS.index(finding.level))
    return loaded.model_copy(
        update={"findings": tuple(findings), "questions": questions_of(loaded, larder.table, names=larder.names)},
    )


def _ours(finding: Finding) -> bool:
    """Whether the finding is one that `findings_of` makes."""
    return finding.rule.startswith("claim.") or finding.rule in {rule.id for rule in default_rules().rule}


def _latest(amendments: Amendments) -> Review | None:
    if not amendments.review:
        return None
    given = amendments.review[-1]
    return Review(by=given.by, credential=given.credential, date=given.date.isoformat(), content=given.content)
