"""What a question finds, and what it does not."""

import json

import pytest

from pipeline.audit.tables import default_tables
from pipeline.errors import StoreError
from pipeline.shelf.alike import alike
from pipeline.shelf.drafting import Task, Tools
from pipeline.shelf.finding import find, recipe_named, record_of
from pipeline.shelf.question import Question
from pipeline.shelf.reports import audits, flags, food_counts, trends
from pipeline.shelf.store import writing
from pipeline.shelf.words import (
    QuestionError,
    Span,
    foods_of,
    nutrients_of,
    parse_bound,
    parse_date,
    parse_heat,
    parse_nutrient,
    parse_time,
)

from .kitchen import add, dish, episode, record_task

STEW, CAKE, SORBET, BITES, BROTH = "lemon stew", "plain cake", "apple sorbet", "nut bites", "odd broth"
ALL = {STEW, CAKE, SORBET, BITES, BROTH}


def titles(store, **asked):
    return [hit.title for hit in find(store, Question(**asked), limit=20).hits]


def bound(store, text):
    return parse_bound(text, nutrients_of(store))


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (("lemon",), [STEW]),
        (("lemons",), [STEW]),
        (("stew", "salmon"), [STEW]),
        (("lemon stew",), [STEW]),
        (("stew lemon",), []),
        (("dragon",), [BROTH]),
        (("cook",), [BROTH, BITES, SORBET, CAKE, STEW]),
        (("garden",), [STEW]),
        (('"',), []),
        (("NOT", "AND"), []),
        ((), [BROTH, BITES, SORBET, CAKE, STEW]),
    ],
)
def test_words_are_sought_in_title_foods_method_and_speech(shelf, words, found):
    assert sorted(titles(shelf, words=words)) == sorted(found)


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("salmon", {STEW}),
        ("fish", {STEW}),
        ("butter", {STEW, CAKE}),
        ("dairy", {STEW, CAKE, BITES}),
        ("eggs", {CAKE}),
        ("nuts", {BITES}),
        ("dragon", {BROTH}),
        ("dragon root", {BROTH}),
    ],
)
def test_a_food_is_found_by_its_names_and_groups_and_left_out_by_them(shelf, word, found):
    foods = (foods_of(shelf, word),)
    assert set(titles(shelf, having=foods)) == found
    assert set(titles(shelf, lacking=foods)) == ALL - found


def test_what_only_holds_a_food_is_left_out_without_it_and_not_found_with_it(shelf):
    add(shelf, record_task(episode(dish("dip of salt"), file="dip.txt")))
    shelf.run("UPDATE recipe_food SET food = (SELECT id FROM food WHERE key = 'mayonnaise') WHERE recipe = 6")
    eggs = (foods_of(shelf, "egg"),)
    assert "dip" not in titles(shelf, having=eggs)
    assert "dip" not in titles(shelf, lacking=eggs)


def test_an_unknown_food_is_named_with_those_near_it(shelf):
    with pytest.raises(QuestionError, match=r"no food or group of foods is called 'samlon'; near it are .*salmon"):
        foods_of(shelf, "samlon")


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"under": "potassium=201"}, {SORBET, CAKE}),
        ({"under": "potassium=200"}, {CAKE}),
        ({"under": "potassium=201", "likely": True}, {SORBET, CAKE}),
        ({"under": "potassium=330", "likely": True}, {SORBET, CAKE, STEW}),
        ({"under": "potassium=9999"}, {SORBET, CAKE, STEW, BITES}),
        ({"over": "potassium=159"}, {STEW, BITES, BROTH}),
        ({"over": "potassium=160"}, {BITES, BROTH}),
        ({"over": "potassium=160", "per": 0}, {BITES, BROTH, STEW}),
        ({"over": "potassium=160", "per": 2}, {BROTH}),
    ],
)
def test_a_bound_holds_for_the_whole_range_unless_the_likely_value_is_asked_for(shelf, asked, found):
    bounds = {key: (bound(shelf, asked[key]),) for key in ("under", "over") if key in asked}
    rest = {key: value for key, value in asked.items() if key not in bounds}
    assert set(titles(shelf, **bounds, **rest)) == found


