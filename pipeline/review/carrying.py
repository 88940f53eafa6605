"""One decision carried out on one recipe."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from pipeline.foods.names import FoodNames
from pipeline.foods.table import FoodTable
from pipeline.measure.weigh import weigh
from pipeline.record import Amount, Finding, FoodRef, Grams, Ingredient, Mention, Recipe, Servings
from pipeline.review.answers import parse_amount, parse_servings
from pipeline.review.decisions import (
    AmountAnswered,
    Decision,
    FoodChosen,
    LineAdded,
    LineDropped,
    LineMoved,
    Remark,
    ServingsAnswered,
    TitleGiven,
)

WHOLE = "-"


class Unplaced(Exception):
    """A decision has no place in the recipe; the message says why."""


@dataclass(frozen=True, slots=True)
class Larder:
    """The foods a decision may name."""

    table: FoodTable
    names: FoodNames

    def food(self, name: str) -> FoodRef | None:
        """The food of that id, or of that spoken name."""
        entry = self.names.lookup(name)
        food = self.table.get(name) or (self.table.get(entry.food) if entry else None)
        return FoodRef(id=food.id, name=food.name, score=1.0) if food else None

    def weighed(self, line: Ingredient, measures: str) -> Grams | None:
        """The grams of the line, in cups and spoons of `measures`."""
        food = self.table.get(line.food.id) if line.food else None
        return weigh(line.amount, food, kitchen=measures, preparation=line.preparation)


def carry_out(decision: Decision, recipe: Recipe, larder: Larder) -> Recipe:
    """The recipe with the decision carried out; load, findings and questions are left as they were.

    Raises Unplaced where a line, a component or a food that it names is not there.
    """
    return _WAYS[type(decision)](decision, recipe, larder)


def _amount(decision: AmountAnswered, recipe: Recipe, larder: Larder) -> Recipe:
    line = _line(decision.line, recipe)
    answered = line.model_copy(update={"amount": parse_amount(decision.amount), "or_": None})
    return _replaced(recipe, answered.model_copy(update={"grams": larder.weighed(answered, decision.measures)}))


def _food(decision: FoodChosen, recipe: Recipe, larder: Larder) -> Recipe:
    line = _line(decision.line, recipe)
    chosen = line.model_copy(update={"food": _known(decision.food, larder)})
    return _replaced(recipe, chosen.model_copy(update={"grams": larder.weighed(chosen, decision.measures)}))


def _add(decision: LineAdded, recipe: Recipe, larder: Larder) -> Recipe:
    before = _line(decision.before, recipe) if decision.before else None
    amount = parse_amount(decision.amount) if decision.amount else Amount(basis="unsaid")
    line = Ingredient(
        id=_new_id(decision.name, recipe),
        name=decision.name,
        component=_component(decision.component, recipe) if decision.component else before and before.component,
        amount=amount,
        food=_known(decision.food, larder) if decision.food else larder.food(decision.name),
        preparation=decision.preparation,
    )
    weighed = line.model_copy(update={"grams": larder.weighed(line, decision.measures)})
    return _placed(recipe, weighed, before)


def _drop(decision: LineDropped, recipe: Recipe, larder: Larder) -> Recipe:
    line = _line(decision.line, recipe)
    mention = Mention(name=line.name, why=f"left out by {decision.who}: {decision.why}", evidence=line.evidence)
    kept = tuple(other for other in recipe.ingredients if other.id != line.id)
    return recipe.model_copy(update={"ingredients": kept, "mentions": (*recipe.mentions, mention)})


def _move(decision: LineMoved, recipe: Recipe, larder: Larder) -> Recipe:
    line = _line(decision.line, recipe)
    before = _line(decision.before, recipe) if decision.before else None
    if before is not None and before.id == line.id:
        raise Unplaced(f"{line.id} cannot stand before itself")
    component = before.component if before is not None else line.component
    if decision.component:
        component = _component(decision.component, recipe)
    moved = line.model_copy(update={"component": component})
    if before is None:
        return _replaced(recipe, moved)
    kept = tuple(other for other in recipe.ingredients if other.id != line.id)
    return _placed(recipe.model_copy(update={"ingredients": kept}), moved, before)


def _title(decision: TitleGiven, recipe: Recipe, larder: Larder) -> Recipe:
    return recipe.model_copy(update={"title": decision.title})


def _servings(decision: ServingsAnswered, recipe: Recipe, larder: Larder) -> Recipe:
    count = parse_servings(decision.servings)
    return recipe.model_copy(
        update={"servings": Servings(low=count.low, best=count.best, high=count.high, basis="said")}
    )


def _remark(decision: Remark, recipe: Recipe, larder: Larder) -> Recipe:
    line = _line(decision.line, recipe) if decision.line else None
    remark = Finding(
        rule="remark",
        level="note",
        text=f"{f'{line.name}: ' if line else ''}{decision.remark}",
        about=line.id if line else recipe.id,
        evidence=line.evidence if line else (),
        sources=(f"{decision.who}, {decision.when.isoformat()}: {decision.why}",),
    )
    return recipe.model_copy(update={"findings": (*recipe.findings, remark)})


_WAYS: Mapping[type[Decision], Callable[..., Recipe]] = MappingProxyType(
    {
        AmountAnswered: _amount,
        FoodChosen: _food,
        LineAdded: _add,
        LineDropped: _drop,
        LineMoved: _move,
        TitleGiven: _title,
        ServingsAnswered: _servings,
        Remark: _remark,
    }
)


def _line(name: str, recipe: Recipe) -> Ingredient:
    """The line of that id, else the only one of that name."""
    for line in recipe.ingredients:
        if line.id == name:
            return line
    named = [line for line in recipe.ingredients if line.name.casefold() == name.casefold()]
    if len(named) == 1:
        return named[0]
    if named:
        raise Unplaced(f"{name!r} is the name of several lines: {', '.join(line.id for line in named)}")
    raise Unplaced(f"there is no line {name!r} in {recipe.id}")


def _known(name: str, larder: Larder) -> FoodRef:
    food = larder.food(name)
    if food is None:
        raise Unplaced(f"there is no food {name!r} in the food table")
    return food


def _component(name: str, recipe: Recipe) -> str | None:
    if name == WHOLE:
        return None
    for component in recipe.components:
        if component.casefold() == name.casefold():
            return component
    known = ", ".join(recipe.components) or "none"
    raise Unplaced(f"there is no component {name!r} in {recipe.id}; there are {known}")


def _new_id(name: str, recipe: Recipe) -> str:
    plain = f"added-{re.sub(r'[^a-z0-9]+', '-', name.casefold()).strip('-') or 'line'}"
    taken = {line.id for line in recipe.ingredients}
    number = 1
    new = plain
    while new in taken:
        number += 1
        new = f"{plain}-{number}"
    return new


def _replaced(recipe: Recipe, line: Ingredient) -> Recipe:
    lines = tuple(line if other.id == line.id else other for other in recipe.ingredients)
    return recipe.model_copy(update={"ingredients": lines})


def _placed(recipe: Recipe, line: Ingredient, before: Ingredient | None) -> Recipe:
    at = len(recipe.ingredients)
    if before is not None:
        at = [other.id for other in recipe.ingredients].index(before.id)
    lines = (*recipe.ingredients[:at], line, *recipe.ingredients[at:])
    return recipe.model_copy(update={"ingredients": lines})
