"""Checks of how food is handled: marinades, raw egg, washing, shared boards, closed cans, jars, dry kidney beans."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pipeline.audit import words
from pipeline.audit.case import Case, kind_of
from pipeline.audit.report import AuditFinding
from pipeline.audit.talk import Span, cues_in
from pipeline.record import Ingredient

_HOUR = 3600.0
_MEATS = frozenset({"poultry", "ground", "whole", "fish", "shellfish"})
_BEFORE_WASH, _AFTER_WASH = 5, 4


def marinating(case: Case) -> Iterator[AuditFinding]:
    """Meat or fish marinated at room temperature, or for an hour and more with no place said."""
    if not case.raw & _MEATS:
        return
    times = [one for one in case.times if case.marinates(one)]
    for one in times:
        if case.belongs("counter", one) and not case.talk.has("fridge", case.talk.near(one.place, 8, 6)):
            yield case.finding("marinate-warm", [one.place], said=words.length(one.said))
            return
    long = [one for one in times if one.said.seconds[1] > _HOUR]
    if long and not any(case.talk.has("fridge", case.talk.near(one.place, 30, 30)) for one in times):
        yield case.finding("marinate-place", [long[0].place], said=words.length(long[0].said))


def marinade_again(case: Case) -> Iterator[AuditFinding]:
    """A marinade of raw meat or fish used as a sauce, with no boil and nothing put aside before."""
    if not case.raw & _MEATS:
        return
    for place in _places(case, "marinade"):
        if not case.talk.has("marinade.clear", case.talk.near(place, 10, 14)) and _is_use(case, place):
            yield case.finding("marinade-sauce", [place])
            return


def _is_use(case: Case, place: Span) -> bool:
    return case.talk.has("marinade.use", place) and place.start > _first_marinade(case)


def _first_marinade(case: Case) -> int:
    return min((one.place.start for one in case.labelled("marinate", "brine")), default=len(case.talk.speech))


def raw_egg(case: Case) -> Iterator[AuditFinding]:
    """Egg eaten raw: in a dish that is not cooked, or as batter that is tasted."""
    eggs = [line for line in case.recipe.ingredients if kind_of(line, case.tables)[0] == "egg"]
    fresh = [line for line in eggs if not cues_in(line.name, case.tables, "carton")]
    if not fresh or case.talk.has("pasteurised", case.span):
        return
    tasted = _places(case, "taste.batter")
    if tasted:
        yield case.finding("raw-egg", tasted[:1])
    elif not _cooked(case) and ("raw-egg" in case.titled or case.talk.meant("raw.egg", case.span)):
        yield case.finding("raw-egg", (_places(case, "raw.egg") or _of_lines(case, fresh))[:1])


def _cooked(case: Case) -> bool:
    return bool(case.of("oven", "food")) or any(case.tables.place(one.label) in {"oven", "hob"} for one in case.times)


def washing(case: Case) -> Iterator[AuditFinding]:
    """Raw poultry washed or rinsed, and not as something to be left alone."""
    if "poultry" not in case.raw:
        return
    for match in case.talk.meant("wash.poultry", case.span):
        place = Span(match.start, match.end)
        near = case.talk.near(place, _BEFORE_WASH, _AFTER_WASH)
        if case.talk.has("food.poultry", near):
            yield case.finding("wash-poultry", [place])
            return


def cross_contact(case: Case) -> Iterator[AuditFinding]:
    """A board, knife or plate that raw meat touched used again."""
    if case.raw & _MEATS:
        for place in _places(case, "same-thing")[:1]:
            yield case.finding("cross-contact", [place])


def closed_can(case: Case) -> Iterator[AuditFinding]:
    """A closed can that is heated."""
    for place in _places(case, "can.closed"):
        if case.talk.has("heat.any", case.talk.near(place, 8, 8)):
            yield case.finding("closed-can", [place])
            return


def preserving(case: Case) -> Iterator[AuditFinding]:
    """Jars sealed to keep outside the fridge, garlic kept in oil, vegetables fermented."""
    oil = [place for place in _places(case, "garlic-oil") if case.talk.has("cupboard", case.talk.near(place, 4, 12))]
    fermented = [
        place for place in _places(case, "ferment") if not case.talk.has("dough", case.talk.near(place, 25, 25))
    ]
    for place in [*_places(case, "preserve"), *oil, *fermented][:1]:
        yield case.finding("home-preserving", [place])


def kidney_beans(case: Case) -> Iterator[AuditFinding]:
    """Dry red kidney beans with no hard boil of ten minutes said."""
    limit = case.tables.safety["boil.kidney-beans"].low or 0
    spoken = _places(case, "kidney.dry")
    named = [line for line in case.recipe.ingredients if cues_in(line.name, case.tables, "kidney")]
    boiled = any(one.said.seconds[1] >= limit for one in case.labelled("boil"))
    if (spoken or named) and not boiled:
        yield case.finding("kidney-beans", (spoken or _of_lines(case, named))[:1])


def _places(case: Case, cue: str) -> list[Span]:
    return [Span(match.start, match.end) for match in case.talk.meant(cue, case.span)]


def _of_lines(case: Case, lines: Iterable[Ingredient]) -> list[Span]:
    """Where the foods are spoken of; the first word about the dish where the record quotes none."""
    places = [case.talk.place(said) for line in lines for said in line.evidence]
    return places or [Span(case.span.start, case.span.start + 1)]


CHECKS = (
    marinating,
    marinade_again,
    raw_egg,
    washing,
    cross_contact,
    closed_can,
    preserving,
    kidney_beans,
)
