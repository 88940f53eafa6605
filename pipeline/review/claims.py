"""What was said of a food, held against the food table and published thresholds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from pipeline.errors import clock
from pipeline.foods.names import FoodNames
from pipeline.foods.table import Food, FoodTable
from pipeline.record import DOUBTED, Claim, Finding, Ingredient, Range, Recipe
from pipeline.review.comparing import compared_with
from pipeline.review.lines import Loads, Portions, food_of, loads_of, portions_of, shared, together
from pipeline.review.thresholds import ClaimTables, Threshold, claim_tables
from pipeline.review.wording import capital, listed, rounded, spread

Verdict = Literal["borne out", "not borne out", "depends on the portion", "not checked"]
DISH = "dish"
_PER = 100
_RISKY = ("low", "none", "added-none")


@dataclass(frozen=True, slots=True)
class Measured:
    """A figure the claim was held against: `of` says for what, in `unit`; it may be more where it is `at_least`."""

    of: str
    value: Range
    unit: str
    at_least: bool = False

    @property
    def bounds(self) -> Range:
        """The value with no end above where it is at least that."""
        return self.value.model_copy(update={"high": math.inf}) if self.at_least else self.value

    def __str__(self) -> str:
        if self.at_least and not self.value.high:
            return f"an unknown amount in {self.of}"
        return f"{'at least ' if self.at_least else ''}{spread(self.value)} {self.unit} in {self.of}"


@dataclass(frozen=True, slots=True)
class ClaimCheck:
    """One claim with its verdict, the figures it rests on, a sentence that says why, and the sources."""

    claim: Claim
    verdict: Verdict
    figures: tuple[Measured, ...]
    why: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Subject:
    """What a claim is about: a food, ingredient lines, or both; `whole` for the dish or one of its parts."""

    food: Food | None
    lines: tuple[Ingredient, ...]
    whole: bool


@dataclass(frozen=True, slots=True)
class _Kitchen:
    recipe: Recipe
    table: FoodTable
    names: FoodNames
    loads: Loads
    portions: Portions
    tables: ClaimTables


def claims_of(
    recipe: Recipe, table: FoodTable, *, names: FoodNames, loads: Loads | None = None
) -> tuple[ClaimCheck, ...]:
    """The claims of `recipe`, checked, in the order of the record.

    A food is held against the thresholds with the amount in a serving and with 100 g; where the two disagree, or the
    range lies on both sides, it depends on the portion. What nobody published a threshold for is not checked. `loads`
    are those of the recipe, where they are known already.
    """
    loads = loads or loads_of(recipe.ingredients, table, method=recipe.method)
    kitchen = _Kitchen(recipe, table, names, loads, portions_of(recipe), claim_tables())
    return tuple(_check(claim, kitchen) for claim in recipe.claims)


def claim_findings(checks: Sequence[ClaimCheck]) -> tuple[Finding, ...]:
    """One finding a claim: a caution where a claim that makes a food look harmless is not borne out, else a note."""
    return tuple(
        Finding(
            rule=f"claim.{check.verdict.replace(' ', '-')}",
            level="caution" if check.verdict == "not borne out" and check.claim.sense in _RISKY else "note",
            text=f"{_said(check.claim)}: {check.verdict}. {check.why}",
            about=check.claim.food,
            evidence=check.claim.evidence,
            sources=check.sources,
        )
        for check in checks
    )


def claim_rows(checks: Sequence[ClaimCheck]) -> tuple[tuple[str, str, str, str], ...]:
    """The claims as a table: when it was said, what, the verdict, and why."""
    return tuple(
        (
            clock(min((said.start for said in check.claim.evidence), default=0.0)),
            _said(check.claim),
            check.verdict,
            check.why,
        )
        for check in checks
    )


def _said(claim: Claim) -> str:
    senses = {"low": "low in {}", "high": "high in {}", "none": "free of {}", "added-none": "without added {}"}
    food = "the dish" if claim.food == DISH else claim.food
    return f"{capital(food)}, said to be {senses[claim.sense].format(claim.nutrient)}"


def _check(claim: Claim, kitchen: _Kitchen) -> ClaimCheck:
    figure, unit = kitchen.tables.nutrients.get(claim.nutrient, ("", ""))
    if not figure:
        return _unchecked(claim, f"The food table has no figures for {claim.nutrient}.")
    if claim.food == claim.nutrient:
        return _unchecked(claim, "It was said of the nutrient itself, and of no food.")
    subject = _subject(claim.food, kitchen)
    if claim.sense == "added-none":
        return _added(claim, figure, unit, subject, kitchen)
    other = compared_with(claim, kitchen.names, kitchen.table)
    if other and subject.food:
        return _compared(claim, figure, unit, subject.food, other)
    if subject.whole:
        return _dish(claim, figure, unit, subject, kitchen)
    return _food(claim, figure, unit, subject, kitchen)


def _subject(name: str, kitchen: _Kitchen) -> _Subject:
    """The lines and the food meant by `name`: an ingredient, a component, the dish by a word of its title, or a food
    that is only spoken of."""
    recipe = kitchen.recipe
    entry = kitchen.names.lookup(name)
    food = kitchen.table.get(entry.food) if entry else None
    plain = _plain(name, kitchen.names)
    named = tuple(line for line in recipe.ingredients if _plain(line.name, kitchen.names) == plain)
    if not named and food:
        named = tuple(line for line in recipe.ingredients if line.food and line.food.id == food.id)
        named = named or tuple(_kinds(food, plain, kitchen))
    if named:
        return _Subject(food_of(named[0], kitchen.table) or food, named, False)
    parts = [part for part in recipe.components if _plain(part, kitchen.names) == plain]
    if parts:
        return _Subject(None, tuple(line for line in recipe.ingredients if line.component in parts), True)
    if name == DISH or (plain in [_plain(word, kitchen.names) for word in recipe.title.split()] and food is None):
        return _Subject(None, recipe.ingredients, True)
    return _Subject(food, (), False)


def _kinds(food: Food, plain: str, kitchen: _Kitchen) -> Iterable[Ingredient]:
    """Lines that are a kind of the food: `low sodium soy sauce` of `soy sauce`, but not `coconut milk` of `milk`."""
    for line in kitchen.recipe.ingredients:
        kind = food_of(line, kitchen.table)
        if kind and kind.group == food.group and _plain(line.name, kitchen.names).endswith(f" {plain}"):
            yield line


def _plain(name: str, names: FoodNames) -> str:
    return " ".join(names.singular(word) for word in name.casefold().split())


def _unchecked(claim: Claim, why: str, figures: tuple[Measured, ...] = ()) -> ClaimCheck:
    return ClaimCheck(claim, "not checked", figures, why, ())


def _food(claim: Claim, figure: str, unit: str, subject: _Subject, kitchen: _Kitchen) -> ClaimCheck:
    food = subject.food
    value = food.figures.get(figure) if food else None
    if food is None or value is None:
        return _unchecked(claim, f"No figure for {claim.nutrient} in {claim.food} is known.")
    measured = [Measured("100 g", Range(low=value, best=value, high=value), unit)]
    serving = _in_serving(subject.lines, figure, kitchen)
    if serving is not None:
        measured.append(Measured(_serving_words(kitchen), serving, unit))
    else:
        measured = [Measured("100 g, taken for a portion", measured[0].value, unit)]
    limits = kitchen.tables.limits(figure, claim.sense, "serving")
    return _judged(claim, measured, limits, (food.source,))


def _dish(claim: Claim, figure: str, unit: str, subject: _Subject, kitchen: _Kitchen) -> ClaimCheck:
    parts = [kitchen.loads.of(line, figure) for line in subject.lines]
    if not any(parts):
        return _unchecked(claim, f"Too little of what went in is known to reckon its {claim.nutrient}.")
    serving = shared(together(parts), kitchen.portions.count)
    open_end = None in parts or bool(_doubted(figure, kitchen))
    measured = [Measured(_serving_words(kitchen), serving, unit, open_end)]
    per_100 = _per_100(subject.lines, figure, kitchen)
    of_meal = kitchen.tables.limits(figure, claim.sense, "dish100")
    if per_100 is not None and of_meal and not open_end:
        measured.insert(0, Measured("100 g", per_100, unit))
        return _judged(claim, measured[:1], of_meal, ("food table",), told=measured)
    limits = kitchen.tables.limits(figure, claim.sense, "serving")
    return _judged(claim, measured, limits, ("food table",))


def _judged(
    claim: Claim,
    measured: Sequence[Measured],
    limits: Sequence[Threshold],
    sources: tuple[str, ...],
    *,
    told: Sequence[Measured] | None = None,
) -> ClaimCheck:
    figures = tuple(told or measured)
    if not limits:
        why = f"{_figures(figures)} Nobody has published what {claim.sense} in {claim.nutrient} means."
        return _unchecked(claim, why, figures)
    outcomes = {limit.holds(one.bounds) for one in measured for limit in limits if limit.decides}
    return ClaimCheck(
        claim,
        _verdict(outcomes),
        figures,
        f"{_figures(figures)} {capital(claim.sense if claim.sense != 'none' else 'free')} is {_limits(limits)}.",
        (*sources, *dict.fromkeys(limit.source for limit in limits)),
    )


def _verdict(outcomes: set[bool | None]) -> Verdict:
    if outcomes == {True}:
        return "borne out"
    return "not borne out" if outcomes == {False} else "depends on the portion"


def _figures(measured: Iterable[Measured]) -> str:
    return capital("; ".join(map(str, measured)) + ".")


def _limits(limits: Sequence[Threshold]) -> str:
    parts = []
    for limit in limits:
        place = "100 g" if limit.of == "dish100" else "a serving"
        value = limit.at_most if limit.at_most is not None else limit.at_least
        side = "at most" if limit.at_most is not None else "at least"
        parts.append(f"{side} {rounded(value or 0.0)} in {place} ({limit.scale})")
    return listed(parts, last="or")


def _in_serving(lines: Sequence[Ingredient], figure: str, kitchen: _Kitchen) -> Range | None:
    parts = [kitchen.loads.of(line, figure) for line in lines]
    if not parts or None in parts:
        return None
    return shared(together(parts), kitchen.portions.count)


def _per_100(lines: Sequence[Ingredient], figure: str, kitchen: _Kitchen) -> Range | None:
    """What 100 g of the lines hold, each at its likely weight; None where nothing is weighed."""
    weight = sum(line.grams.best * (1 - line.discarded) for line in lines if line.grams)
    whole = together(kitchen.loads.of(line, figure) for line in lines)
    if not weight:
        return None
    share = _PER / weight
    return Range(low=whole.low * share, best=whole.best * share, high=whole.high * share)


def _serving_words(kitchen: _Kitchen) -> str:
    count = kitchen.portions.count.best
    return f"a serving here ({count:g} assumed)" if kitchen.portions.assumed else "a serving here"


def _compared(claim: Claim, figure: str, unit: str, food: Food, other: Food) -> ClaimCheck:
    one, two = food.figures.get(figure), other.figures.get(figure)
    if one is None or two is None:
        return _unchecked(claim, f"No figure for {claim.nutrient} in {food.name} or in {other.name} is known.")
    measured = (
        Measured(f"100 g {food.name}", Range(low=one, best=one, high=one), unit),
        Measured(f"100 g {other.name}", Range(low=two, best=two, high=two), unit),
    )
    right = one > two if claim.sense == "high" else one < two
    verdict: Verdict = "borne out" if right else "not borne out"
    why = f"{_figures(measured)} Weight for weight; a portion of each may differ."
    return ClaimCheck(claim, verdict, measured, why, tuple(dict.fromkeys((food.source, other.source))))


def _added(claim: Claim, figure: str, unit: str, subject: _Subject, kitchen: _Kitchen) -> ClaimCheck:
    """`No added salt`, against all that went into the part of the dish it was said of."""
    carriers = [one for one in kitchen.tables.carriers if one.nutrient == figure]
    if not carriers:
        return _unchecked(claim, f"What brings added {claim.nutrient} is not in the tables.")
    parts = {line.component for line in subject.lines} if subject.lines else {None}
    inside = [line for line in kitchen.recipe.ingredients if None in parts or line.component in parts]
    bringing = [
        line for line in inside if (food := food_of(line, kitchen.table)) and any(one.is_(food) for one in carriers)
    ]
    limits = kitchen.tables.limits(figure, "none", "serving")
    sources = (*dict.fromkeys(one.source for one in carriers), *(limit.source for limit in limits))
    doubted = _doubted(figure, kitchen)
    if doubted and not bringing:
        return _unchecked(claim, f"Whether {listed(doubted)} went in is not sure.")
    if not bringing:
        return ClaimCheck(claim, "borne out", (), "Nothing that went in is known to bring any.", sources)
    bringing.sort(key=lambda line: -brings.best if (brings := kitchen.loads.of(line, figure)) else 0.0)
    unknown = any(kitchen.loads.of(line, figure) is None for line in bringing)
    brought = shared(together(kitchen.loads.of(line, figure) for line in bringing), kitchen.portions.count)
    measured = (Measured(_serving_words(kitchen), brought, unit),)
    names = listed([line.name for line in bringing])
    why = f"{capital(names)} went in {_brought(brought, unit, measured[0].of, unknown=unknown)}."
    verdict: Verdict = "not borne out"
    if not unknown and all(limit.holds(brought) for limit in limits):
        verdict = "borne out"
    elif not unknown and _little(figure, brought, bringing, kitchen):
        verdict = "depends on the portion"
    return ClaimCheck(claim, verdict, measured, why, sources)


def _doubted(figure: str, kitchen: _Kitchen) -> list[str]:
    """The foods that may be only talk and bring salt, sugar or the like if they went in."""
    carriers = [one for one in kitchen.tables.carriers if one.nutrient == figure]
    entries = ((one.name, kitchen.names.lookup(one.name)) for one in kitchen.recipe.mentions if one.why == DOUBTED)
    foods = ((name, kitchen.table.get(entry.food)) for name, entry in entries if entry)
    return [name for name, food in foods if food is not None and any(one.is_(food) for one in carriers)]


def _brought(brought: Range, unit: str, of: str, *, unknown: bool) -> str:
    """`and brought 12 mg in a serving`; where no weight is known there is no figure, and none is at least nought."""
    if not unknown:
        return f"and brought {spread(brought)} {unit} in {of}"
    if not brought.high:
        return "and brought some; how much is not known"
    return f"and brought at least {spread(brought)} {unit} in {of}"


def _little(figure: str, brought: Range, bringing: Sequence[Ingredient], kitchen: _Kitchen) -> bool:
    """Whether a serving stays low in it and none of it is salt, sugar or the like itself."""
    limits = kitchen.tables.limits(figure, "low", "serving")
    foods = [food_of(line, kitchen.table) for line in bringing]
    pure = any(food is not None and food.group == "salt" for food in foods)
    return bool(limits) and not pure and all(limit.holds(brought) for limit in limits)
