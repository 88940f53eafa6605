"""Short kitchen sentences with what an editor makes of them, one family of rules a file."""

import pytest

from tests.hear.families import FAMILIES
from tests.hear.spoken import Case, cases, check, each

LEAST_CASES = 25
MOST_MISSED = 0.45


def judge(family: str, case: Case) -> None:
    got = FAMILIES[family].read(case.text)
    check(case, right=FAMILIES[family].right(case, got), got=got)


@each(FAMILIES["clauses"].path)
def test_speech_without_full_stops_is_cut_where_a_new_sentence_begins(case):
    judge("clauses", case)


@each(FAMILIES["numbers"].path)
def test_figures_read_as_they_are_said_or_written(case):
    judge("numbers", case)


@each(FAMILIES["amounts"].path)
def test_an_amount_goes_to_the_food_it_is_said_of(case):
    judge("amounts", case)


@each(FAMILIES["corrections"].path)
def test_what_the_speaker_corrects_wins_and_what_is_added_adds_up(case):
    judge("corrections", case)


@each(FAMILIES["used or only spoken of"].path)
def test_only_what_goes_into_the_dish_is_an_ingredient(case):
    judge("used or only spoken of", case)


@each(FAMILIES["alternatives and options"].path)
def test_an_alternative_stands_beside_its_food_and_an_option_is_marked(case):
    judge("alternatives and options", case)


@each(FAMILIES["durations"].path)
def test_a_duration_is_planned_or_elapsed_and_an_aside_is_none(case):
    judge("durations", case)


@each(FAMILIES["temperatures"].path)
def test_a_temperature_has_its_unit_by_word_or_by_sense(case):
    judge("temperatures", case)


@each(FAMILIES["claims"].path)
def test_a_claim_names_food_nutrient_and_sense(case):
    judge("claims", case)


@each(FAMILIES["servings"].path)
def test_servings_are_read_of_people_and_portions_only(case):
    judge("servings", case)


def test_every_family_reads_most_of_its_cases_and_has_enough_of_them():
    for name, family in FAMILIES.items():
        found = cases(family.path)
        missed = [case for case in found if case.known_miss]
        assert len(found) >= LEAST_CASES, name
        assert len(missed) / len(found) <= MOST_MISSED, name


@pytest.mark.parametrize("known_miss", [True, False])
def test_a_case_fails_where_its_mark_and_the_reading_disagree(known_miss):
    case = Case("cases.csv:2", "plain", "two", "2", known_miss)
    check(case, right=not known_miss, got="2")
    with pytest.raises(AssertionError, match=r"cases\.csv:2"):
        check(case, right=known_miss, got="2")


def test_no_sentence_stands_in_a_file_twice():
    for family in FAMILIES.values():
        texts = [case.text for case in cases(family.path)]
        assert len(texts) == len(set(texts)), family.path.name
