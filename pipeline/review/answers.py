"""Amounts and numbers of people as a person writes them: `2 tablespoons`, `1 1/2-2 cups`, `½ tsp`, `4-6`."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from functools import cache
from typing import get_args

from pipeline.errors import RecordError
from pipeline.measure.weigh import default_tables
from pipeline.record import Amount, Range, Unit

_FIGURE = r"(?:\d+(?:\.\d+)?|\.\d+)"
_ONE = rf"(?:\d+\s+\d+/\d+|\d+/\d+|{_FIGURE})"
_AMOUNT = re.compile(rf"(?P<low>{_ONE})(?:\s*(?:-|–|to)\s*(?P<high>{_ONE}))?\s*(?P<unit>[a-z][a-z _]*)?", re.ASCII)


def parse_amount(text: str) -> Amount:
    """The amount in `text`: a figure or two, then a unit of models/units.csv, none for whole things.

    Raises RecordError where it is none.
    """
    low, high, unit = _parts(text)
    known = units()
    if unit and unit not in known:
        raise RecordError(f"{text!r} is no amount: {unit!r} is no unit, expected one such as g, ml, cup or tablespoon")
    return Amount(low=low, best=(low + high) / 2, high=high, unit=known[unit or "each"], basis="said", words=text)


def parse_servings(text: str) -> Range:
    """The number of people in `text`, one figure or two. Raises RecordError where it is none, or nought."""
    low, high, unit = _parts(text)
    if unit or low <= 0:
        raise RecordError(f"{text!r} is no number of servings, expected one such as 4 or 4-6")
    return Range(low=low, best=(low + high) / 2, high=high)


@cache
def units() -> Mapping[str, Unit]:
    """The words for units: those of models/units.csv and the names of the record."""
    names: dict[str, Unit] = {name: name for name in get_args(Unit)}
    spoken = {word: names[unit] for word, unit in default_tables().unit_words.items() if unit in names}
    return {**spoken, **names}


def _parts(text: str) -> tuple[float, float, str]:
    match = _AMOUNT.fullmatch(_spelt(text))
    if match is None:
        raise RecordError(f"{text!r} is no amount, expected one such as 2 tablespoons, 1/2 cup or 30-40 g")
    low = _value(match["low"])
    high = _value(match["high"]) if match["high"] else low
    if not (math.isfinite(low) and math.isfinite(high)) or low > high:
        raise RecordError(f"{text!r} is no amount: its figures do not rise")
    return low, high, (match["unit"] or "").strip()


def _spelt(text: str) -> str:
    """The text in lower case, with the signs for fractions written as `1/2`."""
    signs = [f" {unicodedata.normalize('NFKC', sign)}" if unicodedata.category(sign) == "No" else sign for sign in text]
    return " ".join("".join(signs).replace("⁄", "/").casefold().split())


def _value(figure: str) -> float:
    total = 0.0
    for part in figure.split():
        above, slash, below = part.partition("/")
        if slash and not float(below):
            return math.inf
        total += float(above) / float(below) if slash else float(above)
    return total
