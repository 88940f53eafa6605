"""What renal teams look at besides the sums, as rows in words."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.record import Load, Range


def renal_rows(load: Load, servings: float, *, of: str = "a serving") -> Iterator[tuple[str, Range | None, bool]]:
    """Label with unit, value and whether a figure is missing; amounts are of one of `servings` servings.

    `of` says so in the labels: with 1 serving it is "in all".
    """
    renal = load.renal
    if renal is None:
        return
    for kind, value in renal.phosphorus_by_source.items():
        if value.high > 0:
            label = f"phosphorus, {kind}, mg {of}"
            yield label, _over(value, servings), "phosphorus_by_source" in renal.incomplete
    for label, name, divisor in (
        (f"phosphorus that may be absorbed, mg {of}", "absorbable_phosphorus_mg", servings),
        ("phosphorus for protein, mg/g", "phosphorus_per_protein", 1.0),
        ("share of phosphorus from additives and leavenings, 0 to 1", "additive_share", 1.0),
        (f"acid load, PRAL of Remer and Manz, mEq {of}", "pral_meq", servings),
        ("acid load, NEAP of Frassetto, of a day of nothing else, mEq", "neap_meq", 1.0),
    ):
        yield label, _over(getattr(renal, name), divisor), name in renal.incomplete


def _over(value: Range | None, divisor: float) -> Range | None:
    if value is None:
        return None
    return Range(low=value.low / divisor, best=value.best / divisor, high=value.high / divisor)
