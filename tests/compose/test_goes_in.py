"""Foods that likely go in or are only talk: what becomes of the food of one sentence in a talk of some length."""

from pathlib import Path

import pytest

from pipeline.compose.food_signs import FoodSigns, by_food
from pipeline.draft import draft
from pipeline.draft import drafted as drafts
from pipeline.foods.names import spoken_names
from pipeline.foods.table import FoodTable
from pipeline.hear.ear import hear
from pipeline.hear.lexicon import load_classes, load_rows, load_sign_weights
from pipeline.record import DOUBTED, Mention
from pipeline.review.claims import claims_of
from pipeline.review.questions import questions_of
from pipeline.split.outline import Outliner
from tests.hear.spoken import TALK, check, each, plain, transcript

CASES = Path(__file__).parent / "goes_in.csv"
BEFORE = (
    "hello and welcome back to the kitchen // today we're making a chicken and rice bake and it is one i have "
    "made for years // so the oven is at three hundred and fifty and that can be getting hot // here's what is on"
    " the counter // i have a pound of chicken thighs cut in small pieces / and one onion that i chop quite fine "
    "/ and two stalks of celery sliced thin // a tablespoon of olive oil goes in the big pan over a medium heat "
    "// in with the onion and the celery and let them go soft for about eight minutes // now two cloves of garlic"
    " crushed and a teaspoon of dried thyme and stir that round for a minute // then the chicken goes in and you "
    "want it brown on all sides and that is another six minutes // no hurry with it // so while that is going on "
    "i measure the rice / it is a cup and a half of white long grain rice and i rinse it till the water runs "
    "clear // right that is brown enough so the rice goes in on top and you turn it over so every grain has a "
    "shine on it // two carrots in small dice and four ounces of mushrooms and a teaspoon of sweet paprika and a "
    "tablespoon of plain flour over all of it and half a teaspoon of fennel seeds"
)
AFTER = (
    "now three cups of hot water go in and half a teaspoon of black pepper // bring it up to a simmer and then "
    "the lid goes on // it goes in the oven for thirty minutes and you leave the lid alone // i know it is hard "
    "to leave it alone but that is what makes it work // when it comes out let it stand for ten minutes before "
    "you put a fork in it // a red pepper cut in strips goes over the top for the colour and a tablespoon of "
    "chives and half a courgette in ribbons // look at that // that is dinner for four people and it keeps for "
    "two days in the fridge // if you warm it up again do it with a splash of water and the lid on // thank you "
    "for watching and i will see you again"
)
CLAIM = "there is no salt added to this dish"


def drafted(sentence):
    return draft(transcript(f"{BEFORE} // {sentence} // {AFTER}"))


def kept_out(episode):
    return [mention.name for recipe in episode.recipes for mention in recipe.mentions]


@each(CASES)
def test_a_food_of_talk_is_no_ingredient_and_a_food_that_goes_in_is(case):
    episode = drafted(case.text)
    lines = [plain(line.name) for recipe in episode.recipes for line in recipe.ingredients]
    used = any(plain(case.answer) in line for line in lines)
    check(case, right=used == (case.kind == "used"), got=f"{'; '.join(lines)} (kept out: {kept_out(episode)})")


def doubted(sentence, name):
    (recipe,) = drafted(f"{sentence} // {CLAIM}").recipes
    mention = Mention(name=name, why=DOUBTED)
    lines = tuple(line for line in recipe.ingredients if line.name != name)
    return recipe.model_copy(update={"mentions": (mention,), "ingredients": lines})


def test_a_food_that_may_be_talk_is_asked_about():
    recipe = doubted("the postman likes a biscuit", "biscuits")
    asked = [one for one in questions_of(recipe, FoodTable.load()) if one.about == "biscuits"]
    assert [one.effect for one in asked] == ["It was taken for talk, so nothing of it is counted."]


