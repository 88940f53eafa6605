"""What the cook is asked, and in which order."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.errors import RulesError
from pipeline.record import Servings, Temperature
from pipeline.review.asking import load_asking
from pipeline.review.questions import questions_of
from tests.review.conftest import TABLE, dish, heard, line

BROTH = line("fish-sauce", (6, 20, 32), basis="unsaid", at=860, component="broth")


def abouts(recipe):
    return [question.about for question in questions_of(recipe, TABLE)]


def oven(value: float, celsius: float, unit: str, at: float, for_: str = "") -> Temperature:
    return Temperature.model_validate(
        {"value": value, "unit": unit, "celsius": celsius, "of": "oven", "for": for_, "evidence": heard(at)}
    )


def test_an_unsaid_amount_is_asked_with_its_place_time_and_worth():
    (question,) = questions_of(dish(BROTH), TABLE)
    # 26 g of fish sauce at 7851 mg sodium in 100 g (SR26 06179), over four servings
    assert question.text == "How much fish sauce went into the broth at 14:20? It moves sodium by 510 mg a serving."
    assert question.about == "fish-sauce"
    assert question.effect.startswith("A serving: sodium 510 mg (100 % of its range)")
    assert question.evidence == heard(860)


def test_servings_nobody_said_come_before_everything():
    recipe = dish(BROTH, line("wobbleroot", None), servings=None)
    assert abouts(recipe) == ["servings", "fish-sauce", "wobbleroot"]


def test_assumed_servings_are_asked_and_inferred_ones_where_they_differ():
    def of(basis: str, high: int) -> list[str]:
        return abouts(
            dish(
                line("table-salt"),
                servings=Servings.model_validate({"low": 4, "best": 4, "high": high, "basis": basis}),
            )
        )

    assert of("assumed", 4) == ["servings"]
    assert of("inferred", 6) == ["servings"]
    assert of("inferred", 4) == of("said", 6) == []


def test_amounts_are_ranked_by_what_the_answer_takes_off_the_range():
    lines = (
        line("olive-oil", (5, 10, 30), basis="vague", words="a glug"),
        line("spinach-raw", (50, 100, 200), basis="vague", words="a big handful"),
        line("table-salt", (1, 3, 9), basis="unsaid"),
    )
    assert abouts(dish(*lines)) == ["table-salt", "spinach-raw"]


def test_a_vague_amount_is_asked_with_the_words_that_were_said():
    (question,) = questions_of(dish(line("table-salt", (1, 3, 9), basis="vague", words="a good pinch")), TABLE)
    assert "How much table salt, “a good pinch”, went into barley bake at 1:00?" in question.text


def test_an_unsaid_amount_that_moves_little_is_asked_last_and_a_vague_one_not_at_all():
    lines = (
        line("cinnamon-ground", (0.5, 1, 2), basis="unsaid"),
        line("paprika", (0.5, 1, 2), basis="vague", words="a dusting"),
        line("table-salt", (1, 3, 9), basis="unsaid"),
    )
    assert abouts(dish(*lines)) == ["table-salt", "cinnamon-ground"]


def test_a_food_that_is_not_in_the_table_is_asked_for():
    (question,) = questions_of(dish(line("wobbleroot", None, at=75)), TABLE)
    assert question.text == "What is “wobbleroot” at 1:15? It is not in the food table."


@pytest.mark.parametrize(
    ("heard", "meant"),
    [("cumming", "cumin"), ("tarragone", "tarragon"), ("coreander", "coriander"), ("wooster sauce", "worcester sauce")],
)
def test_a_word_that_is_spelt_almost_like_a_food_is_asked_about_with_that_food(names, heard, meant):
    (question,) = questions_of(dish(line("unknown", None, name=heard, at=75)), TABLE, names=names)
    assert question.text.startswith(f"What is “{heard}” at 1:15? It is not in the food table; was it ")
    assert meant in question.text.rpartition("; was it ")[2]


def test_a_word_that_is_like_no_food_is_asked_about_alone(names):
    (question,) = questions_of(dish(line("unknown", None, name="zzyzx", at=75)), TABLE, names=names)
    assert question.text.endswith("It is not in the food table.")


def test_a_food_that_was_matched_doubtfully_is_asked_where_it_matters():
    doubtful = line("soy-sauce", 32, runner_up="vinegar-distilled")
    alike = line("table-salt", 1, runner_up="table-salt")
    (question,) = questions_of(dish(doubtful, alike), TABLE)
    assert question.text.startswith("Is the soy sauce at 1:00 soy sauce or ")
    assert "It moves sodium by " in question.effect


def test_a_said_amount_without_a_weight_is_asked_for_its_weight():
    (question,) = questions_of(dish(line("table-salt", None, words="a wee poke")), TABLE)
    assert question.text.startswith("What does the table salt, “a wee poke”, weigh that went into barley bake at 1:00?")


@pytest.mark.parametrize(
    ("settings", "asked"),
    [
        ((oven(350, 177, "F", 10), oven(200, 200, "C", 90)), ["oven"]),
        ((oven(350, 177, "F", 10), oven(180, 180, "C", 90)), []),
        ((oven(350, 177, "F", 10, "bake"), oven(200, 200, "C", 90, "crisp")), []),
        ((oven(4, 180, "gas", 10), oven(7, 220, "gas", 90)), ["oven"]),
        ((oven(350, 177, "F", 10),), []),
    ],
)
def test_two_values_for_one_setting_are_asked_and_two_scales_are_not(settings, asked):
    assert abouts(dish(line("table-salt"), temperatures=settings)) == asked


def test_two_values_are_told_with_their_times():
    settings = (oven(425, 218, "F", 250), oven(180, 180, "C", 90))
    (question,) = questions_of(dish(line("table-salt"), temperatures=settings), TABLE)
    assert question.text == "Which temperature is right for the oven: 180 °C at 1:30 or 425 °F at 4:10?"


def test_a_dish_without_ingredients_is_asked_only_for_them():
    (question,) = questions_of(dish(servings=None), TABLE)
    assert question.about == "ingredients"
    assert question.text.startswith("What goes into barley bake, announced at 0:05?")


def test_a_line_is_asked_about_once():
    recipe = dish(line("nori-dried", None, basis="unsaid"), line("wobbleroot", None))
    assert sorted(abouts(recipe)) == ["nori-dried", "wobbleroot"]


@given(st.lists(st.tuples(st.floats(0, 50), st.floats(0, 50)), min_size=2, max_size=5))
def test_a_wider_amount_of_the_same_food_is_never_asked_later(widths):
    lines = [
        line("table-salt", (low, low + width / 2, low + width), basis="unsaid").model_copy(update={"id": f"l{at}"})
        for at, (low, width) in enumerate(widths)
    ]
    asked = abouts(dish(*lines))
    wide = {f"l{at}": width for at, (_, width) in enumerate(widths)}
    sodium = [wide[about] for about in asked]
    assert all(one >= other - 1e-6 for one, other in pairwise(sodium))


def test_a_faulty_file_of_settings_is_refused(tmp_path):
    path = tmp_path / "own.toml"
    path.write_text("share_of_range = 'much'\n", encoding="utf-8")
    with pytest.raises(RulesError, match="share_of_range"):
        load_asking(path)
