"""Episode -> one self-contained web page."""

from __future__ import annotations

from functools import cache

import jinja2

from pipeline.publish.build import card_view
from pipeline.publish.view import LOST, NO_DISH
from pipeline.record import Episode


def card_html(episode: Episode) -> str:
    """The recipe cards of `episode` as one HTML page that needs nothing beside it; all text is escaped."""
    return _templates().get_template("card.html").render(card=card_view(episode), no_dish=NO_DISH, lost=LOST)


@cache
def _templates() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.PackageLoader("pipeline.publish", "templates"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
