"""Plausible episode records by the seed: invented dishes of foods of the table, with loads, settings and speech.

What is likely in a kitchen is likely here: a few foods come in every second recipe, most in one of a thousand.
"""

from __future__ import annotations

import hashlib
from functools import cache
from random import Random

from pipeline.foods.table import NUTRIENTS, Food, FoodTable
from pipeline.read.transcript import Line, Transcript
from pipeline.record import (
    Amount,
    Duration,
    Episode,
    Evidence,
    Finding,
    FoodRef,
    Grams,
    Ingredient,
    Load,
    Range,
    Recipe,
    Servings,
    Source,
    Step,
    Temperature,
)
from pipeline.record import Review as Reviewed
from pipeline.resources import models_path, read_rows
from pipeline.review.dietitian import content_hash
from pipeline.shelf.entry import Entry, entry_of
from pipeline.version import CAUTION, rules_version

DISHES_EACH = 3
LINES_EACH = 60
WORDS_A_LINE = 9
FILLERS = "and so now we just you know want to keep that going a little bit while it sits there nice and gently then"
KINDS = [
    "bake",
    "stew",
    "salad",
    "soup",
    "roast",
    "curry",
    "pie",
    "traybake",
    "braise",
    "pudding",
    "cake",
    "crumble",
    "stir-fry",
    "bowl",
    "sorbet",
    "tart",
]
UNITS = ("teaspoon", "tablespoon", "cup", "gram", "each")
DAYS = 28


@cache
def foods() -> tuple[tuple[Food, ...], tuple[float, ...]]:
    """Foods with their weights: the plain names first, each less likely than the one before."""
    known = [food for food in FoodTable.load() if food.known and food.group not in {"dish", "snack", "supplement"}]
    order = sorted(known, key=lambda food: (len(food.name), hashlib.sha256(food.id.encode()).digest()))
    return tuple(order), tuple(1 / (place + 8) for place in range(len(order)))


@cache
def verbs() -> tuple[str, ...]:
    """Verbs of the kitchen."""
    path = models_path("verbs.csv")
    header = tuple(path.read_text(encoding="utf-8").splitlines()[0].split(","))
    return tuple(sorted({next(iter(row.values())).split()[0] for _, row in read_rows(path, header)}))


def entry(seed: int) -> Entry:
    """The rows of one episode of three recipes."""
    random = Random(seed)
    recipes = tuple(recipe(random, place) for place in range(DISHES_EACH))
    lines = tuple(line for one in recipes for line in speech(random, one))
    content = "\n".join(f"[{line.start:.2f}] {line.text}" for line in lines).encode()
    day = f"{random.randint(2005, 2026)}-{random.randint(1, 12):02d}-{random.randint(1, DAYS):02d}"
    name = f"programme-{day}-{seed}.txt"
    sha256 = hashlib.sha256(content).hexdigest()
    source = Source(file=name, sha256=sha256, format="stamped", duration=lines[-1].end)
    episode = Episode(source=source, rules=rules_version(), caution=CAUTION, recipes=recipes)
    if random.random() < 0.25:
        review = Reviewed(by="A. Diet", credential="dietitian", date=day, content=content_hash(episode))
        episode = episode.model_copy(update={"review": review})
    transcript = Transcript(name, sha256, "stamped", lines)
    return entry_of(episode, transcript, content=content, amendments=None, measures=None, date=None)


def recipe(random: Random, place: int) -> Recipe:
    """One recipe of 6 to 18 foods, with the load of what went in."""
    known, weights = foods()
    chosen = tuple({food.id: food for food in random.choices(known, weights, k=random.randint(6, 18))}.values())
    start, span = place * 600.0, 580.0
    lines = tuple(line(random, food, at, start + span * at / len(chosen)) for at, food in enumerate(chosen, 1))
    title = f"{chosen[0].name} and {chosen[1].name} {random.choice(KINDS)}"
    serves = float(random.randint(2, 8))
    celsius = float(random.randint(12, 46) * 5)
    minutes = float(random.randint(1, 18) * 5)
    words = said(random, chosen[0], start + 300, f"about {minutes:g} minutes at {celsius:g}")
    return Recipe(
        id=f"dish-{place + 1}",
        title=title,
        start=start,
        end=start + span,
        servings=Servings(low=serves, best=serves, high=serves, basis="said", evidence=(words,)),
        ingredients=lines,
        method=tuple(step(random, food, at, start + at * 30.0) for at, food in enumerate(chosen, 1)),
        temperatures=(Temperature(value=celsius, unit="C", celsius=celsius, of="oven", for_=title, evidence=(words,)),),
        times=(
            Duration(
                low=minutes,
                high=minutes + 5,
                unit="minute",
                seconds=(minutes * 60, minutes * 60 + 300),
                for_=title,
                kind="planned",
                evidence=(words,),
            ),
        ),
        load=load(chosen, lines, serves),
        findings=tuple(finding(food, words) for food in chosen if food.tags),
    )


