"""A review stands for one exact content."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from pipeline.record import Decided, Episode, Review
from pipeline.review.dietitian import content_hash, review_line, standing
from tests.review.conftest import dish, episode, line

PLAIN = episode(dish(line("banana-raw", 100), line("table-salt", 2)))


def reviewed(record: Episode) -> Episode:
    review = Review(by="R. Ode", credential="RD", date="2026-05-03", content=content_hash(record))
    return record.model_copy(update={"review": review})


def test_a_record_without_a_review_says_so():
    assert (standing(PLAIN), review_line(PLAIN)) == ("not reviewed", "Not yet reviewed by a dietitian.")


def test_a_review_names_who_and_when():
    assert standing(reviewed(PLAIN)) == "reviewed"
    assert review_line(reviewed(PLAIN)) == "Reviewed by R. Ode, RD, on 2026-05-03."


def test_any_change_of_the_recipes_puts_it_out_of_date():
    changed = reviewed(PLAIN).model_copy(update={"recipes": (dish(line("banana-raw", 101), line("table-salt", 2)),)})
    assert standing(changed) == "out of date"
    assert review_line(changed).startswith("Not yet reviewed by a dietitian in this form")
    assert "R. Ode, RD, on 2026-05-03" in review_line(changed)


def test_what_is_no_content_does_not():
    decided = Decided(recipe="gone", text="called x", who="N", when="2026-05-03", why="y", unplaced="no recipe")
    other = reviewed(PLAIN).model_copy(update={"rules": "newer", "decisions": (decided,)})
    assert standing(other) == "reviewed"


def test_the_hash_survives_the_way_to_disk_and_back():
    record = reviewed(PLAIN)
    assert standing(Episode.model_validate_json(record.to_json())) == "reviewed"


@given(st.floats(0, 1e6), st.floats(0, 1e6))
def test_two_contents_share_a_hash_only_where_they_are_the_same(one, other):
    def of(end: float) -> Episode:
        return episode(dish(line("table-salt", 2), end=end))

    assert (content_hash(of(one)) == content_hash(of(other))) == (of(one).recipes == of(other).recipes)
