"""The rules of an audit and the published figures it holds settings against."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from pipeline.errors import RulesError
from pipeline.phrases import Phrases
from pipeline.record import Temperature
from pipeline.resources import data_path, models_path, read_rows

Level = Literal["stop", "caution", "note"]

SAFETY_COLUMNS = ("id", "kind", "of", "fahrenheit", "celsius", "low", "high", "unit", "source")
RANGE_COLUMNS = ("id", "method", "kind", "dish", "low", "high", "unit", "place", "source")
_SCALE = {"minute": 60.0, "hour": 3600.0, "day": 86400.0}


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Rule(_Strict):
    """One rule: what it looks at, what it says of a fault, what an editor can do, and a caption for viewers."""

    id: str
    level: Level
    check: str
    text: str
    action: str
    caption: str
    sources: Annotated[tuple[str, ...], Field(min_length=1)]


class Reason(_Strict):
    """Why a figure may differ in another kitchen; named, never computed."""

    id: str
    text: str


class RuleBook(_Strict):
    """The file data/audit_rules.toml."""

    caution: str
    reason: tuple[Reason, ...]
    rule: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class Published:
    """A published figure: a temperature on both scales as printed, a length of time in seconds, or both."""

    id: str
    of: str
    fahrenheit: float | None
    celsius: float | None
    low: float | None
    high: float | None
    source: str

    def met(self, said: Temperature) -> bool:
        """Whether the temperature is at or above the published one, on the scale it was said in."""
        if said.unit == "F":
            return self.fahrenheit is not None and said.value >= self.fahrenheit
        return self.celsius is not None and said.celsius >= self.celsius

    def within(self, said: Temperature) -> bool:
        """Whether the temperature is at or below the published one, on the scale it was said in."""
        if said.unit == "F":
            return self.fahrenheit is not None and said.value <= self.fahrenheit
        return self.celsius is not None and said.celsius <= self.celsius

    def printed(self) -> str:
        """`165 F (74 C)`; empty where there is no temperature."""
        return "" if self.fahrenheit is None else f"{self.fahrenheit:g} F ({self.celsius:g} C)"


@dataclass(frozen=True, slots=True)
class Usual:
    """The usual span of a method in seconds, or of a kind of thing in degrees Celsius. `dish` narrows it to dishes
    with a word of the cue `dish.NAME`. `place` is oven where the method may be done in an oven, hob where it is cooking
    elsewhere, mix where nothing is heated, idle where the food is left alone; empty for a kind of thing."""

    id: str
    low: float
    high: float
    place: str
    source: str


@dataclass(frozen=True, slots=True)
class Tables:
    """Rules, published figures, usual spans by (method or thing, dish) and the phrases of every family of cues."""

    book: RuleBook
    rules: Mapping[str, Rule]
    safety: Mapping[str, Published]
    times: Mapping[tuple[str, str], Usual]
    heats: Mapping[tuple[str, str], Usual]
    gas: Mapping[float, float]
    cues: Mapping[str, Phrases[str]]

    def fahrenheit(self, celsius: float) -> float:
        """Degrees Fahrenheit, by the freezing and boiling points of water in data/safety.csv."""
        ice, steam = self.safety["scale.freezing"], self.safety["scale.boiling"]
        assert ice.fahrenheit is not None and steam.fahrenheit is not None
        assert ice.celsius is not None and steam.celsius is not None
        share = (celsius - ice.celsius) / (steam.celsius - ice.celsius)
        return ice.fahrenheit + share * (steam.fahrenheit - ice.fahrenheit)

    def place(self, method: str) -> str:
        """Where a method is done: oven, hob, mix, idle; empty where the method has no row."""
        usual = self.times.get((method, ""))
        return usual.place if usual else ""

    def gas_mark(self, celsius: float, *, within: float = 8.0) -> float | None:
        """The gas mark nearest to an oven setting, None where none lies `within` so many degrees Celsius."""
        mark, degrees = min(self.gas.items(), key=lambda item: abs(item[1] - celsius))
        return mark if abs(degrees - celsius) <= within else None


@cache
def default_tables() -> Tables:
    """The tables of `data/` and the cues of `models/`, read once. Raises RulesError naming the file and the place."""
    book = load_rules()
    usual = list(_usual())
    return Tables(
        book=book,
        rules={rule.id: rule for rule in book.rule},
        safety=load_safety(),
        times={(method, dish): span for kind, method, dish, span in usual if kind == "time"},
        heats={(method, dish): span for kind, method, dish, span in usual if kind == "heat"},
        gas={
            float(row["mark"]): float(row["celsius"])
            for _, row in read_rows(data_path("gas_marks.csv"), ("mark", "celsius", "source"))
        },
        cues=load_cues(),
    )


def load_rules(path: Path | None = None) -> RuleBook:
    """Read the rules (default data/audit_rules.toml). Raises RulesError naming what is wrong and where."""
    path = path or data_path("audit_rules.toml")
    try:
        book = RuleBook.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise RulesError(f"cannot be read: {fault}", file=path.name) from fault
    except ValidationError as fault:
        faults = "; ".join(f"{'.'.join(map(str, error['loc']))}: {error['msg']}" for error in fault.errors())
        raise RulesError(faults, file=path.name) from fault
    ids = [rule.id for rule in book.rule]
    if twice := sorted({name for name in ids if ids.count(name) > 1}):
        raise RulesError(f"rules that stand here twice: {', '.join(twice)}", file=path.name)
    return book


def load_safety(path: Path | None = None) -> dict[str, Published]:
    """Read the published figures (default data/safety.csv), by id; lengths of time come out in seconds."""
    path = path or data_path("safety.csv")
    found: dict[str, Published] = {}
    for line, row in read_rows(path, SAFETY_COLUMNS):
        if not row["source"]:
            raise RulesError("the source is empty", file=path.name, line=line)
        scale = _SCALE.get(row["unit"], 1.0)
        low, high = _number(row["low"], path, line), _number(row["high"], path, line)
        found[row["id"]] = Published(
            id=row["id"],
            of=row["of"],
            fahrenheit=_number(row["fahrenheit"], path, line),
            celsius=_number(row["celsius"], path, line),
            low=None if low is None else low * scale,
            high=None if high is None else high * scale,
            source=row["source"],
        )
    return found


def load_cues(path: Path | None = None) -> dict[str, Phrases[str]]:
    """The cues (default models/audit_cues.csv) by family; a match carries the rest of the cue's name.

    A family is the part of the name before the full stop: the longest of its phrases counts.
    """
    families: dict[str, list[tuple[str, str]]] = {}
    for _, row in read_rows(path or models_path("audit_cues.csv"), ("id", "cue", "pattern")):
        family, _, name = row["cue"].partition(".")
        families.setdefault(family, []).append((row["pattern"], name))
    return {family: Phrases(entries) for family, entries in sorted(families.items())}


def _usual() -> list[tuple[str, str, str, Usual]]:
    path = data_path("method_ranges.csv")
    found = []
    for line, row in read_rows(path, RANGE_COLUMNS):
        low, high = _number(row["low"], path, line), _number(row["high"], path, line)
        if low is None or high is None:
            raise RulesError("low or high is empty", file=path.name, line=line)
        span = Usual(row["id"], low, high, row["place"], row["source"])
        found.append((row["kind"], row["method"], row["dish"], span))
    return found


def _number(text: str, path: Path, line: int) -> float | None:
    if not text:
        return None
    try:
        return float(text)
    except ValueError as fault:
        raise RulesError(f"{text!r} is no number", file=path.name, line=line) from fault
