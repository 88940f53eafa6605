"""Recipe -> findings: what a renal team would want pointed out, by the rules of data/findings.toml."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from pipeline.foods.names import FoodNames
from pipeline.foods.table import Food, FoodTable
from pipeline.record import Evidence, Finding, Ingredient, Range, Recipe
from pipeline.review.claims import claim_findings, claims_of
from pipeline.review.lines import Loads, Portions, food_of, loads_of, portions_of, shared, together
from pipeline.review.rules import Limit, Rule, Rules, default_rules
from pipeline.review.wording import capital, listed, nutrient_words, spread

_ORDER = ("stop", "caution", "note")


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A food of the dish: as an ingredient line, or as what may stand in the place of one."""

    name: str
    food: Food | None
    line: Ingredient
    alternative: bool


@dataclass(frozen=True, slots=True)
class _Amounts:
    loads: Loads
    portions: Portions


def findings_of(
    recipe: Recipe,
    table: FoodTable,
    *,
    names: FoodNames | None = None,
    rules: Rules | None = None,
    loads: Loads | None = None,
) -> tuple[Finding, ...]:
    """The findings about the foods of `recipe`, one a rule and one a claim, stops first, then in order of the rules.

    `about` holds the ids of the ingredients, or the names of foods only mentioned, parted by commas. Ingredients and
    alternatives count alike; a mention is at most a note. `loads` are those of the recipe,
    where they are known already.
    """
    names = names or spoken_names()
    rules = rules or default_rules()
    candidates = tuple(_candidates(recipe, table, names))
    loads = loads or loads_of(recipe.ingredients, table, method=recipe.method)
    amounts = _Amounts(loads, portions_of(recipe))
    found: list[Finding] = []
    for rule in rules.rule:
        fitting = [candidate for candidate in candidates if rule.fits(candidate.name, candidate.food)]
        if fitting:
            found.extend(_finding(rule, fitting, amounts))
        elif rule.mention:
            found.extend(_mentioned(rule, recipe, table, names))
    found.extend(claim_findings(claims_of(recipe, table, names=names, loads=loads)))
    return tuple(sorted(found, key=lambda finding: _ORDER.index(finding.level)))


@cache
def spoken_names() -> FoodNames:
    """The spoken names of models/foods, read once."""
    return FoodNames.load()


def _candidates(recipe: Recipe, table: FoodTable, names: FoodNames) -> Iterable[_Candidate]:
    for line in recipe.ingredients:
        yield _Candidate(line.name, food_of(line, table), line, False)
        for name in line.alternatives:
            yield _Candidate(name, _spoken(name, table, names), line, True)


def _spoken(name: str, table: FoodTable, names: FoodNames) -> Food | None:
    entry = names.lookup(name)
    return table.get(entry.food) if entry else None


def _finding(rule: Rule, fitting: Sequence[_Candidate], amounts: _Amounts) -> Iterable[Finding]:
    amount = ""
    if rule.limit:
        fitting = _reaching(rule.limit, fitting, amounts)
        if not fitting:
            return
        amount = _amount(rule.limit, fitting, amounts)
    shown = [f"{one.name} (in place of {one.line.name})" if one.alternative else one.name for one in fitting]
    yield Finding(
        rule=rule.id,
        level=rule.level,
        text=capital(rule.text.format(foods=listed(shown), amount=amount)),
        about=", ".join(dict.fromkeys(one.line.id for one in fitting)),
        evidence=_evidence(evidence for one in fitting for evidence in one.line.evidence),
        sources=rule.sources,
    )


def _reaching(limit: Limit, fitting: Sequence[_Candidate], amounts: _Amounts) -> Sequence[_Candidate]:
    """The lines whose likely amount a serving lies within the limit; alternatives have no amount of their own."""
    lines = [one for one in fitting if not one.alternative]
    parts = {one.line.id: _serving(limit, one, amounts) for one in lines}
    if limit.of == "all":
        total = together(parts.values()).best
        counted = [one for one in lines if (part := parts[one.line.id]) is None or part.best > 0]
        return counted if _inside(limit, total) else []
    return [
        one
        for one in lines
        if (_inside(limit, part.best) if (part := parts[one.line.id]) is not None else limit.unknown)
    ]


def _inside(limit: Limit, value: float) -> bool:
    return value >= limit.at_least and (limit.below is None or value < limit.below)


def _serving(limit: Limit, one: _Candidate, amounts: _Amounts) -> Range | None:
    whole = amounts.loads.of(one.line, limit.nutrient)
    return shared(whole, amounts.portions.count) if whole else None


def _amount(limit: Limit, fitting: Sequence[_Candidate], amounts: _Amounts) -> str:
    parts = [_serving(limit, one, amounts) for one in fitting]
    name, unit = nutrient_words(limit.nutrient)
    if all(part is None for part in parts):
        return f"an unknown amount of {name}"
    start = "at least " if None in parts else "about "
    end = f" ({amounts.portions.count.best:g} servings assumed)" if amounts.portions.assumed else ""
    return f"{start}{spread(together(parts))} {unit} {name} a serving{end}"


def _mentioned(rule: Rule, recipe: Recipe, table: FoodTable, names: FoodNames) -> Iterable[Finding]:
    found = [one for one in recipe.mentions if rule.fits(one.name, _spoken(one.name, table, names))]
    if found:
        shown = listed([one.name for one in found])
        yield Finding(
            rule=rule.id,
            level="note",
            text=capital(rule.mention.format(foods=shown)),
            about=", ".join(dict.fromkeys(one.name for one in found)),
            evidence=_evidence(evidence for one in found for evidence in one.evidence),
            sources=rule.sources,
        )


def _evidence(parts: Iterable[Evidence]) -> tuple[Evidence, ...]:
    return tuple(sorted(dict.fromkeys(parts), key=lambda part: (part.start, part.end)))
