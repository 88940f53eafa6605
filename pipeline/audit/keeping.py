"""Checks of holding, cooling, reheating and storage against the published figures."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.audit import words
from pipeline.audit.case import Case, Heat, Time
from pipeline.audit.report import AuditFinding
from pipeline.audit.tables import Published
from pipeline.audit.talk import Span

_AFTER_REHEAT = 45
_COOLED = ("cool",)
_OPEN = ("", "rest")
_NOT_OUT = ("cool", "marinate", "brine", "store", "rise", "soak", "pickle")


def hot(case: Case) -> Iterator[AuditFinding]:
    """Food kept warm below the published limit."""
    limit = case.tables.safety["hold.hot"]
    for one in case.of("food", "oven", "other"):
        if case.belongs("keep-warm", one) and not case.belongs("reheat", one) and not limit.met(one.said):
            yield case.finding("hot-holding", [one.place], said=words.heat(one.said))


def cold(case: Case) -> Iterator[AuditFinding]:
    """A fridge or freezer said to be warmer than the published limit."""
    for of, row, rule in (("fridge", "hold.cold", "cold-holding"), ("freezer", "hold.freezer", "freezer-warm")):
        usual, limit = case.tables.heats[of, ""], case.tables.safety[row]
        for one in case.of(of):
            if one.said.celsius <= usual.high and not limit.within(one.said):
                yield case.finding(rule, [one.place], said=words.heat(one.said))


def out(case: Case) -> Iterator[AuditFinding]:
    """Food that spoils left out for longer than the published time."""
    limit = case.tables.safety["out.limit"].high or 0
    for one in case.times:
        if one.said.seconds[1] > limit and case.perishable and _stands(case, one) and _left_out(case, one):
            yield case.finding("out-too-long", [one.place], said=words.length(one.said))


def _stands(case: Case, one: Time) -> bool:
    """Whether food only stands there, and neither cools, rises, soaks nor marinates, which have checks of their own."""
    other = one.label in _NOT_OUT or _cools(case, one) or case.marinates(one) or case.near("dough", one)
    return case.left_alone(one) and not other


def cooling(case: Case) -> Iterator[AuditFinding]:
    """Cooked food left to cool for longer than the published time with nothing cold named."""
    limit = case.tables.safety["cool.first"].high or 0
    for one in (time for time in case.times if _cools(case, time)):
        if one.said.seconds[1] > limit and case.perishable and not _cold_named(case, one):
            yield case.finding("cooling-slow", [one.place], said=words.length(one.said))


def _cools(case: Case, one: Time) -> bool:
    """Whether food cools during that time, by its method or by the words close to it."""
    if one.label in _COOLED:
        return True
    return one.label in _OPEN and case.talk.has("cooling", case.talk.near(one.place, 8, 4))


def _left_out(case: Case, one: Time) -> bool:
    return case.belongs("counter", one) and not _cold_named(case, one)


def _cold_named(case: Case, one: Time) -> bool:
    near = case.talk.near(one.place, 8, 6)
    return case.talk.has("fridge", near) or case.talk.has("freezer", near)


def reheating(case: Case) -> Iterator[AuditFinding]:
    """Food warmed again to less than the published temperature, or with no word of how hot."""
    limit = case.tables.safety["internal.leftovers"]
    bake = case.tables.heats["oven", "bake"]
    low = [one for one in case.of("oven") if one.said.celsius < bake.low]
    heats = [one for one in (*case.of("food", "other", "water"), *low) if _again(case, one)]
    for one in heats:
        if not limit.met(one.said):
            yield case.finding("reheat-below", [one.place], said=words.heat(one.said))
    spoken = [Span(match.start, match.end) for match in case.talk.meant("reheat", case.span)]
    if spoken and not heats and not any(_hot_said(case, place) for place in spoken):
        yield case.finding("reheat-unsaid", [spoken[0]])


def _again(case: Case, one: Heat) -> bool:
    return case.belongs("reheat", one) and not case.belongs("keep-warm", one)


def _hot_said(case: Case, place: Span) -> bool:
    limit = case.tables.safety["internal.leftovers"]
    near = case.talk.near(place, 10, _AFTER_REHEAT)
    reached = any(near.start <= one.place.start < near.end and limit.met(one.said) for one in case.heats)
    return reached or case.talk.has("steaming", near)


def fridge_life(case: Case) -> Iterator[AuditFinding]:
    """A fridge life beyond the published one, of food that spoils."""
    for one in case.labelled("store"):
        row = _published_life(case, one)
        if row is not None and one.said.seconds[1] > (row.high or 0):
            limit = f"up to {words.seconds(row.high or 0)}"
            yield case.finding(
                "keep-too-long", [one.place], row.id, said=words.length(one.said), food=row.of, limit=limit
            )


def _published_life(case: Case, one: Time) -> Published | None:
    near = case.talk.near(one.place, 10, 8)
    keeps = "keeps" in case.titled or case.talk.has("dish.keeps", case.talk.near(one.place, 30, 8))
    if keeps or not (case.animal or "pot" in case.titled) or case.talk.has("freezer", near):
        return None
    if case.talk.meant("raw", near):
        mince = bool(case.raw & {"ground", "poultry"})
        return case.tables.safety["store.raw-mince" if mince else "store.raw-whole"]
    gravy = "gravy" in case.titled or case.talk.has("dish.gravy", near)
    return case.tables.safety["store.gravy" if gravy else "store.leftovers"]


CHECKS = (hot, cold, out, cooling, reheating, fridge_life)
