"""What renal teams look at besides the sums: phosphorus by source, its ratio to protein, and acid load."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from pipeline.foods.table import Food
from pipeline.load.constants import formulas
from pipeline.load.lines import BEST, DECIMALS, HIGH, LOW, TOTALS, Array, Lines
from pipeline.load.ratio import ratio_bounds
from pipeline.record import Range, Renal

_PROTEIN, _PHOSPHORUS, _POTASSIUM = (TOTALS.index(name) for name in ("protein_g", "phosphorus_mg", "potassium_mg"))


def phosphorus_kind(food: Food) -> str:
    """plant, animal, mixed or none as the table says; `additive` where all of it is, `with-additive` where some is."""
    protein = food.figures["protein_g"]
    if food.phosphorus == "additive" and protein is not None and protein < formulas().protein_below:
        return "additive"
    if food.phosphorus == "additive" or "phosphate-additive" in food.tags:
        return "with-additive"
    return food.phosphorus or "none"


def pral(figures: Mapping[str, float]) -> float:
    """Potential renal acid load in mEq of protein (g) and minerals (mg) eaten; Remer and Manz 1995."""
    return sum(factor * figures[name] for name, factor in formulas().pral.items())


def neap(protein_g: float, potassium_mg: float) -> float:
    """Net endogenous acid production in mEq a day, of a day's protein and potassium; Frassetto et al. 1998."""
    factors = formulas()
    potassium_meq = potassium_mg / factors.milligrams_per_millimole["potassium_mg"]
    return factors.neap_slope * protein_g / potassium_meq - factors.neap_offset


def renal_of(lines: Lines) -> Renal:
    """The measures of the whole recipe, each with bounds; those that a figure not known leaves open are named."""
    known = np.nan_to_num(lines.per_gram)
    kinds = [phosphorus_kind(food) for food in lines.foods]
    phosphorus = lines.grams * known[:, :, _PHOSPHORUS]
    return Renal(
        phosphorus_by_source={
            kind: _range(phosphorus[:, [place for place, other in enumerate(kinds) if other == kind]].sum(axis=1))
            for kind in sorted(set(kinds))
        },
        absorbable_phosphorus_mg=_range((phosphorus * _shares(kinds, formulas().absorbed)).sum(axis=1)),
        phosphorus_per_protein=_ratio(lines.grams, known[:, :, _PHOSPHORUS], known[:, :, _PROTEIN]),
        additive_share=_additive_share(lines.grams, known[:, :, _PHOSPHORUS], kinds),
        pral_meq=_range(_acid(lines.grams, known)),
        neap_meq=_neap(lines.grams, known),
        incomplete=_incomplete(lines),
    )


def _shares(kinds: list[str], by_kind: Mapping[str, Range]) -> Array:
    """Shares by line, (3, n); a kind that is not listed has none."""
    listed = [by_kind.get(kind) for kind in kinds]
    rows = [(share.low, share.best, share.high) if share else (0.0, 0.0, 0.0) for share in listed]
    return np.array(rows, dtype=np.float64).reshape(len(kinds), 3).T


def _additive_share(grams: Array, phosphorus: Array, kinds: list[str]) -> Range | None:
    return _ratio(grams, phosphorus * _shares(kinds, formulas().additive_share), phosphorus)


def _acid(grams: Array, known: Array) -> Array:
    """Acid load low, best, high; what adds acid is at its least where what takes acid is at its most."""
    factors = np.array([formulas().pral.get(name, 0.0) for name in TOTALS])
    acid, base = np.clip(factors, 0, None), np.clip(factors, None, 0)
    per_gram = np.stack(
        [
            known[LOW] @ acid + known[HIGH] @ base,
            known[BEST] @ factors,
            known[HIGH] @ acid + known[LOW] @ base,
        ]
    )
    low = np.minimum(per_gram[LOW] * grams[LOW], per_gram[LOW] * grams[HIGH]).sum()
    high = np.maximum(per_gram[HIGH] * grams[LOW], per_gram[HIGH] * grams[HIGH]).sum()
    return np.array([low, per_gram[BEST] @ grams[BEST], high])


def _neap(grams: Array, known: Array) -> Range | None:
    ratio = _ratio(grams, known[:, :, _PROTEIN], known[:, :, _POTASSIUM])
    if ratio is None:
        return None
    return Range(low=neap(ratio.low, 1.0), best=neap(ratio.best, 1.0), high=neap(ratio.high, 1.0))


def _ratio(grams: Array, above: Array, below: Array) -> Range | None:
    bounds = ratio_bounds(grams, above[:, :, None], below[:, :, None])
    return None if bounds is None else _range(bounds[:, 0])


def _incomplete(lines: Lines) -> tuple[str, ...]:
    def unknown(*names: str) -> bool:
        places = [TOTALS.index(name) for name in names]
        return bool(lines.left_out) or bool(np.isnan(lines.per_gram[BEST][:, places]).any())

    needs = {
        "phosphorus_by_source": ("phosphorus_mg",),
        "absorbable_phosphorus_mg": ("phosphorus_mg",),
        "phosphorus_per_protein": ("phosphorus_mg", "protein_g"),
        "additive_share": ("phosphorus_mg",),
        "pral_meq": tuple(formulas().pral),
        "neap_meq": ("protein_g", "potassium_mg"),
    }
    return tuple(name for name, nutrients in needs.items() if unknown(*nutrients))


def _range(values: Array) -> Range:
    low, best, high = values.round(DECIMALS).tolist()
    return Range(low=low, best=best, high=high)
