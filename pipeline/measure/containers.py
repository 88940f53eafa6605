"""The size of a can or package where it was said: `a fifteen ounce can`, `two 400 gram tins`."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.hear.numbers import number_reader
from pipeline.measure.tables import Tables


@dataclass(frozen=True, slots=True)
class Container:
    """`size` in `unit`, a unit of weight or volume."""

    size: float
    unit: str


def contents(text: str, tables: Tables) -> Container | None:
    """The content of one container, from the words of the amount; None where they give no size."""
    words, numbers = text.lower().replace("-", " ").split(), number_reader()
    for place, word in enumerate(words):
        unit = tables.unit_words.get(word, "")
        if place == 0 or not (unit in tables.weight or tables.millilitres("us", unit) is not None):
            continue
        for start in range(place):
            figure = numbers.at(words, start)
            if figure is not None and figure.end == place and figure.form in {"cardinal", "digits"}:
                return Container(float((figure.low + figure.high) / 2), unit)
    return None
