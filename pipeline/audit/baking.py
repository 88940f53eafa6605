"""Checks of the oven: temperature and time said, heated first, hot enough for meat."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.audit import words
from pipeline.audit.case import Case, Heat
from pipeline.audit.report import AuditFinding
from pipeline.audit.talk import Span

_AHEAD = 60.0
_OVEN_LABELS = ("bake", "roast")
_MEATS = frozenset({"poultry", "whole"})


def temperature(case: Case) -> Iterator[AuditFinding]:
    """Baking or roasting and no oven temperature said, in this dish or in one made beside it."""
    if case.of("oven") or _oven_of_another(case):
        return
    baked = [one.place for one in case.labelled(*_OVEN_LABELS) if not case.near("not-oven", one)]
    acts = [
        Span(match.start, match.end)
        for match in case.talk.meant("bake.act", case.span)
        if not case.talk.has("not-oven", case.talk.near(Span(match.start, match.end), 6, 8))
    ]
    if baked or acts:
        yield case.finding("no-oven-temperature", (baked or acts)[:1])


def _oven_of_another(case: Case) -> bool:
    return any(
        heat.of == "oven" and recipe.start < case.recipe.end and case.recipe.start < recipe.end
        for recipe in case.episode.recipes
        for heat in recipe.standing_temperatures
    )


def time(case: Case) -> Iterator[AuditFinding]:
    """An oven setting and no time of a method that may be done in an oven."""
    settings = _baking(case)
    may = [one for one in case.times if case.tables.place(one.label) in {"oven", ""} or case.near("in-oven", one)]
    if settings and not may:
        yield case.finding("no-oven-time", [settings[0].place], said=words.heat(settings[0].said))


def preheating(case: Case) -> Iterator[AuditFinding]:
    """An oven setting and no word in the whole recording of heating the oven; not judged without a transcript."""
    settings = _baking(case)
    if not settings or not case.talk.whole or _ahead(case, settings[0]):
        return
    if not case.talk.has("preheat", Span(0, len(case.talk.speech))) and not case.near("differ", settings[0]):
        yield case.finding("no-preheating", [settings[0].place], said=words.heat(settings[0].said))


def _ahead(case: Case, setting: Heat) -> bool:
    """Whether the setting is said a good while before the first time that may be spent in the oven."""
    times = [one.evidence.start for one in case.times if case.tables.place(one.label) == "oven"]
    return bool(times) and min(times) - setting.evidence.end >= _AHEAD


def for_meat(case: Case) -> Iterator[AuditFinding]:
    """Meat or poultry roasted dry below the advised setting."""
    advised = case.tables.safety["oven.meat"]
    settings = _baking(case)
    if not settings or not case.raw & _MEATS or "wet" in case.titled or not case.labelled(*_OVEN_LABELS):
        return
    hottest = max(settings, key=lambda one: one.said.celsius)
    if not advised.met(hottest.said):
        yield case.finding("oven-low", [hottest.place], said=words.heat(hottest.said))


def _baking(case: Case) -> list[Heat]:
    """Oven settings to cook at, not to keep warm or, low, to dry at."""
    low = case.tables.heats["oven", "bake"].low
    dried = [one for one in case.of("oven") if one.said.celsius < low and case.near("dry", one)]
    return [one for one in case.of("oven") if one not in dried and not case.belongs("keep-warm", one)]


CHECKS = (temperature, time, preheating, for_meat)
