"""The settings of data/questions.toml, checked as they are read."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from pipeline.errors import RulesError
from pipeline.resources import data_path


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class DayFigure(_Strict):
    """A day's reference in the unit of its nutrient, and where it is from."""

    figure: float = Field(gt=0)
    source: str = Field(min_length=1)


class Asking(_Strict):
    """Shares are 0..1, `celsius_apart` degrees, `day` the nutrients questions are ranked by."""

    share_of_range: float
    share_of_day: float
    celsius_apart: float
    day: Mapping[str, DayFigure]


def load_asking(path: Path | None = None) -> Asking:
    """Read the settings (default data/questions.toml). Raises RulesError naming what is wrong."""
    path = path or data_path("questions.toml")
    try:
        return Asking.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise RulesError(f"cannot be read: {fault}", file=path.name) from fault
    except ValidationError as fault:
        faults = "; ".join(f"{'.'.join(map(str, error['loc']))}: {error['msg']}" for error in fault.errors())
        raise RulesError(faults, file=path.name) from fault


@cache
def default_asking() -> Asking:
    """The settings of data/questions.toml, read once."""
    return load_asking()
