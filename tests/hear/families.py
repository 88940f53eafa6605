"""What the program makes of a text, family by family, in the notation of the answers.

Figures are whole numbers and fractions (`1 1/2`), ranges `low..high`; items are parted by `; `. An amount stands after
its food: `flour 2 cup`, `carrot 3` for things counted, `honey ~` for a vague word, `rice ?` where none was said.
"""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

from pipeline.compose.recipes import Composer
from pipeline.foods.names import spoken_names
from pipeline.foods.table import FoodTable
from pipeline.hear.ear import hear
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import load_classes
from pipeline.hear.numbers import number_reader
from pipeline.hear.speech import listen
from pipeline.record import Amount, Ingredient, Recipe
from pipeline.split.outline import Outliner
from tests.hear.spoken import CLOSING, OPENING, TALK, Case, plain, transcript

TESTS = Path(__file__).parents[1]
HEAR, SPLIT, COMPOSE = TESTS / "hear", TESTS / "split", TESTS / "compose"
SMALLEST_PART = 48
OPENERS = {"and", "okay", "now", "oh", "well", "right", "so", "then"}


def fraction(value: float | Fraction) -> str:
    exact = Fraction(value).limit_denominator(SMALLEST_PART)
    whole, rest = divmod(abs(exact), 1)
    parts = [str(whole)] if whole or not rest else []
    return "-" * (exact < 0) + " ".join(parts + [str(rest)] * bool(rest))


def span(low: float | Fraction, high: float | Fraction) -> str:
    return fraction(low) if low == high else f"{fraction(low)}..{fraction(high)}"


def heard(text: str) -> Hearing:
    return hear(transcript(text))


@cache
def composing() -> tuple[Outliner, Composer]:
    classes = load_classes()
    return Outliner(classes), Composer.load(FoodTable.load(), spoken_names(), classes)


def recipes(text: str) -> tuple[Recipe, ...]:
    """The recipes of a text before they are weighed."""
    outliner, composer = composing()
    hearing = heard(text)
    outline = outliner.outline(hearing)
    return composer.recipes(hearing, outline, composer.lines.compose(hearing, outline, frozenset()))


def lines(text: str) -> list[Ingredient]:
    return [line for recipe in recipes(OPENING + text) for line in recipe.ingredients]


def numbers(text: str) -> str:
    """Figures, without the article that only may count one."""
    figures = number_reader().everywhere(listen(transcript(text)).words)
    return "; ".join(span(figure.low, figure.high) for figure in figures if figure.form != "article")


def amount(value: Amount) -> str:
    if value.low is None or value.high is None:
        return " ~" if value.basis == "vague" else " ?"
    unit = "" if value.unit in {None, "each"} else f" {value.unit}"
    return f" {span(value.low, value.high)}{unit}"


def amounts(text: str) -> str:
    return "; ".join(line.name + amount(line.amount) for line in lines(text))


def used(text: str) -> str:
    return "; ".join(line.name for line in lines(text))


def alternatives(text: str) -> str:
    return "; ".join(_with_options(line) for line in lines(text))


def _with_options(line: Ingredient) -> str:
    others = f" [{', '.join(map(_singular, line.alternatives))}]" if line.alternatives else ""
    return _singular(line.name) + others + " (optional)" * line.optional


def _singular(name: str) -> str:
    return plain(name)


def durations(text: str) -> str:
    return "; ".join(f"{span(time.low, time.high)} {time.unit} {time.kind}" for time in heard(text).times)


def temperatures(text: str) -> str:
    return "; ".join(
        f"{fraction(heat.value)} {heat.unit}{'' if heat.unit_said else '?'} {heat.of}" for heat in heard(text).heats
    )


def claims(text: str) -> str:
    return "; ".join(f"{claim.nutrient} {claim.sense} {claim.food}" for claim in heard(text).claims)


def servings(text: str) -> str:
    told = [recipe.servings for recipe in recipes(OPENING + text) if recipe.servings]
    return "; ".join(span(serving.low, serving.high) for serving in told)


def sentences(text: str) -> str:
    """Where the talk is cut, ` | ` between sentences; one word that only opens a sentence goes with it."""
    hearing = heard(text)
    said = [" ".join(hearing.speech.words[start:end]) for start, end in hearing.clauses.sentences]
    joined: list[str] = []
    for piece in reversed(said):
        alone = " " not in piece and piece in OPENERS and joined
        joined[-1:] = [f"{piece} {joined[-1]}"] if alone else [*joined[-1:], piece]
    return " | ".join(reversed(joined))


def dishes(text: str) -> str:
    """Titles; a text that does not go on after a silence is followed by cooking, and all by talk."""
    return "; ".join(recipe.title for recipe in recipes((text if " // " in text else text + CLOSING) + TALK))


def topics(text: str) -> str:
    """Every food with the noun of the component it goes into, else with that of its dish."""
    return "; ".join(
        f"{_singular(line.name)}@{_singular((line.component or recipe.title.split(' with ')[0]).split()[-1])}"
        for recipe in recipes(text)
        for line in recipe.ingredients
    )


def dealt(text: str) -> str:
    """Every food with the noun of its dish and its amount."""
    return "; ".join(
        f"{_singular(line.name)}@{_singular(recipe.title.split(' with ')[0]).split()[-1]}{amount(line.amount)}"
        for recipe in recipes(text)
        for line in recipe.ingredients
    )


def steps(text: str) -> str:
    return " > ".join(step.text for recipe in recipes(OPENING + text) for step in recipe.method)


def same_items(case: Case, got: str) -> bool:
    return plain(got) == plain(case.answer)


def same_text(case: Case, got: str) -> bool:
    return got == case.answer


def same_steps(case: Case, got: str) -> bool:
    """As many steps, each opening with the first word of its answer and holding the others in order."""
    wanted, written = (text.split(" > ") if text else [] for text in (case.answer, got))
    return len(wanted) == len(written) and all(map(_holds, wanted, written))


def _holds(answer: str, step: str) -> bool:
    words = plain(re.sub(r"[.,°]", "", step.lower())).split()
    wanted = plain(answer).split()
    return words[0] == wanted[0] and _in_order(wanted, words)


def _in_order(wanted: Sequence[str], words: Sequence[str]) -> bool:
    rest = iter(words)
    return all(word in rest for word in wanted)


@dataclass(frozen=True)
class Family:
    """A file of cases, how a text is read, and when a reading is right."""

    path: Path
    read: Callable[[str], str]
    right: Callable[[Case, str], bool] = same_items


FAMILIES = {
    "clauses": Family(HEAR / "clauses.csv", sentences, same_text),
    "numbers": Family(HEAR / "numbers.csv", numbers),
    "amounts": Family(HEAR / "amounts.csv", amounts),
    "corrections": Family(HEAR / "corrections.csv", amounts),
    "used or only spoken of": Family(HEAR / "usage.csv", used),
    "alternatives and options": Family(HEAR / "alternatives.csv", alternatives),
    "durations": Family(HEAR / "durations.csv", durations),
    "temperatures": Family(HEAR / "temperatures.csv", temperatures),
    "claims": Family(HEAR / "claims.csv", claims),
    "servings": Family(HEAR / "servings.csv", servings),
    "dishes announced": Family(SPLIT / "dishes.csv", dishes),
    "components and topics": Family(SPLIT / "topics.csv", topics),
    "ingredient lines": Family(COMPOSE / "lines.csv", amounts),
    "foods of several dishes": Family(COMPOSE / "dealt.csv", dealt),
    "method steps": Family(COMPOSE / "steps.csv", steps, same_steps),
}
