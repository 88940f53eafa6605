"""Why a food is spoken of and not in the recipe, in words for a reader."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from pipeline.resources import models_path, read_rows


@cache
def reason_words() -> Mapping[str, str]:
    """The words of `models/publish/reasons.csv` by the reason as it stands in a record."""
    rows = read_rows(models_path("publish", "reasons.csv"), ("reason", "words"))
    return MappingProxyType({row["reason"]: row["words"] for _, row in rows})


def reason(why: str) -> str:
    """Words for the reason `why`; one that is not in the table, such as a person's own, stands as it is."""
    return reason_words().get(why, why)
