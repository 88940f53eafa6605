"""Recipe -> questions for the cook, most telling first: what each answer would take off the range of the load."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby

from pipeline.errors import clock
from pipeline.foods.names import FoodNames
from pipeline.foods.table import FoodTable
from pipeline.record import DOUBTED, Ingredient, Question, Range, Recipe, Temperature
from pipeline.review.asking import Asking, default_asking
from pipeline.review.lines import Loads, Portions, food_of, loads_of, portions_of, shared
from pipeline.review.wording import capital, first_time, listed, nutrient_words, rounded

_SERVINGS, _TELLING, _UNKNOWN, _SETTING, _REST = range(5)
_ALIKE = 2
_SIGNS = {"F": "°F", "C": "°C"}


@dataclass(frozen=True, slots=True)
class Move:
    """What an answer takes off the range of one nutrient a serving: `width` in its unit, `of_range` its share of the
    range of the dish, `of_day` its share of a day's reference."""

    nutrient: str
    width: float
    of_range: float
    of_day: float


@dataclass(frozen=True, slots=True)
class _Asked:
    question: Question
    tier: int
    weight: float
    start: float


def questions_of(
    recipe: Recipe,
    table: FoodTable,
    *,
    asking: Asking | None = None,
    names: FoodNames | None = None,
    loads: Loads | None = None,
) -> tuple[Question, ...]:
    """The questions about `recipe` in the order to ask them.

    Servings nobody said come first. Then amounts by the range their answer takes away, then foods that are not in the
    table and foods that may be only talk, then two values said for one setting, then amounts that move little; one
    question a line. `about` is `servings`, `ingredients`, the id of an ingredient, what a temperature is of, or a food
    that may be only talk. A dish without ingredients is asked for nothing else. With `names`, a word that is no food is
    asked about with the foods that are spelt almost like it. `loads` are those of the recipe, where they are known
    already.
    """
    asking = asking or default_asking()
    if not recipe.ingredients:
        return (_announced(recipe),)
    portions = portions_of(recipe)
    loads = loads or loads_of(recipe.ingredients, table, method=recipe.method)
    asked = [
        *_servings(recipe, loads, asking),
        *_amounts(recipe, table, asking, portions, loads),
        *_foods(recipe, table, asking, portions, names),
        *_settings(recipe, asking),
        *_doubted(recipe),
    ]
    asked.sort(key=lambda one: (one.tier, -one.weight, one.start, one.question.text))
    lines = {line.id for line in recipe.ingredients}
    first = {one.question.about: one for one in reversed(asked)}
    return tuple(one.question for one in asked if one is first[one.question.about] or one.question.about not in lines)


def moves(line: Ingredient, loads: Loads, asking: Asking, portions: Portions) -> tuple[Move, ...]:
    """What giving `line` its likely weight takes off each nutrient's range a serving, widest share of a day first."""
    count = portions.count.best
    found = []
    for nutrient, day in asking.day.items():
        part = loads.of(line, nutrient)
        width = part.high - part.low if part else 0.0
        whole = loads.whole(nutrient)
        if width > 0 and whole.high > whole.low:
            of_range = width / (whole.high - whole.low)
            found.append(Move(nutrient, width / count, of_range, width / count / day.figure))
    return tuple(sorted(found, key=lambda move: (-move.of_day, move.nutrient)))


def _announced(recipe: Recipe) -> Question:
    return Question(
        text=f"What goes into {recipe.title}, announced at {clock(recipe.start)}? No ingredient of it was heard.",
        about="ingredients",
        effect="There is no load of this dish at all.",
    )


def _servings(recipe: Recipe, loads: Loads, asking: Asking) -> Iterable[_Asked]:
    said = recipe.servings
    if said is not None and said.basis == "said":
        return
    totals = {nutrient: loads.whole(nutrient) for nutrient in asking.day}
    if said is None or said.basis == "assumed":
        text = f"How many people does {recipe.title} serve? Every figure a serving hangs on it."
        effect = f"The whole dish holds {_all(totals)}; what a plate holds is not known."
    elif said.low == said.high:
        return
    else:
        text = f"Does {recipe.title} serve {said.low:g} or {said.high:g}? It was not said in so many words."
        count = Range(low=said.low, best=said.best, high=said.high)
        effect = f"{_all({nutrient: shared(whole, count) for nutrient, whole in totals.items()})} a serving."
    question = Question(text=text, about="servings", effect=capital(effect), evidence=said.evidence if said else ())
    yield _Asked(question, _SERVINGS, 1.0, recipe.start)


def _all(totals: Mapping[str, Range]) -> str:
    parts = []
    for nutrient, whole in totals.items():
        name, unit = nutrient_words(nutrient)
        figures = dict.fromkeys((rounded(whole.low), rounded(whole.high)))
        parts.append(f"{' to '.join(figures)} {unit} {name}")
    return listed(parts)


def _amounts(recipe: Recipe, table: FoodTable, asking: Asking, portions: Portions, loads: Loads) -> Iterable[_Asked]:
    for line in recipe.ingredients:
        weighed = line.grams is not None
        if food_of(line, table) is None or (weighed and line.amount.basis == "said"):
            continue
        moved = moves(line, loads, asking, portions)
        telling = [one for one in moved if one.of_range >= asking.share_of_range and one.of_day >= asking.share_of_day]
        if not weighed:
            effect = "No weight can be given, so nothing of it is counted."
            yield _asked(line, f"{_how_much(line, recipe)} {effect}", effect, _UNKNOWN, 0.0)
        elif telling:
            first = telling[0]
            name, unit = nutrient_words(first.nutrient)
            text = f"{_how_much(line, recipe)} It moves {name} by {rounded(first.width)} {unit} a serving."
            yield _asked(line, text, _effect(telling, portions), _TELLING, first.of_day)
        elif line.amount.basis == "unsaid":
            effect = "It moves the load by little."
            weight = moved[0].of_day if moved else 0.0
            yield _asked(line, _how_much(line, recipe), effect, _REST, weight)