def test_no_added_salt_is_not_borne_out_while_a_salted_food_may_have_gone_in():
    def verdicts(name):
        recipe = doubted("that is a good smell", name)
        return {check.verdict for check in claims_of(recipe, FoodTable.load(), names=spoken_names())}

    assert verdicts("stock cubes") == {"not checked"}
    assert verdicts("apples") == {"borne out"}


def test_where_nothing_is_measured_nothing_is_doubted():
    said = (
        "today we're making a soup // chop the onion and the celery // add the stock // in with the cheese // add the "
        "bread // my mother would put the cheese on top // stir in the biscuit crumbs"
    )
    episode = draft(transcript(said + TALK + TALK))
    reasons = [mention.why for recipe in episode.recipes for mention in recipe.mentions]
    assert DOUBTED not in reasons


@pytest.mark.parametrize(
    ("sentence", "food"),
    [
        ("it's parsnips next and those are low in potassium which is handy", "parsnips"),
        ("if there's no basil that is fine but it's basil a few leaves", "fennel seeds"),
    ],
    ids=["of which only a claim is made", "measured just before an if"],
)
def test_a_food_that_no_mention_puts_in_and_that_more_likely_goes_in_is_put_in(sentence, food):
    told = drafts(transcript(f"{BEFORE} // {sentence} // {AFTER}"))
    pairs = zip(told.hearing.foods, told.hearing.usages, strict=True)
    assert [spoken.name for spoken, usage in pairs if usage.rule == "usage.likely"] == [food]
    assert food in {line.name for recipe in told.episode.recipes for line in recipe.ingredients}


def alternatives(sentence):
    told = drafts(transcript(f"{BEFORE} // {sentence} // {AFTER}"))
    lines = [line for recipe in told.episode.recipes for line in recipe.ingredients if line.alternatives]
    return {usage.rule for usage in told.hearing.usages}, {line.name: line.alternatives for line in lines}


def test_a_food_that_likely_is_offered_in_the_place_of_another_is_an_alternative():
    rules, offered = alternatives("you could put in turkey thighs if that is what they had")
    assert "alternative.likely" in rules
    assert offered == {"chicken thighs": ("turkey thighs",)}


@pytest.mark.parametrize(
    "sentence",
    [
        "my uncle only ever had bacon fat for frying this and nobody minded",
        "a lady told me you could put stock cubes in instead of the thyme and stock cubes are nothing but salt",
    ],
)
def test_a_food_that_others_use_is_no_alternative_though_words_of_offering_stand_beside_it(sentence):
    rules, offered = alternatives(sentence)
    assert "alternative.unlikely" in rules
    assert not offered


def test_every_weight_is_of_a_sign_that_is_read():
    table, classes = FoodTable.load(), load_classes()
    heard = hear(transcript(f"{BEFORE} // {AFTER}"))
    signs = FoodSigns(table, classes)
    talk = signs.talk(heard, Outliner(classes, table).outline(heard).dishes)
    read = {sign for mentions in by_food(heard).values() for sign in signs.of(talk, mentions)}
    kinds = ("group.", "rule.", "scope.", "status.", "first.", "last.", "left:", "right:", "before:", "after:")
    rows = [row for name in ("food_signs.csv", "alternative_signs.csv") for row in load_rows(name, ("id", "weight"))]
    assert [row["id"] for row in rows if row["id"] not in read and not row["id"].startswith(kinds)] == []


def test_no_weight_tells_that_salt_is_talk():
    assert load_sign_weights("food_signs.csv").get("group.salt", 0) >= 0


def test_a_dish_is_not_low_in_salt_for_certain_while_a_salted_food_may_have_gone_in():
    def verdicts(name):
        recipe = doubted("this dish is low in sodium", name)
        claims = [claim for claim in recipe.claims if claim.sense == "low"]
        told = recipe.model_copy(update={"claims": tuple(claims)})
        return {check.verdict for check in claims_of(told, FoodTable.load(), names=spoken_names())}

    assert verdicts("apples") == {"borne out"}
    assert verdicts("stock cubes") == {"depends on the portion"}
