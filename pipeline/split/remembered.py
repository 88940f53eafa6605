"""Readings of a speech, and of its single words, that several readers ask for one after another."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

from pipeline.hear.hearing import Hearing

Reading = TypeVar("Reading")


class Remembered(Generic[Reading]):
    """Reads a hearing once and gives the same reading until another hearing is asked for."""

    def __init__(self, read: Callable[[Hearing], Reading]) -> None:
        self._read = read
        self._last: tuple[Hearing, Reading] | None = None

    def __call__(self, hearing: Hearing) -> Reading:
        if self._last is None or self._last[0] is not hearing:
            self._last = (hearing, self._read(hearing))
        return self._last[1]


class RememberedAt(Generic[Reading]):
    """Reads each word of a hearing once, until another hearing is asked for."""

    def __init__(self, read: Callable[[Hearing, int], Reading]) -> None:
        self._read = read
        self._readings: Remembered[dict[int, Reading]] = Remembered(lambda hearing: {})

    def __call__(self, hearing: Hearing, place: int) -> Reading:
        readings = self._readings(hearing)
        if place not in readings:
            readings[place] = self._read(hearing, place)
        return readings[place]