def _asked(line: Ingredient, text: str, effect: str, tier: int, weight: float) -> _Asked:
    start = min((said.start for said in line.evidence), default=0.0)
    return _Asked(Question(text=text, about=line.id, effect=effect, evidence=line.evidence), tier, weight, start)


def _how_much(line: Ingredient, recipe: Recipe) -> str:
    into = f"the {line.component}" if line.component else recipe.title
    said = f", “{line.amount.words}”," if line.amount.words else ""
    if line.amount.basis == "said":
        return f"What does the {line.name}{said} weigh that went into {into}{first_time(line.evidence)}?"
    return f"How much {line.name}{said} went into {into}{first_time(line.evidence)}?"


def _effect(telling: list[Move], portions: Portions) -> str:
    parts = []
    for move in telling:
        name, unit = nutrient_words(move.nutrient)
        parts.append(f"{name} {rounded(move.width)} {unit} ({round(move.of_range * 100)} % of its range)")
    assumed = f" ({portions.count.best:g} assumed)" if portions.assumed else ""
    return f"A serving{assumed}: {'; '.join(parts)}."


def _foods(
    recipe: Recipe, table: FoodTable, asking: Asking, portions: Portions, names: FoodNames | None
) -> Iterable[_Asked]:
    for line in recipe.ingredients:
        food = food_of(line, table)
        if food is None:
            alike = names.alike(line.name, _ALIKE) if names else ()
            meant = f"; was it {' or '.join(alike)}?" if alike else "."
            text = f"What is “{line.name}”{first_time(line.evidence)}? It is not in the food table{meant}"
            yield _asked(line, text, "Nothing of it is counted in any figure.", _UNKNOWN, 1.0)
        elif missing := [name for name in asking.day if name in food.figures and food.figures[name] is None]:
            lacking = listed([nutrient_words(name)[0] for name in missing])
            text = f"Which {line.name} was it{first_time(line.evidence)}, and what does its label say of {lacking}?"
            yield _asked(line, text, f"Not known, so the totals are at least: {lacking}.", _UNKNOWN, 0.5)
        elif line.food and line.food.runner_up and line.food.runner_up in table:
            yield from _either(line, table, asking, portions)


def _doubted(recipe: Recipe) -> Iterable[_Asked]:
    """Asks of the foods that are only likely to be spoken of."""
    for mention in recipe.mentions:
        if mention.why == DOUBTED:
            text = f"Did you put {mention.name} into {recipe.title}{first_time(mention.evidence)}?"
            effect = "It was taken for talk, so nothing of it is counted."
            start = min((said.start for said in mention.evidence), default=0.0)
            question = Question(text=text, about=mention.name, effect=effect, evidence=mention.evidence)
            yield _Asked(question, _UNKNOWN, 0.0, start)


def _either(line: Ingredient, table: FoodTable, asking: Asking, portions: Portions) -> Iterable[_Asked]:
    """Asks which of two foods was meant, where the one or the other moves a figure that matters."""
    if line.food is None or line.food.runner_up is None:
        return
    other = line.model_copy(update={"food": line.food.model_copy(update={"id": line.food.runner_up})})
    this, that = loads_of((line,), table), loads_of((other,), table)
    widest: tuple[float, str, float] | None = None
    for nutrient, day in asking.day.items():
        one, two = this.of(line, nutrient), that.of(line, nutrient)
        if one and two:
            apart = abs(one.best - two.best) / portions.count.best
            widest = max(widest or (0.0, "", 0.0), (apart / day.figure, nutrient, apart))
    kind = table.get(line.food.runner_up)
    if widest and kind and widest[0] >= asking.share_of_day:
        name, unit = nutrient_words(widest[1])
        text = f"Is the {line.name}{first_time(line.evidence)} {line.food.name} or {kind.name}?"
        effect = f"It moves {name} by {rounded(widest[2])} {unit} a serving."
        yield _asked(line, f"{text} {effect}", effect, _TELLING, widest[0])


def _settings(recipe: Recipe, asking: Asking) -> Iterable[_Asked]:
    """Asks where two temperatures are said of one thing for one purpose."""
    ordered = sorted(recipe.standing_temperatures, key=_thing)
    for (of, purpose), group in groupby(ordered, key=_thing):
        said = sorted(group, key=lambda one: one.celsius)
        if of == "other" or said[-1].celsius - said[0].celsius < asking.celsius_apart:
            continue
        shown = listed([_reading(said[0]), _reading(said[-1])], last="or")
        what = f"the {of}{f' for {purpose}' if purpose else ''}"
        evidence = (*said[0].evidence, *said[-1].evidence)
        question = Question(
            text=f"Which temperature is right for {what}: {shown}?",
            about=of,
            effect="Two values were said for one setting.",
            evidence=evidence,
        )
        yield _Asked(question, _SETTING, 0.0, min((one.start for one in evidence), default=0.0))


def _thing(said: Temperature) -> tuple[str, str]:
    return said.of, said.for_.casefold()


def _reading(said: Temperature) -> str:
    value = f"gas mark {said.value:g}" if said.unit == "gas" else f"{said.value:g} {_SIGNS[said.unit]}"
    return f"{value}{first_time(said.evidence)}"
