"""Mentions that become ingredient lines, and sentences that become steps."""

import pytest

from tests.hear.families import FAMILIES, recipes
from tests.hear.spoken import OPENING, cases, check, each

STEPS = FAMILIES["method steps"]


@each(FAMILIES["ingredient lines"].path)
def test_mentions_of_one_food_become_one_line(case):
    family = FAMILIES["ingredient lines"]
    got = family.read(case.text)
    check(case, right=family.right(case, got), got=got)


@each(FAMILIES["foods of several dishes"].path)
def test_a_food_told_once_goes_to_the_dishes_it_is_for(case):
    family = FAMILIES["foods of several dishes"]
    got = family.read(case.text)
    check(case, right=family.right(case, got), got=got)


@each(STEPS.path)
def test_a_step_is_imperative_and_talk_is_none(case):
    got = STEPS.read(case.text)
    check(case, right=STEPS.right(case, got), got=got)


@pytest.mark.parametrize("case", [pytest.param(case, id=case.place) for case in cases(STEPS.path)])
def test_the_evidence_of_a_step_stands_in_the_transcript(case):
    said = (OPENING + case.text).replace(" // ", " ").replace(" / ", " ")
    for recipe in recipes(OPENING + case.text):
        for step in recipe.method:
            assert step.evidence
            assert (step.start, step.end) == (step.evidence[0].start, step.evidence[-1].end)
            for evidence in step.evidence:
                assert evidence.rule
                assert evidence.words in said
        assert [step.n for step in recipe.method] == list(range(1, len(recipe.method) + 1))
