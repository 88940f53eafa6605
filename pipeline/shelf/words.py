"""What a person asks for, read: a word for food, a bound on a nutrient, a range of heat or time, a date."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from pipeline.errors import StillroomError
from pipeline.resources import models_path, read_rows
from pipeline.shelf.store import Store

PER_RECIPE, PER_SERVING, PER_100G = range(3)
_BOUND = re.compile(r"(?P<name>[a-z][a-z _-]*?)\s*=\s*(?P<value>\d+(?:\.\d+)?)\s*(?P<unit>[a-z]*)", re.IGNORECASE)
_NUMBER = r"\d+(?:\.\d+)?"
_RANGE = re.compile(rf"(?P<low>{_NUMBER})?\s*(?P<dots>\.\.)?\s*(?P<high>{_NUMBER})?\s*(?P<unit>[a-z]+)", re.IGNORECASE)
_DATE = re.compile(r"(\d{4})(?:-(0[1-9]|1[0-2]))?(?:-(0[1-9]|[12]\d|3[01]))?")
_NEAR = 6
_LIKENESS = 70
_FREEZING_F = 32
_DEGREES_F = 9 / 5


class QuestionError(StillroomError):
    """A question that cannot be understood."""


@dataclass(frozen=True, slots=True)
class Nutrient:
    """A nutrient of the store; `unit` is the one its name ends with."""

    id: int
    name: str

    @property
    def label(self) -> str:
        """The name as it is printed."""
        return self.name.rpartition("_")[0].replace("_", " ")

    @property
    def unit(self) -> str:
        """g, mg, ml or kcal."""
        return self.name.rpartition("_")[2]


@dataclass(frozen=True, slots=True)
class Bound:
    """A nutrient and the value it shall not reach, or not fall below, in the nutrient's unit."""

    nutrient: Nutrient
    value: float


@dataclass(frozen=True, slots=True)
class Span:
    """A range with both ends in it; None where an end is open. Degrees Celsius, or seconds."""

    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Foods:
    """What a word for food stands for: ids of foods that are it, and of those that only hold it as a part."""

    word: str
    itself: tuple[int, ...]
    inside: tuple[int, ...]


def nutrients_of(store: Store) -> tuple[Nutrient, ...]:
    """The nutrients of the store, by name."""
    rows = store.all("SELECT id, name FROM nutrient ORDER BY name")
    return tuple(Nutrient(number, str(name)) for number, name in rows)


def parse_nutrient(text: str, known: tuple[Nutrient, ...]) -> Nutrient:
    """The nutrient that `text` names, of those `known`. Raises QuestionError that lists them."""
    plain = text.strip().lower().replace("_", " ").replace("-", " ")
    for name in (plain, _spoken().get(plain)):
        for nutrient in known:
            if name in {nutrient.label, nutrient.name.replace("_", " ")}:
                return nutrient
    names = ", ".join(nutrient.label for nutrient in known)
    raise QuestionError(f"no nutrient {text!r} on this shelf" + (f"; there are {names}" if names else ", it is empty"))


def parse_bound(text: str, known: tuple[Nutrient, ...]) -> Bound:
    """`potassium=200`, in the nutrient's unit, which may stand behind it. Raises QuestionError."""
    found = _BOUND.fullmatch(text.strip())
    if found is None:
        raise QuestionError(f"{text!r} is no bound, expected one such as potassium=200")
    nutrient = parse_nutrient(found["name"], known)
    if found["unit"] and found["unit"].lower() != nutrient.unit:
        raise QuestionError(f"{text!r}: {nutrient.label} is counted in {nutrient.unit}, not in {found['unit']}")
    return Bound(nutrient, float(found["value"]))


def parse_heat(text: str) -> Span:
    """`175..190C`, `..350F`, `180C` as degrees Celsius. Raises QuestionError."""
    low, high, unit = _range(text, example="175..190C")
    if unit.upper() not in {"C", "F"}:
        raise QuestionError(f"{text!r}: {unit!r} is no unit of heat, expected C or F")
    return Span(*(value if value is None or unit.upper() == "C" else _celsius(value) for value in (low, high)))


