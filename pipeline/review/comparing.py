"""The other food of a comparison: `less than a parsnip has`."""

from __future__ import annotations

from pipeline.foods.names import FoodNames
from pipeline.foods.table import Food, FoodTable
from pipeline.record import Claim

_THAN = "than"


def compared_with(claim: Claim, names: FoodNames, table: FoodTable) -> Food | None:
    """The first food named after `than` in the words of the claim; None where it is no comparison with a food."""
    for said in claim.evidence:
        words = said.words.casefold().split()
        if _THAN not in words:
            continue
        for at in range(words.index(_THAN) + 1, len(words)):
            match = names.longest(words, at)
            if match is not None:
                return table.get(match[0].food)
    return None
