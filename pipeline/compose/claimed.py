"""Whose a claim is: of the dish that it names, of the one whose line has the mention it is about, else of the dish that
is spoken of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pipeline.compose.lines import LineDraft
from pipeline.compose.named import DishNames
from pipeline.hear.claims import ClaimSpan
from pipeline.hear.hearing import Hearing
from pipeline.split.dishes import stem
from pipeline.split.outline import Outline


def claims_of(
    hearing: Hearing, outline: Outline, names: DishNames, lines: Sequence[LineDraft], dish: int
) -> list[ClaimSpan]:
    """The claims of one dish, in order of speech."""
    dishes = {hearing.foods[at].start: line.dish for line in lines for at in line.mentions}
    return [claim for claim in hearing.claims if _dish(claim, outline, names, dishes) == dish]


def _dish(claim: ClaimSpan, outline: Outline, names: DishNames, dishes: Mapping[int, int]) -> int:
    """The dish of a claim; `dishes` are those of the mentions that stand in a line, by their first words."""
    named = names.strict.get(stem(claim.food))
    if named is not None:
        return named.dish
    local = outline.local[claim.start]
    return local if claim.subject is None else dishes.get(claim.subject.start, local)
