"""An ingredient line in the making."""

from __future__ import annotations

from dataclasses import dataclass, field

from pipeline.compose.amounts import Said
from pipeline.split.dishes import MAIN


@dataclass(slots=True)
class LineDraft:
    """A line in the making. `mentions` index the foods of the speech; `part` is None while it was only shown, and
    `spoken_in` the component in which it was."""

    dish: int
    part: str | None
    food: str
    names: list[str] = field(default_factory=list)
    mentions: list[int] = field(default_factory=list)
    measured_names: set[str] = field(default_factory=set)
    said: list[Said] = field(default_factory=list)
    preparation: list[str] = field(default_factory=list)
    alternatives: list[str] = field(default_factory=list)
    optional: bool = False
    option_at: int | None = None
    spoken_in: str = MAIN
    sure: bool = False
    used: bool = False

    @property
    def name(self) -> str:
        """The fullest name said; of two as full, the one that came with an amount, then the first."""
        if len(self.names) == 1:
            return self.names[0]
        first, best = "", (0, False)
        for name in dict.fromkeys(self.names):
            fullness = (len(name.split()), name in self.measured_names)
            if fullness > best:
                first, best = name, fullness
        return first
