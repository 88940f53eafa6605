"""A temperature that the speaker takes back at once stands in the record, marked so, and is told of nowhere else."""

import pytest

from pipeline.audit import audit
from pipeline.draft import draft
from pipeline.explain import explain
from pipeline.foods.table import FoodTable
from pipeline.publish.build import card_view
from pipeline.review.questions import questions_of
from tests.hear.spoken import transcript

BEFORE = "today we're making a plum crumble // so a pound of plums in the dish and two tablespoons of sugar"
AFTER = (
    "a cup of flour and half a cup of oats and four tablespoons of butter rubbed in and on it goes // "
    "it bakes for thirty five minutes // that feeds six"
)
SAID = transcript(f"{BEFORE} // set the oven to four hundred no wait three seventy five // {AFTER}")
EPISODE = draft(SAID)
(RECIPE,) = EPISODE.recipes


def test_the_record_holds_both_and_marks_the_one_that_does_not_hold():
    assert [(said.value, said.taken_back) for said in RECIPE.temperatures] == [(375, False), (400, True)]


def test_the_card_the_audit_and_the_questions_tell_only_of_the_one_that_holds():
    (dish,) = card_view(EPISODE).dishes
    assert ["375" in said.value and "400" not in said.value for said in dish.temperatures] == [True]
    assert [row.figure for row in audit(EPISODE, SAID).settings if row.about == "oven"] == ["375 F (unit not said)"]
    assert not [asked for asked in questions_of(RECIPE, FoodTable.load()) if asked.about == "oven"]


def test_the_method_tells_only_of_the_one_that_holds_and_once():
    told = " ".join(step.text for step in RECIPE.method)
    assert "four hundred" not in told
    assert told.count("375") == 1


def test_explain_says_what_it_was_taken_back_for():
    became = {reading.words: reading.became for reading in explain(SAID, at=14.0).readings}
    assert became["four hundred"] == "superseded by “three seventy five” at 0:12"


@pytest.mark.parametrize(
    ("said", "values"),
    [
        ("bake it at four hundred // no hang on three fifty", [(350, False), (400, True)]),
        ("bake it at three fifty // now turn it up to four hundred", [(350, False), (400, False)]),
        ("bake it at four hundred sorry three fifty", [(350, False), (400, True)]),
        ("bake it at four hundred no three fifty no wait three seventy five", [(375, False), (400, True), (350, True)]),
        (
            "bake it at four hundred no three fifty // i meant three seventy five",
            [(375, False), (400, True), (350, True)],
        ),
    ],
    ids=["at once", "turned up", "sorry", "corrected again", "meant"],
)
def test_a_heat_is_taken_back_only_where_another_is_put_in_its_place(said, values):
    (recipe,) = draft(transcript(f"{BEFORE} // {said} // {AFTER}")).recipes
    assert [(heat.value, heat.taken_back) for heat in recipe.temperatures] == values
