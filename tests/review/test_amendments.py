"""What people decided about a record: kept in a file, carried out, and never lost."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from pipeline.errors import RecordError
from pipeline.record import Episode, Finding, Recipe
from pipeline.review.amending import amend, unplaced
from pipeline.review.amendments import add_to, amendments_path, parse_amendments, read_amendments
from pipeline.review.decisions import Amendments, AnyDecision, Decision, ReviewGiven
from pipeline.review.dietitian import content_hash
from tests.review.conftest import TABLE, dish, episode, heard, line

DECISION: TypeAdapter[Decision] = TypeAdapter(AnyDecision)
DAY = datetime.date(2026, 5, 3)


def decide(kind: str, **fields: object) -> Decision:
    given = {"recipe": "dish", "kind": kind, "who": "N. Hale", "when": DAY, "why": "asked the cook", **fields}
    return DECISION.validate_python(given)


def drafted() -> Episode:
    """What drafting gives, the same each time: a dish of three lines and two components, and another dish."""
    lines = (
        line("fish-sauce", (6, 20, 32), basis="unsaid", component="broth"),
        line("cabbage-raw", 300, component="slaw"),
        line("wobbleroot", None),
    )
    audit = Finding(rule="time.conflict", level="caution", text="Two times.", about="dish")
    return episode(dish(*lines, components=("broth", "slaw"), findings=(audit,)), dish(line("banana-raw"), id="other"))


def carried(*decisions: Decision, on: Episode | None = None) -> Episode:
    return amend(on or drafted(), Amendments.model_validate({"decision": decisions}), table=TABLE)


def first(amended: Episode) -> Recipe:
    return amended.recipes[0]


def test_an_amount_answered_is_said_weighed_and_loaded():
    before, after = first(drafted()), first(carried(decide("amount", line="fish-sauce", amount="2 tablespoons")))
    answered = after.ingredients[0]
    assert (answered.amount.basis, answered.amount.best, answered.amount.unit) == ("said", 2, "tablespoon")
    assert answered.grams is not None and answered.grams.low == answered.grams.high
    assert answered.evidence == before.ingredients[0].evidence
    assert after.load is not None and after.load.per_recipe["sodium_mg"].best > 2000
    assert "fish-sauce" not in [question.about for question in after.questions]


def test_cups_and_spoons_are_those_the_decision_names():
    american = first(carried(decide("amount", line="cabbage-raw", amount="1 cup")))
    british = first(carried(decide("amount", line="cabbage-raw", amount="1 cup", measures="british")))
    assert british.ingredients[1].grams != american.ingredients[1].grams


def test_a_food_chosen_answers_what_was_not_in_the_table():
    after = first(carried(decide("food", line="wobbleroot", food="parsnip")))
    assert after.ingredients[2].food is not None
    assert after.ingredients[2].food.name == "parsnip"
    assert "wobbleroot" not in [question.about for question in after.questions if "food table" in question.text]


def test_a_line_added_stands_where_it_was_put():
    after = first(carried(decide("add", name="fish sauce", amount="1 tsp", component="slaw", before="cabbage-raw")))
    assert [one.id for one in after.ingredients][:3] == ["fish-sauce", "added-fish-sauce", "cabbage-raw"]
    added = after.ingredients[1]
    assert added.component == "slaw" and added.food is not None and added.grams is not None


def test_lines_added_under_one_name_have_ids_of_their_own():
    after = first(carried(decide("add", name="Dill"), decide("add", name="Dill", why="once more")))
    assert [one.id for one in after.ingredients][-2:] == ["added-dill", "added-dill-2"]


def test_a_line_dropped_becomes_a_mention_that_says_who_left_it_out():
    after = first(carried(decide("drop", line="wobbleroot")))
    assert [one.id for one in after.ingredients] == ["fish-sauce", "cabbage-raw"]
    assert [(one.name, one.why) for one in after.mentions] == [("wobbleroot", "left out by N. Hale: asked the cook")]


@pytest.mark.parametrize(
    ("fields", "order", "component"),
    [
        ({"component": "broth"}, ["fish-sauce", "cabbage-raw", "wobbleroot"], "broth"),
        ({"component": "-"}, ["fish-sauce", "cabbage-raw", "wobbleroot"], None),
        ({"before": "fish-sauce"}, ["cabbage-raw", "fish-sauce", "wobbleroot"], "broth"),
        ({"before": "wobbleroot", "component": "slaw"}, ["fish-sauce", "cabbage-raw", "wobbleroot"], "slaw"),
    ],
)
def test_a_line_moved_goes_to_its_component_or_place(fields, order, component):
    after = first(carried(decide("move", line="cabbage-raw", **fields)))
    assert [one.id for one in after.ingredients] == order
    assert next(one for one in after.ingredients if one.id == "cabbage-raw").component == component


def test_title_servings_and_remark_stand_in_the_recipe():
    after = first(
        carried(
            decide("title", title="Sunday bake"),
            decide("servings", servings="4-6"),
            decide("remark", line="cabbage-raw", remark="shred it finely"),
        )
    )
    assert (after.id, after.title) == ("dish", "Sunday bake")
    assert after.servings is not None and (after.servings.low, after.servings.high) == (4, 6)
    (remark,) = [one for one in after.findings if one.rule == "remark"]
    assert remark.text.endswith(": shred it finely")
    assert remark.sources == ("N. Hale, 2026-05-03: asked the cook",)


def test_findings_of_later_stages_stay_and_the_other_dish_is_untouched():
    after = carried(decide("servings", servings="6"))
    assert "time.conflict" in [one.rule for one in first(after).findings]
    assert after.recipes[1] == drafted().recipes[1]


def test_a_line_may_be_named_by_its_only_name():
    after = carried(decide("amount", line="Cabbage", amount="200 g"))
    assert unplaced(after) == ()


@pytest.mark.parametrize(
    ("decision", "why"),
    [
        (decide("amount", line="leek", amount="2"), "there is no line 'leek' in dish"),
        (decide("food", line="wobbleroot", food="moon cheese"), "there is no food 'moon cheese'"),
        (
            decide("move", line="cabbage-raw", component="gravy"),
            "there is no component 'gravy' in dish; there are",
        ),
        (decide("move", line="cabbage-raw", before="cabbage-raw"), "cannot stand before itself"),
        (decide("title", recipe="pudding", title="Pud"), "there is no recipe 'pudding'; there are dish, other"),
    ],
)
def test_a_decision_without_a_place_is_kept_and_says_why(decision, why):
    after = carried(decision)
    (kept,) = unplaced(after)
    assert why in kept.unplaced
    assert (kept.who, kept.when, kept.why) == ("N. Hale", "2026-05-03", "asked the cook")
    assert after.recipes == drafted().recipes


def test_a_name_that_several_lines_have_is_told_with_their_ids():
    twins = [line("table-salt", 2).model_copy(update={"id": name}) for name in ("salt-a", "salt-b")]
    (kept,) = unplaced(carried(decide("drop", line="table salt"), on=episode(dish(*twins))))
    assert kept.unplaced == "'table salt' is the name of several lines: salt-a, salt-b"


SOME = st.lists(
    st.sampled_from(
        [
            decide("amount", line="fish-sauce", amount="2 tablespoons"),
            decide("amount", line="fish-sauce", amount="10-20 g", why="she told me since"),
            decide("food", line="wobbleroot", food="parsnip"),
            decide("amount", line="wobbleroot", amount="150 g"),
            decide("add", name="dill", amount="1 tbsp", component="slaw"),
            decide("amount", line="added-dill", amount="2 tbsp"),
            decide("drop", line="cabbage-raw"),
            decide("drop", line="fish-sauce"),
            decide("move", line="cabbage-raw", before="fish-sauce"),
            decide("move", line="fish-sauce", before="cabbage-raw"),
            decide("move", line="wobbleroot", component="slaw"),
            decide("title", title="Sunday bake"),
            decide("servings", servings="4-6"),
            decide("remark", remark="nice"),
            decide("title", recipe="other", title="Banana"),
            decide("title", recipe="nowhere", title="Lost"),
        ]
    ),
    max_size=6,
)


@given(SOME)
def test_amend_then_draft_again_equals_amend(decisions):
    once = carried(*decisions)
    again = carried(*decisions, on=drafted())
    assert again == once
    assert carried(*decisions, on=once) == once


@given(SOME, st.integers(0, 6))
def test_decisions_taken_one_day_after_another_are_as_if_taken_at_once(decisions, day):
    assert carried(*decisions, on=carried(*decisions[:day])) == carried(*decisions)


@given(SOME)
def test_no_decision_is_lost(decisions):
    after = carried(*decisions)
    assert [one.model_copy(update={"unplaced": ""}) for one in after.decisions] == [one.decided() for one in decisions]
    assert Episode.model_validate_json(after.to_json()) == after


def test_a_decision_taken_out_of_the_file_asks_for_a_new_draft():
    amended = carried(decide("title", title="Sunday bake"))
    with pytest.raises(RecordError, match="draft it again"):
        carried(on=amended)
    with pytest.raises(RecordError, match="draft it again"):
        carried(decide("servings", servings="2"), decide("title", title="Sunday bake"), on=amended)


def test_the_file_stands_beside_the_record():
    assert amendments_path(Path("cards/monday.record.json")) == Path("cards/monday.amendments.toml")
    assert amendments_path(Path("own.json")) == Path("own.amendments.toml")


def test_what_is_added_to_the_file_comes_back_and_a_persons_comments_stay(tmp_path):
    path = tmp_path / "monday.amendments.toml"
    odd = 'a "quoted" \\ word\nand ünlaut # no comment'
    taken = [decide("add", name="dill", preparation=("chopped", "fine")), decide("remark", remark=odd)]
    add_to(path, decision=taken[0])
    path.write_text(path.read_text(encoding="utf-8") + "\n# rang her on Monday\n", encoding="utf-8")
    review = ReviewGiven(by="R. Ode", credential="RD", date=DAY, content="0" * 64)
    add_to(path, decision=taken[1], review=review)
    assert "# rang her on Monday" in path.read_text(encoding="utf-8")
    assert read_amendments(path) == Amendments.model_validate({"decision": taken, "review": (review,)})


@given(SOME)
def test_any_decisions_come_back_from_the_file(tmp_path_factory, decisions):
    path = tmp_path_factory.mktemp("file") / "monday.amendments.toml"
    for decision in decisions:
        add_to(path, decision=decision)
    assert list(read_amendments(path).decision) == decisions


def test_without_a_file_nothing_was_decided(tmp_path):
    assert read_amendments(tmp_path / "monday.amendments.toml") == Amendments()


WHO = 'who = "N"\nwhen = 2026-05-03\nwhy = "y"\n'


@pytest.mark.parametrize(
    ("text", "number", "told"),
    [
        ("[[decision]\n", None, "is no TOML"),
        (f'[[decision]]\nkind = "drop"\nrecipe = "d"\n{WHO}', 1, "decision 1 drop line: Field required"),
        (f'\n[[decision]]\nkind = "sing"\nrecipe = "d"\n{WHO}', 2, "decision 1"),
        (f'[[decision]]\nkind = "amount"\nrecipe = "d"\nline = "x"\namount = "lots"\n{WHO}', 1, "'lots' is no amount"),
        ('[[decision]]\nkind = "drop"\nrecipe = "d"\nline = "x"\nwho = " "\nwhen = 2026-05-03\nwhy = "y"\n', 1, "who"),
        (f'[[decision]]\nkind = "move"\nrecipe = "d"\nline = "x"\n{WHO}', 1, "neither to which component"),
        ('[[review]]\nby = "N"\ncredential = "RD"\ndate = 2026-05-03\ncontent = "0"\n', 1, "review 1 content"),
    ],
)
def test_a_faulty_file_is_refused_with_its_line(text, number, told):
    with pytest.raises(RecordError, match=told) as fault:
        parse_amendments(text, file="monday.amendments.toml")
    assert (fault.value.file, fault.value.line) == ("monday.amendments.toml", number)


def test_a_file_that_nothing_can_be_added_to_is_left_as_it_is(tmp_path):
    path = tmp_path / "monday.amendments.toml"
    path.write_text("decision = []\n", encoding="utf-8")
    with pytest.raises(RecordError):
        add_to(path, decision=decide("title", title="Sunday bake"))
    assert path.read_text(encoding="utf-8") == "decision = []\n"


def test_a_decision_needs_who_when_and_why():
    for left_out in ("who", "when", "why"):
        with pytest.raises(ValidationError):
            decide("title", title="x", **{left_out: None})


def test_evidence_of_a_dropped_line_goes_with_it():
    after = first(carried(decide("drop", line="fish-sauce")))
    assert after.mentions[0].evidence == heard(60)


def test_the_latest_review_stands_in_the_record():
    reviews = [ReviewGiven(by=by, credential="RD", date=DAY, content=content_hash(drafted())) for by in ("A", "B")]
    after = amend(drafted(), Amendments.model_validate({"review": reviews}), table=TABLE)
    assert after.review is not None and (after.review.by, after.review.date) == ("B", "2026-05-03")
