"""Kitchen units by pint, from data/units.txt and data/kitchens.toml.

Amounts of a draft are weighed with the plain factors of data/unit_factors.csv (pipeline/measure/units.py), which
`data/build_units.py` works out here; nothing of this module is imported while a transcript is read.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from pipeline.errors import RulesError
from pipeline.resources import data_path

COLUMNS = ("kitchen", "unit", "kind", "factor", "source")
ANYWHERE = "any"
_WEIGHTS = ("gram", "kilogram", "ounce", "pound")
_VOLUMES = ("millilitre", "litre")


def registry(path: Path | None = None) -> Any:
    """A pint registry with the units of data/units.txt and no others."""
    import pint

    return pint.UnitRegistry(str(path or data_path("units.txt")), cache_folder=None)


def kitchens(path: Path | None = None) -> dict[str, dict[str, str]]:
    """Kitchen -> spoken unit -> unit of data/units.txt, with its `source`. Raises RulesError."""
    path = path or data_path("kitchens.toml")
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise RulesError(f"cannot be read: {fault}", file=path.name) from fault


def factors() -> list[tuple[str, str, str, str, str]]:
    """Rows of data/unit_factors.csv: grams or millilitres of one unit, for every kitchen."""
    units = registry()
    found = [
        (ANYWHERE, name, "weight", _factor(units, name, "gram"), "NIST SP 811 appendix B") for name in _WEIGHTS
    ] + [(ANYWHERE, name, "volume", _factor(units, name, "millilitre"), "SI") for name in _VOLUMES]
    for kitchen, words in kitchens().items():
        source = words["source"]
        found += [
            (kitchen, word, "volume", _factor(units, unit, "millilitre"), source)
            for word, unit in words.items()
            if word != "source"
        ]
    return sorted(found)


def _factor(units: Any, unit: str, base: str) -> str:
    return f"{units.Quantity(1, unit).to(base).magnitude:.10g}"
