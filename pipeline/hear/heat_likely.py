"""Weighs for every figure without a unit whether it is a temperature, by all that is said round it together.

Rules read what is said in a known way. A figure that they take for a temperature and that is more likely something else
is none; one that they pass over and that more likely is a temperature is one: `the small one is up at
171`, `it's only at one forty two`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.hear.heat_figures import BareFigure
from pipeline.hear.heat_signs import signs_of
from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.heat_tables import HeatTables
from pipeline.hear.lexicon import load_sign_weights
from pipeline.hear.numbers import Figure
from pipeline.hear.weighing import added, chance, strongest

_LIKELY, _DOUBTFUL = 0.5, 0.35
# Where nothing that may be hot is named and no temperature was told before.
_LIKELY_ALONE = 0.65
_LATELY = 30
_KINDS = ("food", "oven", "oil", "fridge", "freezer")


@dataclass(frozen=True, slots=True)
class Moved:
    """A figure that weighing made a temperature, or none: how likely, from 0 to 1, it is one, and what each sign
    adds, the strongest first."""

    figure: Figure
    put_in: bool
    likely: float
    signs: tuple[tuple[str, float], ...]


class LikelyHeats:
    """Weights of `models/heat_signs.csv`."""

    def __init__(self, tables: HeatTables) -> None:
        self._weights = load_sign_weights("heat_signs.csv")
        self._tables = tables

    def judged(
        self, words: Sequence[str], read: Sequence[HeatSpan], bare: Sequence[BareFigure], unit: str
    ) -> tuple[list[HeatSpan], tuple[Moved, ...]]:
        """The temperatures that rules read, with those figures that likely are one and without what likely is none,
        and what was so moved; `unit` is the one that most are in, F or C."""
        kept = {span.start: span for span in read}
        moved: list[Moved] = []
        for told in bare:
            points = added(self._weights, signs_of(words, told, unit, self._tables))
            likely = chance(points)
            if told.span is not None and likely < _DOUBTFUL:
                del kept[told.figure.start]
                moved.append(Moved(told.figure, False, likely, strongest(points)))
            elif told.span is None and likely > (_LIKELY if told.near or told.last else _LIKELY_ALONE):
                span = self._read(told, unit)
                if span is not None:
                    kept[span.start] = span
                    moved.append(Moved(told.figure, True, likely, strongest(points)))
        return sorted(kept.values(), key=lambda span: span.start), tuple(moved)

    def _read(self, bare: BareFigure, unit: str) -> HeatSpan | None:
        """The likely temperature with its unit and what has it: in the unit of the talk what is named near, else what
        was told of lately, else what may be as hot, and only then all these in the other unit; None where nothing
        may."""
        value = bare.figure.high
        last = bare.last if bare.last is not None and bare.figure.start - bare.last.end <= _LATELY else None
        kinds = [*bare.near, *([last.of] if last is not None else []), *_KINDS]
        units = [unit, "C" if unit == "F" else "F"]
        of = next(((one, kind) for one in units for kind in kinds if self._tables.may_have(value, one, kind)), None)
        if of is None:
            return None
        celsius = self._tables.celsius(value, of[0]) or 0.0
        return HeatSpan(bare.figure.start, bare.figure.end, value, of[0], False, celsius, of[1], f"heat.{of[1]}.likely")
