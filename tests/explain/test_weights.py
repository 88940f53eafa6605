"""Where a food or a figure was judged by all that is said of it together, what told most is told."""

from pipeline.explain import explain
from pipeline.hear.lexicon import load_sign_weights
from tests.compose.test_goes_in import AFTER, BEFORE
from tests.hear.spoken import transcript


def weights(sentence):
    readings = explain(transcript(f"{BEFORE} // {sentence} // {AFTER}"), at=0.0, around=900.0).readings
    return [reading for reading in readings if reading.kind == "weight"]


def test_a_food_made_an_alternative_says_how_likely_it_is_and_which_signs_told_most():
    (reading,) = weights("you could put in turkey thighs if that is what they had")
    assert (reading.words, reading.became) == ("turkey thighs", "made an alternative")
    assert reading.read_as.startswith("turkey thighs is offered: ")
    known = load_sign_weights("alternative_signs.csv")
    told = [sign.rsplit(" ", 1) for sign in reading.rule.split(", ")]
    assert all(sign in known for sign, _ in told)
    sizes = [abs(float(added)) for _, added in told]
    assert sizes == sorted(sizes, reverse=True)


def test_a_food_kept_out_says_so():
    (reading,) = weights("the postman likes a biscuit")
    assert (reading.words, reading.became) == ("biscuit", "kept out, and asked about")


def test_a_figure_made_a_temperature_says_so():
    (reading,) = weights("the little one is up at one seventy two so sit down everybody")
    assert (reading.words, reading.became) == ("one seventy two", "made a temperature")
    assert reading.read_as.startswith("172 is a temperature: ")


def test_a_figure_that_a_rule_took_for_a_temperature_and_that_is_none_says_so():
    (reading,) = weights("a cup of honey in the pan and then another fifty in the pan")
    assert (reading.words, reading.became) == ("fifty", "made none")


def test_what_weighing_has_not_moved_is_not_told_of():
    assert weights("wipe down the counter and sit a while") == []


def test_a_clause_that_was_settled_to_be_of_another_dish_says_so():
    talk = (
        "it's a prawn stir fry and a mango fool this evening // for the stir fry a pound of prawns and one red pepper "
        "// now the fool two mangoes and a tablespoon of honey // okay a knob of ginger and three spring onions // "
        "right a cup of double cream and a teaspoon of vanilla"
    )
    readings = explain(transcript(talk), at=0.0, around=900.0).readings
    moved = [reading for reading in readings if reading.kind == "weight" and "moved from" in reading.became]
    (reading,) = [reading for reading in moved if "spring onions" in reading.words]
    assert reading.read_as.startswith("of prawn stir fry: ")
    assert reading.became == "moved from mango fool"
    assert reading.rule.startswith("company +")
    (first,) = [reading for reading in moved if "ginger" in reading.words]
    assert "turn.breath -" in first.rule
    assert "turn." not in reading.rule
