"""What is said round a figure that no unit follows, as signs that it is a temperature or is not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from pipeline.hear.heat_figures import BareFigure
from pipeline.hear.heat_tables import HeatTables
from pipeline.hear.numbers import Figure

_NEAR = 8
_SMALL, _SMALL_STEP, _STEP = 50, 10, 25
_FAR = (6, 13, 30, 100)
_CLOSE = 25
_FOOD_CLOSE = 20
_NUMBER, _START, _STOP = "#", "<start>", "<end>"


def signs_of(words: Sequence[str], bare: BareFigure, unit: str, tables: HeatTables) -> Mapping[str, float]:
    """Sign -> 1, for a figure of a talk in which most temperatures are in `unit`, F or C."""
    return dict.fromkeys((*_figure(bare, unit, tables), *_before(bare), *_beside(words, bare.figure)), 1.0)


def _figure(bare: BareFigure, unit: str, tables: HeatTables) -> Iterator[str]:
    """How much it is, how it is said, what a rule takes it for, and what is named near it and may be as hot or not."""
    value = float(bare.figure.high)
    step = _SMALL_STEP if value < _SMALL else _STEP
    yield "any"
    yield f"value.{unit}.{step * int(value // step)}"
    yield from (f"of-{step}" for step in (5, 10, 25) if value % step == 0)
    yield f"form.{bare.figure.form}"
    if bare.span is not None:
        yield "rule"
        yield f"rule.{bare.span.rule}"
    for at, kind in enumerate(bare.near[:2]):
        fits = tables.may_have(bare.figure.high, unit, kind)
        yield f"near.{at}.{kind if fits else 'unlike'}"
    if not bare.near:
        yield "near.none"


def _before(bare: BareFigure) -> Iterator[str]:
    """How far back the last temperature was told, of what, and whether this one is about as hot."""
    last = bare.last
    if last is None:
        yield "last.none"
        return
    gap = bare.figure.start - last.end
    zone = next((far for far in _FAR if gap < far), "far")
    apart = abs(bare.figure.high - last.value)
    yield f"last.{zone}"
    yield f"last.{zone}.{last.of}"
    if not apart:
        yield f"same.{zone}"
    if apart <= _CLOSE:
        yield f"close.{zone}"
    if apart <= _FOOD_CLOSE and last.of == "food":
        yield "close.food"


def _beside(words: Sequence[str], figure: Figure) -> Iterator[str]:
    """The one and the two words next to it on each side, and each of those within eight."""
    left = [_START, _START, *map(_token, words[max(0, figure.start - _NEAR) : figure.start])]
    right = [*map(_token, words[figure.end : figure.end + _NEAR]), _STOP, _STOP]
    yield f"left:{left[-1]}"
    yield f"left:{left[-2]} {left[-1]}"
    yield f"right:{right[0]}"
    yield f"right:{right[0]} {right[1]}"
    yield from (f"before:{word}" for word in left[2:])
    yield from (f"after:{word}" for word in right[:-2])


def _token(word: str) -> str:
    return _NUMBER if word[0].isdigit() else word
