"""Episode -> Audit: every stated setting with what is wrong or missing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pipeline.audit import baking, doneness, handling, keeping, settings, words
from pipeline.audit.case import Case, Heat, Time, case_of
from pipeline.audit.report import LEVELS, Audit, AuditFinding, ReasonSaid, Setting
from pipeline.audit.tables import Tables, default_tables
from pipeline.audit.talk import Span, Talk
from pipeline.read.transcript import Transcript
from pipeline.record import Episode, Step

_CHECKS = (*settings.CHECKS, *baking.CHECKS, *doneness.CHECKS, *keeping.CHECKS, *handling.CHECKS)
_ABOUT = {"food": "inside", "other": "heat"}
_NAMED = 3


def audit(episode: Episode, transcript: Transcript | None = None, *, tables: Tables | None = None) -> Audit:
    """Check the temperatures and times of `episode`, by the words of `transcript` where it is at hand.

    Without it the words that the record quotes are all there is, and what is judged by a missing word (whether the
    oven was heated first) is left out. Findings are in order of the recording, settings too.
    """
    tables = tables or default_tables()
    talk = Talk.of(episode, transcript, tables)
    cases = tuple(case_of(recipe, episode, talk, tables) for recipe in episode.recipes)
    findings = tuple(
        sorted(_once(_found(cases)), key=lambda one: (one.at, LEVELS.index(one.level), one.rule, one.dish))
    )
    rows = [(place, row) for case in cases for place, row in _rows(case, findings)]
    return Audit(
        file=episode.source.file,
        heard=talk.whole,
        settings=tuple(row for _, row in sorted(rows, key=lambda one: (one[1].at, one[0].start, one[1].about))),
        findings=findings,
        reasons=tuple(_reasons(talk)),
        caution=f"{episode.caution} {tables.book.caution}".strip(),
    )


def _found(cases: Iterable[Case]) -> Iterable[AuditFinding]:
    for case in cases:
        for check in _CHECKS:
            yield from check(case)


def _once(findings: Iterable[AuditFinding]) -> Iterable[AuditFinding]:
    """One finding a rule and place: dishes made side by side share words."""
    seen: set[tuple[str, tuple[object, ...]]] = set()
    for one in findings:
        key = (one.rule, one.evidence)
        if key not in seen:
            seen.add(key)
            yield one


def _rows(case: Case, findings: Sequence[AuditFinding]) -> Iterable[tuple[Span, Setting]]:
    heats = [(one, f"{words.heat(one.said)}", words.other_units(one.said, case.tables)) for one in case.heats]
    met = _met(case)
    for heat, figure, also in heats:
        mark = "" if heat.said.unit_said else " (unit not said)"
        yield (
            heat.place,
            _row(case, findings, heat, _ABOUT.get(heat.of, heat.of), figure + mark, also, met.get(heat.place, "")),
        )
    for time in case.times:
        kind = "" if time.planned else " (reported)"
        yield time.place, _row(case, findings, time, time.label or "time", words.length(time.said) + kind, "", "")


def _row(
    case: Case, findings: Sequence[AuditFinding], one: Heat | Time, about: str, figure: str, also: str, remark: str
) -> Setting:
    concerned = tuple(
        number
        for number, finding in enumerate(findings)
        if finding.dish == case.recipe.title and case.talk.quote(one.place, finding.rule) in finding.evidence
    )
    return Setting(
        at=one.evidence.start,
        end=one.evidence.end,
        words=case.talk.quote(one.place, "").words,
        about=about,
        figure=figure,
        also=also,
        dish=case.recipe.title,
        foods=_foods(case, one),
        step=_step(case.recipe.method, one),
        findings=concerned,
        remark=remark,
    )


def _met(case: Case) -> dict[Span, str]:
    """What is said of a temperature inside that reaches its published minimum."""
    found: dict[Span, str] = {}
    for kind, heats in doneness.readings(case).items():
        row = case.tables.safety[f"internal.{kind}"]
        found |= {one.place: f"reaches {row.printed()}, {row.of}" for one in heats if row.met(one.said)}
    return found


def _foods(case: Case, one: Heat | Time) -> tuple[str, ...]:
    """Foods of the dish that are spoken of around the setting, else what the record says it is for."""
    near = case.talk.near(one.place, 8, 8)
    spoken = set(case.talk.speech.words[near.start : near.end])
    named = [line.name for line in case.recipe.ingredients if line.name.split() and line.name.split()[-1] in spoken]
    if named:
        return tuple(dict.fromkeys(named))[:_NAMED]
    return (one.said.for_,) if isinstance(one, Heat) and one.said.for_ else ()


def _step(method: Iterable[Step], one: Heat | Time) -> int | None:
    """The number of the method step that the words stand in, the last one to begin before them."""
    inside = [step.n for step in method if any(_holds(said.start, said.end, one) for said in step.evidence or (step,))]
    return inside[-1] if inside else None


def _holds(start: float, end: float, one: Heat | Time) -> bool:
    return start <= one.evidence.start <= max(start, end - 0.001)


def _reasons(talk: Talk) -> Iterable[ReasonSaid]:
    for reason in talk.tables.book.reason:
        places = talk.found(reason.id, Span(0, len(talk.speech)))
        said = tuple(talk.quote(Span(match.start, match.end), f"audit.{reason.id}") for match in places)
        yield ReasonSaid(reason.id, reason.text, said)
