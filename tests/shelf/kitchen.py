"""A kitchen of few foods: transcripts a line a dish, and a drafter that reads them."""

import hashlib
import re
from concurrent.futures import Executor, Future

from pipeline.errors import TranscriptError
from pipeline.record import (
    Amount,
    Duration,
    Episode,
    Evidence,
    Finding,
    FoodRef,
    Ingredient,
    Load,
    Range,
    Recipe,
    Review,
    Source,
    Step,
    Temperature,
)
from pipeline.review.dietitian import content_hash
from pipeline.shelf.adding import Crew, keep_all
from pipeline.shelf.drafting import Task, Tools
from pipeline.version import CAUTION, rules_version

FOODS = {
    "salmon": ("salmon-raw", 300.0),
    "egg": ("egg-whole-raw", 60.0),
    "milk": ("milk-whole", 150.0),
    "butter": ("butter-salted", 20.0),
    "peanut butter": ("peanut-butter-smooth", 200.0),
    "apple": ("apple-raw", 100.0),
    "salt": ("table-salt", 0.0),
}


class Inline(Executor):
    """An executor that does the work when it is handed in."""

    def submit(self, work, /, *given, **named):
        """The future, done already."""
        future = Future()
        try:
            future.set_result(work(*given, **named))
        except BaseException as fault:
            future.set_exception(fault)
        return future


def transcript(*dishes: str) -> bytes:
    """A stamped transcript; a dish is `NAME of FOOD and FOOD at 180 for 30`."""
    return "".join(f"[{minute:02d}:00] {dish}\n" for minute, dish in enumerate(dishes, 1)).encode()


def draft(spoken, *, measures=None) -> Episode:
    """The record of a transcript of this kitchen; one that speaks of a fire cannot be drafted."""
    if any("fire" in line.text for line in spoken.lines):
        raise TranscriptError("there is a fire in the kitchen", file=spoken.file)
    recipes = tuple(dish(line.text, line.start) for line in spoken.lines if " of " in line.text)
    source = Source(file=spoken.file, sha256=spoken.sha256, format=spoken.format, duration=spoken.duration)
    return Episode(source=source, rules=rules_version(), caution=CAUTION, recipes=recipes)


def draft_otherwise(spoken, *, measures=None) -> Episode:
    """The record as later rules would write it: titles in capitals."""
    episode = draft(spoken)
    recipes = tuple(one.model_copy(update={"title": one.title.upper()}) for one in episode.recipes)
    return episode.model_copy(update={"recipes": recipes, "rules": "later"})


TOOLS = Tools(draft=draft)
LATER = Tools(draft=draft_otherwise)


def dish(text: str, start: float = 60.0, **changed: object) -> Recipe:
    """A recipe from the words of a line."""
    name, rest = text.split(" of ", 1)
    heat, time = re.search(r" at (\d+)", rest), re.search(r" for (\d+)", rest)
    foods = re.split(r" at \d+| for \d+", rest)[0].split(" and ")
    words = Evidence(start=start, end=start + 5, words=text, rule="test")
    potassium = sum(FOODS.get(food, ("", 1000.0))[1] for food in foods)
    known = all(food in FOODS for food in foods)
    recipe = Recipe(
        id=name.replace(" ", "-"),
        title=name,
        start=start,
        end=start + 61,
        ingredients=tuple(line(food, words) for food in foods),
        method=(Step(n=1, text=f"Cook the {foods[0]}.", start=start, end=start + 5),),
        temperatures=(Temperature(value=float(heat[1]), unit="C", celsius=float(heat[1]), of="oven"),) if heat else (),
        times=(minutes(float(time[1])),) if time else (),
        load=load(potassium, open_=not known),
        findings=(Finding(rule="hidden-sodium", level="stop", text="Salt.", about="salt", evidence=(words,)),)
        if "salt" in foods
        else (),
    )
    return recipe.model_copy(update=changed)


def line(food: str, words: Evidence) -> Ingredient:
    """An ingredient line; a food the kitchen has not fits no row of the table."""
    known = FOODS.get(food)
    ref = FoodRef(id=known[0], name=food, score=1.0) if known else None
    return Ingredient(id=food, name=food, amount=Amount(basis="unsaid"), food=ref, evidence=(words,))


def load(potassium: float, *, open_: bool = False) -> Load:
    """A load of so much potassium a serving, half to double; two servings, 400 g."""

    def ranges(factor: float) -> dict[str, Range]:
        value = potassium * factor
        return {"potassium_mg": Range(low=value / 2, best=value, high=value * 2)}

    at_least = ("potassium_mg",) if open_ else ()
    return Load(per_recipe=ranges(2), per_serving=ranges(1), per_100g=ranges(0.5), at_least=at_least)


def minutes(value: float) -> Duration:
    """A planned time."""
    return Duration(low=value, high=value, unit="minute", seconds=(value * 60, value * 60), kind="planned")


def episode(*recipes: Recipe, file: str = "pilot.txt", reviewed: bool = False) -> Episode:
    """A record without a transcript."""
    sha256 = hashlib.sha256(f"{file} {[recipe.title for recipe in recipes]}".encode()).hexdigest()
    source = Source(file=file, sha256=sha256, format="stamped", duration=3600.0)
    bare = Episode(source=source, rules=rules_version(), caution=CAUTION, recipes=recipes)
    review = Review(by="A. Diet", credential="dietitian", date="2024-05-05", content=content_hash(bare))
    return bare.model_copy(update={"review": review if reviewed else None})


def add(store, *tasks: Task, tools: Tools = TOOLS, anew: bool = False) -> list:
    """The outcomes of the tasks, done in this process."""
    return list(keep_all(store, tasks, Crew(Inline(), 1, tools), anew=anew))


def spoken_task(name: str, *dishes: str, **more: object) -> Task:
    """The task of a transcript."""
    return Task(name, name, content=transcript(*dishes), **more)


def record_task(one: Episode) -> Task:
    """The task of a record."""
    return Task(one.source.file, one.source.file, record=one.to_json().encode())
