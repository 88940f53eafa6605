"""Targets: figures of guidelines by group (data/targets.toml), a dietitian's own file, and those of a command line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pipeline.errors import RulesError, StillroomError
from pipeline.load.constants import formulas
from pipeline.load.lines import TOTALS
from pipeline.resources import data_path

_SPOKEN = re.compile(
    r"(?P<nutrient>[a-z][a-z _]*?)\s*(?P<sign><=|>=|=)\s*(?P<low>\d+(?:\.\d+)?)(?:\s*-\s*(?P<high>\d+(?:\.\d+)?))?"
    r"\s*(?P<unit>mg|g|kcal|ml|mmol)(?P<kg>/kg)?/(?P<per>day|meal)"
)
_UNITS = MappingProxyType({("g", "mg"): 1000.0, ("mg", "g"): 0.001})
_WORDED = MappingProxyType({"day": "a day", "kg/day": "per kg and day", "meal": "a meal"})
_KEYS = frozenset(("group", "nutrient", "adjust", "at_least", "at_most")) | {"unit", "per", "source", "seen", "note"}


class TargetError(StillroomError):
    """A target that cannot be read, or that cannot be worked out without more being given."""


@dataclass(frozen=True, slots=True)
class Target:
    """One figure of a source for `nutrient` (of TOTALS), `per` day, kg/day or meal, in the unit of its name.

    `at_most` has the tightest and the widest figure of the source; all three are None where `adjust` says that the
    source gives no number and follows the blood level.
    """

    nutrient: str
    at_least: float | None
    at_most: tuple[float, float] | None
    per: str
    source: str
    seen: str = ""
    note: str = ""
    group: str = ""
    adjust: bool = False

    def words(self) -> str:
        """The figure as it stands in the source: `at most 2000 mg a day`."""
        unit = self.nutrient.rpartition("_")[2]
        if self.adjust:
            return "no number: adjust to the blood level"
        most = "" if self.at_most is None else "–".join(dict.fromkeys(f"{figure:g}" for figure in self.at_most))
        if self.at_least is None:
            figure = f"at most {most}"
        else:
            figure = f"{self.at_least:g} to {most}" if most else f"at least {self.at_least:g}"
        return f"{figure} {unit} {_WORDED[self.per]}"


@dataclass(frozen=True, slots=True)
class Limit:
    """A target as it binds one meal: bounds in the unit of the nutrient, and in words how they were worked out."""

    target: Target
    at_least: float | None
    at_most: tuple[float, float] | None
    how: str


@dataclass(frozen=True, slots=True)
class TargetFile:
    """Targets of a file with its groups, the weight in kg and a meal's share 0..1 of the day, where it gives them."""

    targets: tuple[Target, ...]
    groups: Mapping[str, str]
    weight_kg: float | None
    meal_share: float | None


def read_targets(path: Path | None = None) -> TargetFile:
    """Targets of a TOML file (default data/targets.toml). Raises RulesError that names the target at fault."""
    path = path or data_path("targets.toml")
    try:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as fault:
        raise RulesError(f"cannot be read: {fault.strerror}", file=path.name) from fault
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise RulesError(f"is not TOML: {fault}", file=path.name) from fault
    entries = content.get("target", [])
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise RulesError("targets are written as [[target]] sections", file=path.name)
    share = content.get("meal", {}).get("share", content.get("meal_share"))
    return TargetFile(
        targets=tuple(_entry(entry, place, path.name) for place, entry in enumerate(entries, 1)),
        groups=MappingProxyType(dict(content.get("groups", {}))),
        weight_kg=_positive(content.get("weight_kg"), "weight_kg", path.name),
        meal_share=_positive(share, "meal_share", path.name),
    )


def of_group(file: TargetFile, group: str) -> tuple[Target, ...]:
    """The targets of one group. Raises TargetError that names the groups where there is no such one."""
    if group not in file.groups:
        raise TargetError(f"no group {group!r}; the groups are {', '.join(sorted(file.groups))}")
    return tuple(target for target in file.targets if target.group == group)


def parse_target(text: str) -> Target:
    """A target as it is typed: `potassium=2000mg/day` (at most), `protein=1.0-1.2g/kg/day`, `energy>=500kcal/meal`.

    Raises TargetError that shows the form.
    """
    found = _SPOKEN.fullmatch(text.strip().lower())
    if found is None:
        raise TargetError(
            f"{text!r} is no target; write NUTRIENT=FIGURE and unit per day, meal or kg and day, "
            "such as potassium=2000mg/day, sodium<=600mg/meal, protein=1.0-1.2g/kg/day or energy>=500kcal/meal"
        )
    nutrient = _nutrient(found["nutrient"])
    factor = _factor(found["unit"], nutrient)
    low = float(found["low"]) * factor
    high = float(found["high"]) * factor if found["high"] else None
    if found["kg"] and found["per"] == "meal":
        raise TargetError(f"{text!r}: a figure per kg is per day")
    if high is not None and (found["sign"] != "=" or high < low):
        raise TargetError(f"{text!r}: a range is written NUTRIENT=LOW-HIGH")
    per = "kg/day" if found["kg"] else found["per"]
    if found["sign"] == ">=":
        return Target(nutrient, low, None, per, "given on the command line")
    least = low if high is not None else None
    most = high if high is not None else low
    return Target(nutrient, least, (most, most), per, "given on the command line")