def line(random: Random, food: Food, number: int, moment: float) -> Ingredient:
    """An ingredient line; every tenth fits no row of the food table."""
    count = random.choice((0.5, 1.0, 2.0, 3.0))
    best = round(random.lognormvariate(3.6, 1.0), 1)
    unit = random.choice(UNITS)
    return Ingredient(
        id=f"{food.id}-{number}",
        name=food.name,
        amount=Amount(low=count, best=count, high=count, unit=unit, basis="said", words=f"{count:g} {unit}"),
        grams=Grams(low=best * 0.8, best=best, high=best * 1.3, basis="volume", how=f"{count:g} {unit} of {food.name}"),
        food=FoodRef(id=food.id, name=food.name, score=1.0) if random.random() > 0.1 else None,
        evidence=(said(random, food, moment, f"{count:g} {unit} of"),),
    )


def step(random: Random, food: Food, number: int, moment: float) -> Step:
    """A sentence of the method."""
    text = f"{random.choice(verbs()).capitalize()} the {food.name} and {random.choice(verbs())} until done."
    return Step(n=number, text=text, start=moment, end=moment + 9, evidence=(said(random, food, moment, "the"),))


def said(random: Random, food: Food, moment: float, before: str) -> Evidence:
    """Words of the recording about a food."""
    filler = " ".join(random.sample(FILLERS.split(), 6))
    return Evidence(start=moment, end=moment + 4.5, words=f"{before} {food.name} {filler}", rule="amount.before-food")


def finding(food: Food, words: Evidence) -> Finding:
    """A finding for a tag of the food."""
    tag = min(food.tags)
    level = "stop" if len(food.tags) > 1 else "caution"
    return Finding(rule=tag, level=level, text=f"{food.name}: {tag}", about=food.id, evidence=(words,), sources=(tag,))


def load(chosen: tuple[Food, ...], lines: tuple[Ingredient, ...], serves: float) -> Load:
    """The sums of the lines; a nutrient is open where a figure is not known."""
    sums = {}
    for name in NUTRIENTS:
        known = [(one.grams, food.figures[name] or 0.0) for food, one in zip(chosen, lines, strict=True) if one.grams]
        ends = [sum(getattr(grams, end) * figure / 100 for grams, figure in known) for end in ("low", "best", "high")]
        sums[name] = tuple(round(end, 3) for end in ends)
    grams = [sum(getattr(one.grams, end) for one in lines) for end in ("low", "best", "high")]
    return Load(
        servings=Range(low=serves, best=serves, high=serves),
        per_recipe={name: span(ends) for name, ends in sums.items()},
        per_serving={name: span(ends, 1 / serves) for name, ends in sums.items()},
        per_100g={name: span(ends, 100 / grams[1]) for name, ends in sums.items()},
        at_least=tuple(name for name in NUTRIENTS if any(food.figures[name] is None for food in chosen)),
        grams=span(tuple(grams)),
    )


def span(ends: tuple[float, ...], factor: float = 1.0) -> Range:
    """A range, times a factor."""
    low, best, high = (round(end * factor, 3) for end in ends)
    return Range(low=low, best=best, high=high)


def speech(random: Random, one: Recipe) -> list[Line]:
    """Run-on speech over the time of a recipe, its foods among it."""
    names = [line.name for line in one.ingredients]
    pool = FILLERS.split() * 2 + names + list(verbs())[:120]
    gap = (one.end - one.start) / LINES_EACH
    return [
        Line(
            at + 1,
            one.start + at * gap,
            one.start + (at + 1) * gap - 0.1,
            " ".join(random.choices(pool, k=WORDS_A_LINE)),
        )
        for at in range(LINES_EACH)
    ]
