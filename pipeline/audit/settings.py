"""Checks of the figures themselves: range, unit, two values, and how a time stands to the plan and to the clock."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from pipeline.audit import words
from pipeline.audit.case import Case, Heat, Time
from pipeline.audit.report import AuditFinding
from pipeline.audit.tables import Usual
from pipeline.audit.talk import Span

_SAME_C = 8.0
_FAN_C = 25.0
_TOGETHER = 10
_MORE = 1.2
_LESS = 0.75
_CUT = 0.8
_SLACK = 20.0
_SHORTEST = 60.0
_ANY_LENGTH = frozenset({"rest", "chill", "soak", "marinate", "store"})
_ONCE = frozenset({"bake", "roast", "marinate", "chill", "freeze", "rise"})


def range_of_kind(case: Case) -> Iterator[AuditFinding]:
    """A figure that no thing of its kind has: an oven at 45 C, oil at 700 F."""
    for one in case.heats:
        usual = case.tables.heats.get((one.of, ""))
        if usual and not usual.low <= one.said.celsius <= usual.high:
            yield case.finding(
                "out-of-range", [one.place], usual.id, said=words.heat(one.said), kind=one.of, limit=_degrees(usual)
            )


def unit(case: Case) -> Iterator[AuditFinding]:
    """Temperatures with no unit said, in one finding; a figure that has its unit elsewhere in the dish is left out."""
    told = {one.said.value for one in case.heats if one.said.unit_said}
    open_units = [one for one in case.heats if not one.said.unit_said and one.said.value not in told]
    if open_units:
        said = dict.fromkeys(f"{one.said.value:g} taken as {one.said.unit}" for one in open_units)
        both = dict.fromkeys(_both(case, one) for one in open_units)
        places = [one.place for one in open_units]
        yield case.finding("unit-not-said", places, said=", ".join(said), both=", ".join(both))


def _both(case: Case, one: Heat) -> str:
    return f"{words.heat(one.said)} ({words.other_units(one.said, case.tables).split(', ')[0]})"


def two_temperatures(case: Case) -> Iterator[AuditFinding]:
    """Neighbouring oven settings that differ and no word of a change; or one setting in units that disagree."""
    for first, second in pairwise(case.of("oven")):
        apart = abs(first.said.celsius - second.said.celsius)
        if apart <= _SAME_C or first.place == second.place or _for_a_fan(case, first, second):
            continue
        between = Span(first.place.end, second.place.start)
        around = Span(first.place.start, case.talk.near(second.place, 10, 6).end)
        if _one_setting(case, first, second, between):
            rule = "units-disagree"
        elif not _change_said(case, first, second, around):
            rule = "two-temperatures"
        else:
            continue
        figures = {"first": words.heat(first.said), "said": words.heat(second.said)}
        yield case.finding(rule, [first.place, second.place], **figures)


def _for_a_fan(case: Case, first: Heat, second: Heat) -> bool:
    """Whether the second, somewhat cooler and in another unit, is the fan setting of a recording that speaks of one."""
    cooler = 0 < first.said.celsius - second.said.celsius <= _FAN_C
    return cooler and first.said.unit != second.said.unit and case.talk.has("fan", Span(0, len(case.talk.speech)))


def _one_setting(case: Case, first: Heat, second: Heat, between: Span) -> bool:
    """Whether two figures in different units stand side by side as one setting, and none is for a fan."""
    if first.said.unit == second.said.unit or between.end - between.start > _TOGETHER:
        return False
    near = case.talk.near(second.place, 8, 6)
    return not any(case.talk.has(cue, near) for cue in ("fan", "change", "correct", "differ"))


def _change_said(case: Case, first: Heat, second: Heat, around: Span) -> bool:
    """Whether words between the figures, or close to them, tell why there are two."""
    if first.said.for_ != second.said.for_ and first.said.for_ and second.said.for_:
        return True
    if any(case.talk.has(cue, around) for cue in ("change", "correct", "fan", "differ")):
        return True
    if case.belongs("keep-warm", second) or case.belongs("keep-warm", first):
        return True
    joined = case.talk.speech.words[first.place.end : second.place.start]
    return len(joined) <= 2 and bool({"to", "or", "and"} & set(joined))


def two_times(case: Case) -> Iterator[AuditFinding]:
    """Two planned times for a step that is done once, far apart, with no word that makes the second an addition."""
    for label in sorted(_ONCE):
        plans = [one for one in case.labelled(label) if one.planned]
        for first, second in pairwise(plans):
            if _overlap(first, second) or _added(case, second) or _added(case, first):
                continue
            between = Span(first.place.end, second.place.start)
            heats = [heat for heat in case.of("oven") if between.start <= heat.place.start < between.end]
            if heats or _foods(case, first) ^ _foods(case, second):
                continue
            facts = {"label": label, "plan": words.length(first.said), "said": words.length(second.said)}
            yield case.finding("two-times", [first.place, second.place], **facts)


def _overlap(first: Time, second: Time) -> bool:
    (low, high), (other_low, other_high) = first.said.seconds, second.said.seconds
    return other_low <= high * _MORE and low <= other_high * _MORE


def _added(case: Case, one: Time) -> bool:
    return case.talk.has("again", case.talk.near(one.place, 6, 5))


def _foods(case: Case, one: Time) -> frozenset[str]:
    return frozenset(match.payload for match in case.talk.found("food", case.talk.near(one.place, 8, 6)))


def against_plan(case: Case) -> Iterator[AuditFinding]:
    """The last reported time of a method against what was planned for it before."""
    for label in sorted({one.label for one in case.times} - _ANY_LENGTH):
        times = case.labelled(label)
        reports = [one for one in times if not one.planned]
        if not reports:
            continue
        last = reports[-1]
        plans = [one for one in times if one.planned and one.place.start < last.place.start]
        if plans and not _of_another_food(case, plans[-1], last):
            yield from _against(case, label, plans, last)


def _of_another_food(case: Case, plan: Time, last: Time) -> bool:
    """Whether what is named around the report is named nowhere around the plan."""
    planned, reported = _subjects(case, plan), _subjects(case, last)
    return bool(planned and reported and not planned & reported)


def _subjects(case: Case, one: Time) -> frozenset[str]:
    names = [line.name for recipe in case.episode.recipes for line in recipe.ingredients]
    heads = {name.split()[-1] for name in (*names, *(recipe.title for recipe in case.episode.recipes)) if name.split()}
    near = case.talk.near(one.place, 12, 10)
    spoken = set(case.talk.speech.words[near.start : near.end])
    cold = {cue for cue in ("fridge", "freezer", "dough") if case.talk.has(cue, near)}
    return frozenset((spoken & heads) | cold)


def _against(case: Case, label: str, plans: Sequence[Time], last: Time) -> Iterator[AuditFinding]:
    added = len(plans) > 1 and any(_added(case, one) for one in plans[1:])
    highs = [one.said.seconds[1] for one in plans]
    low, high = min(one.said.seconds[0] for one in plans), sum(highs) if added else max(highs)
    facts = {
        "label": label or "cooking",
        "plan": " and ".join(words.length(one.said) for one in plans),
        "said": words.length(last.said),
    }
    places = [plans[-1].place, last.place]
    if last.said.seconds[0] > high * _MORE:
        yield case.finding("longer-than-planned", places, **facts)
    elif last.said.seconds[1] < low * _LESS and case.meant("done", last) and not case.near("not-yet", last):
        yield case.finding("shorter-than-planned", places, **facts)


def clock(case: Case) -> Iterator[AuditFinding]:
    """A reported time against the clock of the recording, which a cut makes shorter and nothing makes longer."""
    for last in (one for one in case.times if not one.planned):
        plans = [one for one in case.labelled(last.label) if one.planned and one.place.start < last.place.start]
        if not plans or last.said.seconds[1] < _SHORTEST or case.near("batch", last):
            continue
        began = plans[-1]
        ran = last.evidence.start - began.evidence.end
        shown = case.talk.has("real-time", Span(began.place.start - 12, last.place.end))
        said = last.said.seconds
        too_short = said[1] < ran * _CUT - _SLACK
        if too_short or (shown and said[0] - ran > max(_SLACK, said[0] * (1 - _CUT))):
            facts = {"label": last.label or "cooking", "said": words.length(last.said)}
            yield case.finding("clock-disagrees", [began.place, last.place], clock=words.about_seconds(ran), **facts)


def usual_time(case: Case) -> Iterator[AuditFinding]:
    """A time that its method never has; short ones count only where all times of the method together are short."""
    for label in sorted({one.label for one in case.times}):
        usual = _usual(case, label)
        times = case.labelled(label)
        if usual is None:
            continue
        for one in times:
            if one.said.seconds[0] > usual.high:
                yield _unlikely(case, one, usual)
        longest = sum(one.said.seconds[1] for one in times)
        if longest < usual.low:
            yield _unlikely(case, times[0], usual)


def _usual(case: Case, label: str) -> Usual | None:
    narrowed = (case.tables.times.get((label, dish)) for dish in sorted(case.titled))
    return next((usual for usual in narrowed if usual), case.tables.times.get((label, "")))


def _unlikely(case: Case, one: Time, usual: Usual) -> AuditFinding:
    facts = {"label": one.label, "said": words.length(one.said), "limit": words.span(usual.low, usual.high)}
    return case.finding("unlikely-time", [one.place], usual.id, **facts)


def usual_oven(case: Case) -> Iterator[AuditFinding]:
    """An oven setting that is possible and at which nothing bakes, where neither drying nor keeping warm is meant."""
    usual = case.tables.heats["oven", "bake"]
    whole = case.tables.heats["oven", ""]
    for one in case.of("oven"):
        purpose = any(case.near(cue, one) for cue in ("dry", "not-oven")) or case.belongs("keep-warm", one)
        if whole.low <= one.said.celsius < usual.low and not purpose:
            facts = {"said": words.heat(one.said), "limit": _degrees(usual)}
            yield case.finding("unlikely-temperature", [one.place], usual.id, **facts)


def _degrees(usual: Usual) -> str:
    return f"usual from {usual.low:g} to {usual.high:g} C"


CHECKS = (range_of_kind, unit, two_temperatures, two_times, against_plan, clock, usual_time, usual_oven)
