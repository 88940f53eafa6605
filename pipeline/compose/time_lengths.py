"""What the length of a time tells of it: how long something keeps, and whether it may be a time that was planned."""

from __future__ import annotations

from fractions import Fraction

from pipeline.hear.durations import TimeSpan
from pipeline.hear.heat_spans import HeatSpan

_KEPT = "day"
_LEAST, _MOST = Fraction(2, 3), Fraction(2)


def is_kept(span: TimeSpan | HeatSpan) -> bool:
    """Whether a figure says how long something keeps."""
    return isinstance(span, TimeSpan) and span.unit == _KEPT


def about_as_long(planned: TimeSpan, passed: TimeSpan) -> bool:
    """Whether what has passed may be the time that was planned, or somewhat more."""
    return not is_kept(planned) and planned.seconds[0] * _LEAST <= passed.seconds[0] <= planned.seconds[1] * _MOST