def test_many_recipes_and_few_are_found_by_the_same_conditions(shelf, monkeypatch):
    asked = {"under": (bound(shelf, "potassium=700"),), "having": (foods_of(shelf, "dairy"),), "words": ("cook",)}
    few = titles(shelf, **asked)
    monkeypatch.setattr("pipeline.shelf.question._FEW", 0)
    assert set(few) == {STEW, CAKE}
    assert titles(shelf, **asked) == few


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"heat": "175..190C"}, {STEW}),
        ({"heat": "..400F"}, {STEW, CAKE}),
        ({"heat": "200C"}, {CAKE}),
        ({"time": "..45min"}, {STEW}),
        ({"time": "1..2h"}, {CAKE}),
        ({"since": "2024"}, {CAKE}),
        ({"until": "2023-02"}, {STEW}),
        ({"since": "2023-02-01", "until": "2024-06-10"}, {STEW, CAKE}),
        ({"reviewed": True}, {SORBET, BITES, BROTH}),
    ],
)
def test_heat_time_date_and_review(shelf, asked, found):
    parse = {"heat": parse_heat, "time": parse_time, "since": parse_date, "until": parse_date}
    assert set(titles(shelf, **{key: parse.get(key, bool)(value) for key, value in asked.items()})) == found


def test_the_order_is_that_of_the_upper_end_or_of_the_likely_value(shelf):
    potassium = parse_nutrient("potassium", nutrients_of(shelf))
    assert titles(shelf, sort=potassium) == [CAKE, SORBET, STEW, BITES, BROTH]
    assert titles(shelf, sort=potassium, descending=True) == [BROTH, BITES, STEW, SORBET, CAKE]
    assert titles(shelf, sort=potassium, likely=True, words=("cook",)) == [CAKE, SORBET, STEW, BITES, BROTH]


def test_a_hit_tells_its_place_in_the_recording_and_when_the_words_were_said(shelf):
    (hit,) = find(shelf, Question(words=("garden",)), limit=5).hits
    assert (hit.file, hit.date) == ("monday-2023-02-01.txt", "2023-02-01")
    assert (hit.start, hit.stop, hit.said) == (60, 121, 120)
    (cake,) = find(shelf, Question(words=("plain",)), limit=5).hits
    assert cake.said == 60


def test_an_answer_tells_that_there_are_more(shelf):
    assert find(shelf, Question(), limit=4).more
    assert not find(shelf, Question(), limit=5).more


def test_an_open_range_has_no_upper_end(shelf):
    (hit,) = find(shelf, Question(words=("dragon",)), limit=5).hits
    assert [(one.nutrient.label, one.low, one.open) for one in hit.load] == [("potassium", 500, True)]


@pytest.mark.parametrize("text", ["..", "C", "190..175C", "175..190K", "a..bC", "175 190C", ""])
def test_what_is_no_heat_is_refused(text):
    with pytest.raises(QuestionError):
        parse_heat(text)


@pytest.mark.parametrize(
    ("text", "span"),
    [("..45min", Span(None, 2700)), ("1.5h", Span(5400, 5400)), ("30..40 minutes", Span(1800, 2400)), ("1d..", None)],
)
def test_times_are_read_in_the_units_that_are_spoken(text, span):
    if span is None:
        assert parse_time("1..d") == Span(86400, None)
    else:
        assert parse_time(text) == span


@pytest.mark.parametrize("text", ["potassium", "potassium=", "potassium=x", "potassium<3", "kryptonite=3", "salt=3"])
def test_what_is_no_bound_is_refused(shelf, text):
    with pytest.raises(QuestionError):
        bound(shelf, text)


