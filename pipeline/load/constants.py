"""The factors of data/formulas.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pipeline.errors import RulesError
from pipeline.record import Range
from pipeline.resources import data_path


@dataclass(frozen=True, slots=True)
class Formulas:
    """`pral` mEq per unit by nutrient; `absorbed` and `additive_share` shares 0..1 by
    kind of phosphorus; `protein_below` g per 100 g; `lower` and `upper` the shares
    of the draws below the ends of the band; `sources` the paper of each section, by its name."""

    salt_per_sodium: float
    milligrams_per_millimole: Mapping[str, float]
    pral: Mapping[str, float]
    neap_slope: float
    neap_offset: float
    absorbed: Mapping[str, Range]
    additive_share: Mapping[str, Range]
    protein_below: float
    lower: float
    upper: float
    draws: int
    seed: int
    fluid_class: str
    assumed_servings: Range
    sources: Mapping[str, str]


@cache
def formulas() -> Formulas:
    """The factors, read once. Raises RulesError where the file is malformed."""
    return read_formulas(data_path("formulas.toml"))


def read_formulas(path: Path) -> Formulas:
    """The factors of the file `path`; raises RulesError where it is malformed."""
    try:
        return _formulas(tomllib.loads(path.read_text(encoding="utf-8")))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise RulesError(f"cannot be read: {fault}", file=path.name) from fault
    except KeyError as fault:
        raise RulesError(f"{fault.args[0]!r} is missing", file=path.name) from fault


def _formulas(sections: Mapping[str, Any]) -> Formulas:
    band, neap = sections["band"], sections["neap"]
    nested = ("absorbed", "additive_share")
    sources = {name: part["source"] for name, part in sections.items() if name not in nested}
    sources |= {f"{name}.{kind}": part["source"] for name in nested for kind, part in sections[name].items()}
    return Formulas(
        salt_per_sodium=sections["salt"]["grams_per_gram_sodium"],
        milligrams_per_millimole=_numbers(sections["milligrams_per_millimole"]),
        pral=_numbers(sections["pral"]),
        neap_slope=neap["slope"],
        neap_offset=neap["offset"],
        absorbed=_ranges(sections["absorbed"]),
        additive_share=_ranges(sections["additive_share"]),
        protein_below=sections["additive"]["protein_below"],
        lower=band["lower"],
        upper=band["upper"],
        draws=band["draws"],
        seed=band["seed"],
        fluid_class=sections["fluid"]["density_class"],
        assumed_servings=_ranges({"servings": sections["servings"]})["servings"],
        sources=MappingProxyType(sources),
    )


def _numbers(section: Mapping[str, Any]) -> Mapping[str, float]:
    return MappingProxyType({name: float(value) for name, value in section.items() if name != "source"})


def _ranges(section: Mapping[str, Any]) -> Mapping[str, Range]:
    return MappingProxyType(
        {name: Range(low=part["low"], best=part["best"], high=part["high"]) for name, part in section.items()}
    )
