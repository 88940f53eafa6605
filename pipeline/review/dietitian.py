"""Reviews: a named person with a credential stands for one exact content, and no later one."""

from __future__ import annotations

import hashlib
import json
from typing import Literal

from pipeline.record import Episode

Standing = Literal["reviewed", "out of date", "not reviewed"]
UNREVIEWED = "Not yet reviewed by a dietitian."


def content_hash(episode: Episode) -> str:
    """SHA-256 over the recipes of `episode` as sorted JSON: what a reviewer reads, and nothing besides."""
    recipes = [recipe.model_dump(mode="json", by_alias=True) for recipe in episode.recipes]
    text = json.dumps(recipes, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def standing(episode: Episode) -> Standing:
    """Whether the content of `episode` is the one its latest review was given for."""
    if episode.review is None:
        return "not reviewed"
    return "reviewed" if episode.review.content == content_hash(episode) else "out of date"


def review_line(episode: Episode) -> str:
    """The line for a card: reviewed by whom, that a review is out of date, or that there is none."""
    review = episode.review
    if review is None:
        return UNREVIEWED
    given = f"eviewed by {review.by}, {review.credential}, on {review.date}"
    if standing(episode) == "out of date":
        return f"{UNREVIEWED[:-1]} in this form: an earlier one was r{given}, and has changed since."
    return f"R{given}."
