"""Spoken names: found in speech at their longest, matched one at a time without guessing."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.errors import RulesError
from pipeline.foods.names import FoodName, FoodNames, Matching
from pipeline.foods.plurals import Plurals, default_plurals
from pipeline.foods.table import FoodTable

from .conftest import read

HEADER = "name,food,kind,editor,needs\n"


def names_of(*rows: tuple[str, str]) -> FoodNames:
    entries = [FoodName(name, food, "name", "", frozenset()) for name, food in rows]
    return FoodNames(entries, default_plurals(), Matching.load())


def test_the_longest_name_wins() -> None:
    names = names_of(("soy", "soy"), ("soy sauce", "soy-sauce"), ("sauce", "sauce"))
    words = ["add", "soy", "sauce", "now"]
    assert names.longest(words, 0) is None
    found = names.longest(words, 1)
    assert found is not None
    assert (found[0].food, found[1]) == ("soy-sauce", 2)
    assert names.longest(words[:2], 1) == (names.lookup("soy"), 1)


def test_a_name_that_only_begins_is_not_found() -> None:
    names = names_of(("bell pepper", "bell-pepper"), ("bell", "bell"))
    found = names.longest(["bell", "peas"], 0)
    assert found is not None and found[1] == 1
    assert names_of(("bell pepper", "bell-pepper")).longest(["bell"], 0) is None


def test_plural_of_the_last_word_is_the_name_and_a_listed_plural_goes_first() -> None:
    names = names_of(("bay leaf", "bay"), ("pepper", "spice"), ("peppers", "vegetable"))
    for words, food in (("bay leaves", "bay"), ("pepper", "spice"), ("peppers", "vegetable")):
        found = names.longest(words.split(), 0)
        assert found is not None and (found[0].food, found[1]) == (food, len(words.split()))
    assert names.longest(["bays", "leaf"], 0) is None


SPEECH = st.sampled_from(["red", "green", "bell", "pepper", "peppers", "onion", "the", "of"])


@given(st.lists(SPEECH, min_size=1, max_size=12))
def test_found_words_are_always_a_name_or_its_plural(words: list[str]) -> None:
    names = names_of(
        ("red pepper", "r"), ("red bell pepper", "r"), ("onion", "o"), ("green onion", "g"), ("pepper", "p")
    )
    for at in range(len(words)):
        found = names.longest(words, at)
        if found is not None:
            assert names.lookup(" ".join(words[at : at + found[1]])) == found[0]


@pytest.mark.parametrize("row", read("plurals.csv"), ids=lambda row: row["singular"])
def test_singular_and_plural(row: dict[str, str], names: FoodNames) -> None:
    assert names.plural(row["singular"]) == row["plural"]
    assert names.singular(row["plural"]) == row["singular"]
    assert names.singular(row["singular"]) == row["singular"]


@given(st.text("abcdefghijklmnopqrstuvwxyz", min_size=3, max_size=9))
def test_plurals_made_by_rule_fold_back(word: str) -> None:
    plurals = Plurals({})
    if plurals.singular(word) == word and not word.endswith(
        ("s", "z", "u", "i", "oe", "ie", "che", "she", "sse", "xe", "zze")
    ):
        assert plurals.singular(plurals.plural(word)) == word


@pytest.mark.parametrize("row", read("matches.csv"), ids=lambda row: row["text"])
def test_match_or_nothing(row: dict[str, str], names: FoodNames) -> None:
    match = names.best(row["text"])
    assert (match.food if match else "") == row["food"], row["why"]
    if match is not None:
        assert 0 < match.score <= 1
        assert match.food != match.runner_up


def test_every_listed_name_is_matched_in_full(names: FoodNames) -> None:
    for entry in names:
        match = names.best(entry.name)
        assert match is not None and match.food == entry.food and match.score == 1.0


def test_every_listed_name_points_to_a_food_of_the_table(names: FoodNames, table: FoodTable) -> None:
    assert [entry.name for entry in names if entry.food not in table] == []


def test_a_word_of_the_names_is_never_taken_for_a_misspelling() -> None:
    names = names_of(("mustard", "mustard"), ("custard", "custard"), ("mustard powder", "mustard-powder"))
    assert names.best("custard powder") is None
    match = names.best("musstard powder")
    assert match is not None and match.food == "mustard-powder" and match.score < 1


def test_faults_of_the_lists_are_all_named(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(HEADER + "carrot,carrot-raw,name,,\nLeek,leek raw,nickname,,\n")
    (tmp_path / "b.csv").write_text(HEADER + "carrot,carrot-cooked,name,,\nshort,row\n")
    with pytest.raises(RulesError) as fault:
        FoodNames.load(tmp_path)
    text = str(fault.value)
    for expected in (
        "a.csv, line 3: column name: 'Leek'",
        "column food: 'leek raw'",
        "column kind: 'nickname', expected one of generic, misheard, name, variant",
        "b.csv, line 2: column name: 'carrot' stands already in a.csv, line 2",
        "b.csv, line 3: 2 cells, expected 5",
    ):
        assert expected in text


def test_settings_are_checked(tmp_path: Path) -> None:
    path = tmp_path / "matching.toml"
    path.write_text('threshold = "high"\nspeed = 3\n')
    with pytest.raises(RulesError) as fault:
        Matching.load(path)
    assert "speed is not a setting" in str(fault.value)
    assert "ignorable is missing" in str(fault.value)
    assert "threshold is 'high', expected a number" in str(fault.value)
