"""A food of which the speaker says that no salt was added is the unsalted kind, where the table has one."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.compose.line_draft import LineDraft
from pipeline.foods.names import FoodName, FoodNames
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import load_classes

_WAYS = tuple(way.replace("-", " ") for way in load_classes()["unsalted-way"])


def unsalted_kind(hearing: Hearing, line: LineDraft, names: FoodNames) -> FoodName | None:
    """The listed name of the unsalted kind of a line's food; None where nothing was said of it or none is listed."""
    heads = {hearing.foods[mention].head for mention in line.mentions}
    subjects = (claim.subject for claim in hearing.claims if claim.sense == "added-none" and claim.subject is not None)
    if not any(subject.head in heads for subject in subjects):
        return None
    return _first_listed([f"{way} {line.name}" for way in _WAYS], names)


def _first_listed(candidates: Sequence[str], names: FoodNames) -> FoodName | None:
    found = (names.lookup(candidate) for candidate in candidates)
    return next((name for name in found if name is not None), None)
