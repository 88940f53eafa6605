"""The signs round a figure, and the weights of `models/heat_signs.csv`."""

from fractions import Fraction

from pipeline.hear.heat_figures import BareFigure
from pipeline.hear.heat_signs import signs_of
from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.heat_tables import HeatTables
from pipeline.hear.lexicon import load_sign_weights
from pipeline.hear.numbers import Figure

TABLES = HeatTables.load()
SAID = "my needle shows one sixty eight and dinner can start"
WORDS = tuple(SAID.split())
FIGURE = Figure(3, 6, Fraction(168), Fraction(168), "joined")
INSIDE = HeatSpan(0, 1, Fraction(165), "F", False, 73.9, "food", "heat.food.by-sense")


def signs(near=(), last=None, span=None):
    return set(signs_of(WORDS, BareFigure(FIGURE, span, near, last), "F", TABLES))


def test_a_figure_has_its_size_its_form_and_the_words_beside_it():
    assert {
        "any",
        "value.F.150",
        "form.joined",
        "left:shows",
        "left:needle shows",
        "right:and",
        "right:and dinner",
    } <= signs()
    assert {"before:my", "after:start", "near.none", "last.none"} <= signs()
    assert not {"of-5", "rule", "before:and"} & signs()


def test_what_is_named_near_counts_by_whether_it_may_be_as_hot():
    assert "near.0.food" in signs(["food"])
    assert "near.0.unlike" in signs(["fridge"])
    assert "near.1.unlike" in signs(["food", "freezer"])


def test_the_temperature_before_counts_by_how_far_back_and_how_near_it_is():
    assert {"last.6", "last.6.food", "close.6", "close.food"} <= signs(last=INSIDE)
    assert "same.6" not in signs(last=INSIDE)


def test_every_weight_is_of_a_sign_that_is_read():
    kinds = ("value.", "form.", "rule.", "near.", "last.", "same.", "close.", "left:", "right:", "before:", "after:")
    known = {"any", "rule", "of-5", "of-10", "of-25"}
    assert [
        sign for sign in load_sign_weights("heat_signs.csv") if sign not in known and not sign.startswith(kinds)
    ] == []
