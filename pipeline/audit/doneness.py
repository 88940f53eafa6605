"""Checks of the temperature inside: said, met or below the published minimum, and the rest that belongs to it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set

from pipeline.audit import words
from pipeline.audit.case import STRICTEST, Case, Heat, Time, kind_of
from pipeline.audit.report import AuditFinding
from pipeline.audit.talk import cues_in

_NEEDED = ("poultry", "ground", "whole", "fish")
_WET = ("simmer", "braise", "stew", "cook", "boil")
_LONG = 3600.0
_FIRM = 480.0


def readings(case: Case) -> dict[str, list[Heat]]:
    """The temperatures inside a food, by the kind of raw animal food that each is about, in order."""
    found: dict[str, list[Heat]] = {}
    for one in case.of("food"):
        kind = _kind(case, one)
        if kind and not any(case.belongs(cue, one) for cue in ("reheat", "leftovers", "keep-warm")):
            found.setdefault(kind, []).append(one)
    return found


def _kind(case: Case, one: Heat) -> str:
    spoken = {match.payload for match in case.talk.found("food", case.talk.near(one.place, 10, 8))}
    kinds = _raw(case, spoken) or _raw(case, cues_in(case.recipe.title, case.tables, "food")) or case.raw
    if kinds <= {"egg"} and not _egg_dish(case):
        return ""
    return next((kind for kind in STRICTEST if kind in kinds), "")


def _raw(case: Case, named: Set[str]) -> Set[str]:
    """The kinds named that are raw in the dish; `beef` of a dish with mince and no whole cut is the mince."""
    mince = {"ground"} if "whole" in named and "whole" not in case.raw else set()
    return (named | mince) & case.raw


def _egg_dish(case: Case) -> bool:
    return "egg" in case.titled


def below(case: Case) -> Iterator[AuditFinding]:
    """No reading of a food reaches its minimum; or the last one does not and the food is called done."""
    for kind, heats in sorted(readings(case).items()):
        wrong = _short(case, kind, heats)
        if wrong is not None:
            row = case.tables.safety[f"internal.{kind}"]
            facts = {"said": words.heat(wrong.said), "food": row.of, "limit": row.printed()}
            yield case.finding("internal-below", [wrong.place], row.id, **facts)


def _short(case: Case, kind: str, heats: Sequence[Heat]) -> Heat | None:
    row = case.tables.safety[f"internal.{kind}"]
    hottest = max(heats, key=lambda one: one.said.celsius)
    if not row.met(hottest.said):
        return hottest
    last = heats[-1]
    if row.met(last.said) or not case.meant("done", last) or case.near("not-yet", last):
        return None
    return last


def unsaid(case: Case) -> Iterator[AuditFinding]:
    """A raw animal food is cooked and no temperature inside is said, nor what stands for it (a fish that flakes)."""
    found = readings(case)
    cooked = [one for one in case.times if case.tables.place(one.label) in {"oven", "hob", ""}]
    kinds = [kind for kind in _NEEDED if kind in case.raw and _is_cooked(case, kind, cooked)]
    if not kinds and "egg" in case.raw and _egg_dish(case):
        kinds = ["egg"]
    for kind in kinds:
        if found or not cooked or _stands_for_it(case, kind):
            continue
        row = case.tables.safety[f"internal.{kind}"]
        yield case.finding("internal-unsaid", [cooked[-1].place], row.id, food=row.of, limit=row.printed())
        return


def _is_cooked(case: Case, kind: str, cooked: Sequence[Time]) -> bool:
    """Whether the food is of the dish for certain: with an amount, in the title, or named around a cooking time."""
    lines = [line for line in case.recipe.ingredients if kind_of(line, case.tables) == (kind, True)]
    title = case.recipe.title.lower().split()
    if any(line.amount.basis != "unsaid" for line in lines) or kind in cues_in(case.recipe.title, case.tables, "food"):
        return True
    heads = {word for line in lines for word in line.name.lower().split()}
    return bool(heads & set(title)) or any(heads & set(_words(case, one)) for one in cooked)


def _words(case: Case, one: Time) -> tuple[str, ...]:
    near = case.talk.near(one.place, 30, 15)
    return case.talk.speech.words[near.start : near.end]


def _stands_for_it(case: Case, kind: str) -> bool:
    if kind in {"fish", "shellfish"}:
        return case.talk.has("visual.fish", case.span)
    if kind == "egg":
        boiled = any(one.said.seconds[0] >= _FIRM for one in case.labelled("boil", "simmer"))
        return boiled or "baked" in case.titled or case.talk.has("visual.egg", case.span)
    return any(one.said.seconds[1] >= _LONG for one in case.labelled(*_WET))


def rest(case: Case) -> Iterator[AuditFinding]:
    """A whole cut taken to its minimum and no further, with no rest or one that is too short."""
    heats = readings(case).get("whole", [])
    cut, mince = case.tables.safety["rest.whole"], case.tables.safety["internal.ground"]
    if not heats or any(mince.met(one.said) for one in heats) or not any(cut.met(one.said) for one in heats):
        return
    after = [one for one in case.labelled("rest") if one.place.start > heats[0].place.start]
    longest = max(after, key=lambda one: one.said.seconds[1], default=None)
    if longest is None and not case.talk.has("rest", case.talk.near(heats[-1].place, 0, 60)):
        yield case.finding("rest-unsaid", [heats[-1].place], said=words.heat(heats[-1].said))
    elif longest is not None and longest.said.seconds[1] < (cut.low or 0):
        yield case.finding("rest-short", [longest.place], said=words.length(longest.said))


CHECKS = (below, unsaid, rest)
