"""The correction track, CSV, JSON, text and page of an audit."""

import csv
import io
import json
import re
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from pipeline.audit import Audit, audit, audit_csv, audit_html, audit_json, audit_text, captions
from pipeline.audit.report import AuditFinding
from pipeline.read import read_bytes
from pipeline.record import Evidence

from . import builder

TIMES = re.compile(r"(\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3}) --> (\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3})")


def sample(title: str = "roast chicken legs", *, heard: bool = True) -> Audit:
    transcript = builder.transcript(
        "rinse the chicken under the tap / preheat the oven to 400 fahrenheit / roast the chicken forty minutes"
        " / pull it at 150 fahrenheit inside and we're done / it keeps six days in the fridge"
    )
    settings = "oven 400F #2; roast 40min #3; food 150F #4; store 6day #5"
    episode = builder.episode(title, "chicken legs; oil", transcript, settings)
    return audit(episode, transcript if heard else None)


def cues(text: str) -> list[tuple[float, float, list[str]]]:
    """Cues of a WebVTT text, read by the clauses of the standard; fails on what it forbids."""
    header, *blocks = text.rstrip("\n").split("\n\n")
    assert header == "WEBVTT"
    found, names = [], set()
    for block in blocks:
        lines = block.split("\n")
        if lines[0] == "NOTE":
            assert "-->" not in block
            continue
        name, times, *payload = lines
        match = TIMES.fullmatch(times)
        assert match and "-->" not in name and name not in names
        names.add(name)
        parts = [int(part) for part in match.groups()]
        start, end = (h * 3600 + m * 60 + s + ms / 1000 for h, m, s, ms in (parts[:4], parts[4:]))
        assert end > start
        assert payload and all(line.strip() and "-->" not in line and "<" not in line for line in payload)
        found.append((start, end, payload))
    assert [start for start, _, _ in found] == sorted(start for start, _, _ in found)
    return found


def test_the_correction_track_is_valid_webvtt_at_the_moments_concerned():
    made = sample()
    found = cues(captions(made))
    assert {start for start, _, _ in found} == {finding.at for finding in made.findings}
    assert any("165 F (74 C)" in " ".join(payload) for _, _, payload in found)
    assert "local food-safety rules" in captions(made)


def test_the_correction_track_can_be_read_again():
    assert read_bytes(captions(sample()).encode(), "corrections.vtt").format == "webvtt"


@given(
    caption=st.text(min_size=1).filter(lambda text: text.strip()),
    file=st.text(min_size=1),
    starts=st.lists(st.floats(min_value=0, max_value=40_000), min_size=1, max_size=5),
)
def test_no_text_breaks_the_correction_track(caption, file, starts):
    made = sample()
    findings = tuple(finding(caption, start) for start in starts)
    cues(captions(replace(made, file=file, findings=findings)))


def finding(caption: str, start: float) -> AuditFinding:
    said = Evidence(start=start, end=start + 1, words="so", rule="test")
    return AuditFinding("rule", "note", "text", "do", caption, "dish", (said,), ("source",))


def test_csv_has_a_row_for_every_setting_and_finding_with_the_caution():
    made = sample()
    rows = list(csv.DictReader(io.StringIO(audit_csv([made]))))
    assert {row["rule"] for row in rows if row["rule"]} == {one.rule for one in made.findings}
    assert {(row["about"], row["figure"]) for row in rows if row["about"]} == {
        (one.about, one.figure) for one in made.settings
    }
    assert all("local food-safety rules" in row["caution"] for row in rows)


def test_json_holds_the_same_findings_and_totals():
    made = sample()
    read = json.loads(audit_json([made, made]))
    assert read["audit"] == "stillroom-audit/1"
    assert [one["rule"] for one in read["recordings"][0]["findings"]] == [one.rule for one in made.findings]
    assert read["totals"] == {level: 2 * count for level, count in made.counts().items()}


def test_text_shows_both_units_gas_mark_words_rule_and_caution():
    text = audit_text([sample()])
    assert "0:05  oven: 400 F (204 C, gas mark 6)" in text
    assert "STOP internal-below: 150 F inside is below the published minimum" in text
    assert "chicken forty minutes pull it at 150 fahrenheit" in text
    assert "USDA FSIS safe minimum internal temperature chart" in text
    assert "local food-safety rules" in text


def test_altitude_fan_and_pan_size_are_named_and_nothing_is_converted():
    text = audit_text([sample()])
    assert all(word in text for word in ("Altitude:", "Fan ovens:", "Pan size:"))
    assert "Nothing here is converted" in text


def test_several_recordings_come_with_totals_and_the_worst_first():
    good = replace(sample(), file="good.srt", findings=(), settings=())
    bad = replace(sample(), file="later.srt")
    first, *rest = audit_text([good, bad]).splitlines()
    assert first.startswith("2 recordings: 4 settings; 1 stop")
    assert rest[0].startswith("  later.srt") and rest[1].startswith("  good.srt")


def test_the_page_escapes_all_text_and_carries_the_caution_twice():
    page = audit_html([replace(sample('<b>legs</b> & "more"'), file="<script>.srt")])
    assert "<script>" not in page and "<b>legs" not in page
    assert page.count("local food-safety rules") == 2
    assert 'class="finding stop"' in page and "src=" not in page and "http" not in page.replace("http-equiv", "")


def test_without_a_transcript_a_missing_word_is_not_held_against_the_recording():
    transcript = builder.transcript("put it in a 400 degree fahrenheit oven / roast them thirty minutes")
    episode = builder.episode("roast parsnips", "parsnips", transcript, "oven 400F #1; roast 30min #2")
    assert {one.rule for one in audit(episode, transcript).findings} == {"no-preheating"}
    assert audit(episode).findings == ()
    assert "Without its transcript" in audit_text([audit(episode)])


def test_a_record_alone_gives_the_findings_that_its_own_words_show():
    assert {one.rule for one in sample(heard=False).findings} == {one.rule for one in sample().findings}


def test_a_finding_never_calls_anything_safe():
    made = sample()
    assert not re.search(
        r"\b(safe|allowed|fine|ok)\b", " ".join(one.text + one.action for one in made.findings).lower()
    )