def parse_time(text: str) -> Span:
    """`..45min`, `1..2h` as seconds. Raises QuestionError."""
    low, high, unit = _range(text, example="..45min")
    seconds = _seconds()
    known = [word for word in sorted(seconds) if word == unit.lower() or (len(unit) == 1 and word[0] == unit.lower())]
    if not known:
        raise QuestionError(f"{text!r}: {unit!r} is no unit of time, expected one such as min or h")
    return Span(*(None if value is None else value * seconds[known[0]] for value in (low, high)))


def parse_date(text: str) -> str:
    """A year, a month or a day of ISO form, as the text its days are compared with. Raises QuestionError."""
    if _DATE.fullmatch(text.strip()) is None:
        raise QuestionError(f"{text!r} is no date, expected one such as 2024-03-05, 2024-03 or 2024")
    return text.strip()


def foods_of(store: Store, word: str) -> Foods:
    """What `word` stands for. A name in recipes that fits no row of the food table counts where it has the word.

    Raises QuestionError that names words near it where nothing on the shelf or in its food words is called so.
    """
    plain = " ".join(word.lower().split())
    rows = store.all(
        "SELECT food, inside FROM sense_food WHERE sense = (SELECT sense FROM food_word WHERE word = ?)", (plain,)
    )
    unlisted = store.all(
        "SELECT id, 0 FROM food WHERE listed = 0 AND ' ' || name || ' ' LIKE ? ESCAPE '\\'", (f"% {_literal(plain)} %",)
    )
    if not rows and not unlisted:
        raise QuestionError(_unknown(store, plain))
    found = [(food, inside) for food, inside in (*rows, *unlisted)]
    return Foods(
        plain,
        tuple(food for food, inside in found if not inside),
        tuple(food for food, inside in found if inside),
    )


def match_of(words: tuple[str, ...]) -> str:
    """The full-text question for `words`: all of them, each argument with spaces in it as a phrase."""
    return " ".join('"' + word.replace('"', '""') + '"' for word in words if word.strip())


@cache
def _spoken() -> Mapping[str, str]:
    """Nutrients by the words that people use for them."""
    rows = read_rows(models_path("nutrients.csv"), ("words", "nutrient"))
    return {row["words"]: row["nutrient"].replace("_", " ") for _, row in rows}


@cache
def _seconds() -> Mapping[str, float]:
    """Seconds in each unit of time."""
    rows = read_rows(models_path("time_units.csv"), ("word", "unit", "seconds"))
    return {row["word"]: float(row["seconds"]) for _, row in rows}


def _range(text: str, *, example: str) -> tuple[float | None, float | None, str]:
    found = _RANGE.fullmatch(text.strip())
    if found is None or (found["low"] is None and found["high"] is None) or (found["high"] and not found["dots"]):
        raise QuestionError(f"{text!r} is no range, expected one such as {example}")
    low, high = (None if found[end] is None else float(found[end]) for end in ("low", "high"))
    if not found["dots"]:
        high = low
    if low is not None and high is not None and low > high:
        raise QuestionError(f"{text!r}: the lower end is above the upper end")
    return low, high, found["unit"]


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - _FREEZING_F) / _DEGREES_F


def _literal(text: str) -> str:
    return text.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")


def _unknown(store: Store, word: str) -> str:
    from rapidfuzz import fuzz, process

    known = [one for (one,) in store.all("SELECT word FROM food_word ORDER BY word")]
    near = process.extract(word, known, scorer=fuzz.ratio, limit=_NEAR, score_cutoff=_LIKENESS)
    hint = f"; near it are {', '.join(one for one, *_ in near)}" if near else ""
    return f"no food or group of foods is called {word!r}{hint}"
