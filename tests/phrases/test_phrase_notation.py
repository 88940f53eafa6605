"""The notation of the phrase tables, and the tables themselves."""

import csv
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.errors import RulesError
from pipeline.hear.lexicon import load_classes, load_phrases, load_rows, marked_rules, phrase_class, word_class
from pipeline.phrases import Phrases
from pipeline.resources import models_path
from tests.hear.spoken import check, each

HERE = Path(__file__).parent
CLASSES = {"fruit": ("apple", "pear")}
MODELS = models_path("classes.csv").parent
PATTERNS = ("pattern", "word", "words")


def header(path: Path) -> list[str]:
    with path.open(encoding="utf-8", newline="") as file:
        return next(csv.reader(file))


HEADERS = {path: header(path) for path in sorted(MODELS.glob("*.csv"))}
WITH_IDS = [path for path, columns in HEADERS.items() if "id" in columns]
WITH_PHRASES = [path for path, columns in HEADERS.items() if set(PATTERNS) & set(columns) and "class" not in columns]


def shown(path: Path) -> str:
    return path.name


@each(HERE / "notation.csv")
def test_the_notation_matches_what_it_says(case):
    matches = Phrases([(case.kind, None)], CLASSES)
    got = " ".join(f"{match.start}-{match.end}" for match in matches.everywhere(case.text.split()))
    check(case, right=got == case.answer, got=got)


@given(st.lists(st.sampled_from("abc"), max_size=12))
def test_a_scan_takes_the_longest_match_and_overlaps_none(words):
    phrases = Phrases([("a", "short"), ("a b", "long"), ("b c", "other")])
    scanned = phrases.scan(words)
    assert all(before.end <= after.start for before, after in pairwise(scanned))
    assert set(scanned) <= set(phrases.everywhere(words))
    assert all(match.payload == "long" for match in scanned if words[match.start : match.start + 2] == ["a", "b"])


@given(st.lists(st.sampled_from("abcd"), min_size=1, max_size=6), st.lists(st.sampled_from("abcd"), max_size=12))
def test_a_phrase_of_plain_words_is_found_wherever_it_stands(phrase, words):
    phrases = Phrases([(" ".join(phrase), "it")])
    places = [at for at in range(len(words)) if words[at : at + len(phrase)] == phrase]
    assert [match.start for match in phrases.everywhere(words)] == places


def test_matches_at_a_word_come_longest_first_with_every_payload():
    phrases = Phrases([("a", 1), ("a b", 2), ("a b", 3), ("a b", 2)])
    assert [(match.end, match.payload) for match in phrases.at(["a", "b"], 0)] == [(2, 2), (2, 3), (1, 1)]
    assert phrases.longest(["c"], 0) is None


@pytest.mark.parametrize("path", WITH_PHRASES, ids=shown)
def test_a_phrase_table_loads_and_finds_its_own_phrases(path):
    classes = load_classes()
    column = next(name for name in PATTERNS if name in HEADERS[path])
    rows = load_rows(path.name, HEADERS[path])
    phrases = load_phrases(path.name, HEADERS[path], classes, key=column)
    assert rows
    for row in rows:
        words = [first_form(part, classes) for part in row[column].split()]
        assert words, row
        assert any(match.payload == row and match.end == len(words) for match in phrases.at(words, 0)), row


def first_form(part: str, classes) -> str:
    """One word that a part of a pattern matches."""
    form = part.removesuffix("?").split("|")[0] if len(part) > 1 else part
    return classes[form[1:-1]][0] if form.startswith("<") else form


@pytest.mark.parametrize("path", WITH_IDS, ids=shown)
def test_a_rule_has_a_name_of_its_own(path):
    names = [row["id"] for row in load_rows(path.name, HEADERS[path])]
    assert all(names)
    assert len(names) == len(set(names))


def test_a_name_given_twice_is_a_fault_with_its_line(monkeypatch, tmp_path):
    (tmp_path / "cues.csv").write_text("id,pattern\none,a\none,b\n", encoding="utf-8")
    monkeypatch.setattr("pipeline.hear.lexicon.models_path", lambda name: tmp_path / name)
    with pytest.raises(RulesError, match=r"cues\.csv.*3.*'one' stands on line 2"):
        load_rows("cues.csv", ("id", "pattern"))


def test_a_class_that_is_not_there_is_a_fault(monkeypatch, tmp_path):
    (tmp_path / "cues.csv").write_text("id,pattern\none,a <nowhere>\n", encoding="utf-8")
    monkeypatch.setattr("pipeline.hear.lexicon.models_path", lambda name: tmp_path / name)
    with pytest.raises(RulesError, match="<nowhere>"):
        load_phrases("cues.csv", ("id", "pattern"), {})


def test_a_class_holds_words_or_phrases():
    assert word_class("definite") == frozenset(load_classes()["definite"])
    assert ("hardly", "any") in phrase_class("hardly-any")
    assert ("the",) in phrase_class("definite")


@pytest.mark.parametrize("given", [word_class, phrase_class, marked_rules])
def test_what_has_no_such_name_is_a_fault(given):
    with pytest.raises(RulesError, match="nowhere"):
        given("nowhere")


def test_a_marked_rule_is_one_of_a_table():
    names = [row["id"] for path in WITH_IDS for row in load_rows(path.name, HEADERS[path])]
    for row in load_rows("rule_marks.csv", ("rule", "mark")):
        held = [name for name in names if name == row["rule"] or name.startswith(row["rule"].removesuffix("*"))]
        assert held, row
        assert row["rule"].endswith("*") or row["rule"] in names, row
        assert all(name in marked_rules(row["mark"]) for name in held if row["rule"].endswith("*"))


def test_a_mark_counts_for_all_rules_whose_names_begin_so():
    assert "negated.used-to-put-use-add-have-love-eat" in marked_rules("own-way")
    assert "heat.none.clock" in marked_rules("clock")
    assert "heat.none.clocks" not in marked_rules("clock")
