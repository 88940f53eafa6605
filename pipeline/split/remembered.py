"""Readings of a speech that several readers ask for one after another."""

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
