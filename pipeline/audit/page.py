"""Audits -> one self-contained web page."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import jinja2

from pipeline.audit.export import first_shown, loose, place, worst_first
from pipeline.audit.report import LEVELS, Audit
from pipeline.errors import clock


def audit_html(audits: Sequence[Audit]) -> str:
    """The audits, worst first, as one HTML page that needs nothing beside it; all text is escaped."""
    ordered = worst_first(audits)
    totals = {level: sum(audit.counts()[level] for audit in ordered) for level in LEVELS}
    cautions = tuple(dict.fromkeys(audit.caution for audit in ordered))
    return _templates().get_template("audit.html").render(audits=ordered, totals=totals, cautions=cautions)


@cache
def _templates() -> jinja2.Environment:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("pipeline.audit", "templates"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters |= {"clock": clock, "place": place, "loose": loose, "first_shown": first_shown}
    return environment
