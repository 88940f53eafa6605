"""Audits as CSV, JSON and plain text."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from typing import Any

from pipeline.audit.report import LEVELS, Audit, AuditFinding, Setting
from pipeline.errors import clock

VERSION = "stillroom-audit/1"
_SETTING_COLUMNS = ("file", "time", "seconds", "dish", "about", "figure", "also", "foods", "step", "words", "published")
CSV_COLUMNS = (*_SETTING_COLUMNS, "level", "rule", "finding", "action", "sources", "caution")


def worst_first(audits: Iterable[Audit]) -> tuple[Audit, ...]:
    """Audits by their stops, then cautions, then notes, most first; equal ones by file name."""
    return tuple(sorted(audits, key=lambda audit: (*(-audit.counts()[level] for level in LEVELS), audit.file)))


def audit_csv(audits: Iterable[Audit]) -> str:
    """One row a setting and finding, settings without a finding included, findings of no setting too."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(CSV_COLUMNS)
    for audit in audits:
        writer.writerows(_csv_rows(audit))
    return text.getvalue()


def _csv_rows(audit: Audit) -> Iterator[tuple[str, ...]]:
    shown: set[int] = set()
    for setting in audit.settings:
        shown.update(setting.findings)
        for number in setting.findings or (None,):
            yield (*_setting_cells(audit, setting), *_finding_cells(audit, number))
    for number, finding in enumerate(audit.findings):
        if number not in shown:
            words = " … ".join(said.words for said in finding.evidence)
            place = (audit.file, clock(finding.at), f"{finding.at:g}", finding.dish, "", "", "", "", "", words, "")
            yield (*place, *_finding_cells(audit, number))


def _setting_cells(audit: Audit, setting: Setting) -> tuple[str, ...]:
    step = "" if setting.step is None else str(setting.step)
    place = (audit.file, clock(setting.at), f"{setting.at:g}", setting.dish)
    figures = (setting.about, setting.figure, setting.also, ", ".join(setting.foods), step)
    return (*place, *figures, setting.words, setting.remark)


def _finding_cells(audit: Audit, number: int | None) -> tuple[str, ...]:
    if number is None:
        return ("", "", "", "", "", audit.caution)
    one = audit.findings[number]
    return (one.level, one.rule, one.text, one.action, "; ".join(one.sources), audit.caution)


def audit_json(audits: Iterable[Audit]) -> str:
    """All audits as one JSON text: `audit` (the version), `totals` by level, and `recordings`."""
    listed = tuple(audits)
    content = {
        "audit": VERSION,
        "totals": {level: sum(audit.counts()[level] for audit in listed) for level in LEVELS},
        "recordings": [_plain(audit) for audit in listed],
    }
    return json.dumps(content, ensure_ascii=False, indent=2) + "\n"


def _plain(audit: Audit) -> dict[str, Any]:
    findings = [{"at": one.at, "end": one.end, **_dumped(one)} for one in audit.findings]
    return {
        "file": audit.file,
        "heard": audit.heard,
        "caution": audit.caution,
        "settings": [asdict(setting) for setting in audit.settings],
        "findings": findings,
        "reasons": [
            {"id": one.id, "text": one.text, "said": [said.model_dump() for said in one.said]} for one in audit.reasons
        ],
    }


def _dumped(finding: AuditFinding) -> dict[str, Any]:
    fields = {name: getattr(finding, name) for name in ("rule", "level", "text", "action", "caption", "dish")}
    return fields | {"evidence": [said.model_dump() for said in finding.evidence], "sources": finding.sources}


def audit_text(audits: Sequence[Audit]) -> str:
    """Plain lines: totals where there are several recordings, then each one's settings and findings by time."""
    blocks = ["\n".join(totals(audits))] if len(audits) > 1 else []
    blocks += ["\n".join(_lines(audit)) for audit in worst_first(audits)]
    blocks += list(dict.fromkeys(audit.caution for audit in audits))
    return "\n\n".join(blocks) + "\n"


def totals(audits: Iterable[Audit]) -> Iterator[str]:
    """One line for all recordings and one for each, the worst first."""
    ordered = worst_first(audits)
    settings = sum(len(audit.settings) for audit in ordered)
    sums = ", ".join(f"{sum(audit.counts()[level] for audit in ordered)} {level}" for level in LEVELS)
    yield f"{len(ordered)} recordings: {settings} settings; {sums}"
    for audit in ordered:
        yield f"  {audit.file}: {len(audit.settings)} settings; {counted(audit)}"


def counted(audit: Audit) -> str:
    """`1 stop, 0 caution, 2 note`."""
    return ", ".join(f"{audit.counts()[level]} {level}" for level in LEVELS)


def _lines(audit: Audit) -> Iterator[str]:
    yield f"{audit.file}: {len(audit.settings)} settings; {counted(audit)}"
    if not audit.heard:
        yield "  Without its transcript: what is judged by a missing word is left out."
    for setting in audit.settings:
        yield f"  {clock(setting.at):>7}  {setting.about}: {setting.figure}{_beside(setting.also)}  [{place(setting)}]"
        yield f"           “{setting.words}”"
        if setting.remark:
            yield f"           {setting.remark}"
        for number in setting.findings:
            first = audit.settings[first_shown(audit)[number]]
            yield from _told(audit.findings[number]) if first is setting else _again(audit.findings[number], first)
    for number in loose(audit):
        finding = audit.findings[number]
        yield f"  {clock(finding.at):>7}  [{finding.dish}]"
        yield from (f"           “{said.words}”" for said in finding.evidence)
        yield from _told(finding)
    yield from (f"  {reason.text}" for reason in audit.reasons)


def loose(audit: Audit) -> list[int]:
    """Numbers of the findings that stand at no setting."""
    shown = {number for setting in audit.settings for number in setting.findings}
    return [number for number in range(len(audit.findings)) if number not in shown]


def first_shown(audit: Audit) -> dict[int, int]:
    """By number of a finding the place in the list of the first setting that it is about."""
    places: dict[int, int] = {}
    for place_in_list, setting in enumerate(audit.settings):
        for number in setting.findings:
            places.setdefault(number, place_in_list)
    return places


def _again(finding: AuditFinding, first: Setting) -> Iterator[str]:
    yield f"           {finding.level.upper()} {finding.rule}: see {clock(first.at)}"


def _beside(also: str) -> str:
    return f" ({also})" if also else ""


def place(setting: Setting) -> str:
    """`dish; foods; step 3`, what there is of it."""
    step = f"step {setting.step}" if setting.step is not None else ""
    return "; ".join(filter(None, (setting.dish, ", ".join(setting.foods), step)))


def _told(finding: AuditFinding) -> Iterator[str]:
    yield f"           {finding.level.upper()} {finding.rule}: {finding.text}"
    yield f"             Do: {finding.action} Source: {'; '.join(finding.sources)}"