def test_a_recipe_is_named_by_number_id_file_or_title(shelf):
    names = ("3", "apple-sorbet", "pilot.txt/apple-sorbet", "Apple Sorbet")
    assert {recipe_named(shelf, name) for name in names} == {3}
    with pytest.raises(StoreError, match=r"there is no recipe 'other.txt/apple-sorbet'"):
        recipe_named(shelf, "other.txt/apple-sorbet")
    add(shelf, record_task(episode(dish("apple sorbet of apple and milk"), file="again.txt")))
    with pytest.raises(StoreError, match=r"2 recipes are called 'apple-sorbet': say which by number: 3 .*, 6 "):
        recipe_named(shelf, "apple-sorbet")


def test_a_record_comes_back_whole(shelf):
    given = episode(dish("milk rice of milk", servings=None), file="whole.txt", reviewed=True)
    add(shelf, record_task(given))
    assert type(given).model_validate_json(record_of(shelf, recipe_named(shelf, "milk-rice"))) == given


def test_alike_means_the_same_foods_and_a_similar_load(shelf):
    add(
        shelf,
        record_task(episode(dish("rich cake of egg and butter"), dish("fish pie of salmon", 90.0), file="more.txt")),
    )
    found = alike(shelf, recipe_named(shelf, CAKE), limit=2)
    assert [one.hit.title for one in found] == ["rich cake", STEW]
    assert found[0].likeness > 0.6 > found[1].likeness
    assert found[1].shared == ("salted butter",)


def test_foods_are_counted_over_recipes_and_episodes(shelf):
    first = food_counts(shelf, limit=1)[0]
    assert (first.name, first.recipes, first.episodes) == ("salted butter", 2, 2)


def test_trends_go_by_date_and_put_what_has_none_last(shelf):
    rows = list(trends(shelf, parse_nutrient("potassium", nutrients_of(shelf)), per=1, each="year"))
    assert [(row.when, row.recipes, row.best, row.open) for row in rows] == [
        ("2023", 1, 320, 0),
        ("2024", 1, 80, 0),
        ("no date", 3, pytest.approx((100 + 350 + 1000) / 3), 1),
    ]


def test_an_audit_lists_the_findings_of_its_rule(shelf):
    known = {audit.name: audit for audit in audits()}
    (stop,) = flags(shelf, known["stop"])
    assert (stop.title, stop.moment, stop.rule, stop.reviewed) == (CAKE, 60.0, "hidden-sodium", False)
    assert list(flags(shelf, known["claims"])) == []
    shelf.run("UPDATE recipe_finding SET rule = 'claim.not-borne-out'")
    assert [flag.title for flag in flags(shelf, known["claims"])] == [CAKE]


def test_a_dish_whose_inner_heat_was_not_said_is_listed_by_the_audit_of_it(tmp_path):
    chicken = (
        b"[00:01] today we cook chicken thighs\n[00:09] roast the two chicken thighs in the oven at 400 for an hour\n"
    )
    for name, content, count in (("a", chicken, 1), ("b", chicken + b"[00:20] cook them to 165 inside\n", 0)):
        with writing(tmp_path / name, make=True) as store:
            add(store, Task("x.txt", "x.txt", content=content), tools=Tools())
            assert store.one("SELECT count(*) FROM recipe") == 1
            (internal,) = [audit for audit in audits() if audit.name == "internal"]
            assert len(list(flags(store, internal))) == count


def test_every_audit_asks_for_a_rule_that_there_is():
    settings = {f"audit.{rule}" for rule in default_tables().rules}
    verdicts = {"claim.borne-out", "claim.not-borne-out"}
    assert {audit.rules for audit in audits()} <= settings | verdicts | {"*"}


def test_the_record_is_json_that_others_can_read(shelf):
    assert json.loads(record_of(shelf, 1))["source"]["file"] == "monday-2023-02-01.txt"