def limits_of(targets: Iterable[Target], *, weight_kg: float | None, meal_share: float) -> tuple[Limit, ...]:
    """The targets as they bind a meal that is `meal_share` of the day.

    Raises TargetError where a figure per kg is asked for and no weight is given, or the share is not above 0 to 1.
    """
    if not 0 < meal_share <= 1:
        raise TargetError(f"a meal's share of the day is above 0 and at most 1, not {meal_share:g}")
    return tuple(_limit(target, weight_kg, meal_share) for target in targets)


def per_kg(targets: Sequence[Target]) -> bool:
    """Whether a weight is needed."""
    return any(target.per == "kg/day" and not target.adjust for target in targets)


def _limit(target: Target, weight_kg: float | None, meal_share: float) -> Limit:
    if target.adjust:
        return Limit(target, None, None, "")
    factor, parts = 1.0, [target.words()]
    if target.per == "kg/day":
        if weight_kg is None:
            raise TargetError(
                f"{target.nutrient.rpartition('_')[0]}, {target.words()}: the person's weight in kg must be given"
            )
        factor *= weight_kg
        parts.append(f"x {weight_kg:g} kg")
    if target.per != "meal":
        factor *= meal_share
        parts.append(f"x {meal_share:.0%} of the day")
    least = None if target.at_least is None else target.at_least * factor
    most = None if target.at_most is None else (target.at_most[0] * factor, target.at_most[1] * factor)
    return Limit(target, least, most, " ".join(parts))


def _entry(entry: Mapping[str, Any], place: int, file: str) -> Target:
    where = f"target {place}"
    strange = sorted(set(entry) - _KEYS)
    if strange:
        raise RulesError(f"{where}: {', '.join(strange)} not known; known are {', '.join(sorted(_KEYS))}", file=file)
    missing = [key for key in ("nutrient", "unit", "per", "source") if not entry.get(key)]
    if missing:
        raise RulesError(f"{where}: {', '.join(missing)} missing", file=file)
    try:
        nutrient = _nutrient(str(entry["nutrient"]).lower())
        factor = _factor(str(entry["unit"]), nutrient)
    except TargetError as fault:
        raise RulesError(f"{where}: {fault.message}", file=file) from fault
    if entry["per"] not in _WORDED:
        raise RulesError(f"{where}: per is {entry['per']!r}, expected one of {', '.join(_WORDED)}", file=file)
    least, most = _figures(entry, where, file)
    adjust = bool(entry.get("adjust", False))
    if adjust == (least is not None or most is not None):
        raise RulesError(f"{where}: needs at_least or at_most, or else adjust = true", file=file)
    return Target(
        nutrient=nutrient,
        at_least=None if least is None else least * factor,
        at_most=None if most is None else (most[0] * factor, most[1] * factor),
        per=str(entry["per"]),
        source=str(entry["source"]),
        seen=str(entry.get("seen", "")),
        note=str(entry.get("note", "")),
        group=str(entry.get("group", "")),
        adjust=adjust,
    )


def _figures(entry: Mapping[str, Any], where: str, file: str) -> tuple[float | None, tuple[float, float] | None]:
    least: float | None = entry.get("at_least")
    most: Any = entry.get("at_most")
    pair: list[Any] = most if isinstance(most, list) else [most, most]
    figures = [figure for figure in (least, *pair) if figure is not None]
    numbers = all(isinstance(figure, int | float) and not isinstance(figure, bool) for figure in figures)
    if len(pair) != 2 or not numbers or figures != sorted(figures) or any(figure < 0 for figure in figures):
        raise RulesError(f"{where}: at_least and at_most are numbers that rise, at_most one or two of them", file=file)
    return least, (None if most is None else (float(pair[0]), float(pair[1])))


def _positive(value: object, name: str, file: str) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or value <= 0:
        raise RulesError(f"{name} is {value!r}, expected a number above 0", file=file)
    return float(value)


def _nutrient(name: str) -> str:
    by_word = {total.rpartition("_")[0]: total for total in TOTALS}
    by_word |= {total: total for total in TOTALS}
    found = by_word.get(name.strip().replace(" fat", "") if name.strip() != "fat" else "fat")
    if found is None:
        known = ", ".join(sorted(total.rpartition("_")[0] for total in TOTALS))
        raise TargetError(f"no nutrient {name.strip()!r}; the nutrients are {known}")
    return found


def _factor(unit: str, nutrient: str) -> float:
    """From `unit` to the unit of the nutrient's name."""
    own = nutrient.rpartition("_")[2]
    if unit == own:
        return 1.0
    weight = formulas().milligrams_per_millimole.get(nutrient)
    if unit == "mmol" and weight is not None:
        return weight
    if (unit, own) not in _UNITS:
        raise TargetError(f"{nutrient.rpartition('_')[0]} is counted in {own}, not {unit}")
    return _UNITS[unit, own]
