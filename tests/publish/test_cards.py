"""What every card must hold, whatever its layout, and what no card may let through."""

from functools import partial
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from pipeline.hear.usage import _WHY_ORDER, SPOKEN
from pipeline.publish import card_html, card_markdown, card_text
from pipeline.publish.build import card_view
from pipeline.publish.reasons import reason, reason_words
from pipeline.record import Amount, Episode, Evidence, Question, Recipe, Review, Servings, Source
from pipeline.review.dietitian import content_hash

CARDS = [card_markdown, partial(card_text, width=100), card_html]
VOID = {"meta", "br", "hr", "link", "img", "input"}


def with_dishes(episode: Episode, *recipes: Recipe) -> Episode:
    return episode.model_copy(update={"recipes": recipes, "decisions": ()})


class Page(HTMLParser):
    """Collects the tags of a page and its text; fails on a tag closed out of order."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] != "style":
            self.words.append(data)

    def named(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.tags if name == tag]

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def reading(card, episode: Episode) -> str:
    made = card(episode)
    text = Page(made).text if card is card_html else made
    return " ".join(text.replace("\\", "").replace("*", "").split())


@pytest.mark.parametrize("card", CARDS, ids=["markdown", "text", "html"])
@pytest.mark.parametrize(
    "words",
    [
        "Not medical advice. Limits are individual",
        "Not yet reviewed by a dietitian.",
        "worked out, not said in so many words",
        "¾ cup (150 grams) pearl barley",
        "“a good glug” olive oil",
        "counted as about 14 g (9–28 g)",
        "amount not said",
        "optional",
        "or use bulgur or rice",
        "35 % does not reach the plate",
        "2–3 cloves garlic, crushed",
        "375 °F (191 °C), bake the marrow",
        "scale not said",
        "74 °C (165 °F)",
        "gas mark 5 (190 °C, 374 °F)",
        "25–30 minutes",
        "1½ hours",
        "already gone by when it was said",
        "at least 153",
        "67–346 or more",
        "98–249 or more",
        "four times in five",
        "phosphorus, plant, mg a serving",
        "share of phosphorus from additives and leavenings, 0 to 1 (figures missing)",
        "Left out, because a figure or a weight is not known: <b>gravy</b> & browning.",
        "barley: said to be low in potassium",
        "tomato sauce: said to be without added salt",
        "named to compare with",
        "Two baking times are spoken of",
        "Source: invented source A, table 2; invented source B",
        "Source: none given",
        "Which browning is it, and does it hold salt?",
        "No figures per serving: the number of servings is not known.",
        "7:10, 7:21",
        "N. Hale, 2026-05-03: asked the cook",
        "not carried out: there is no line 'leek'",
        "Decisions that belong to no dish here",
        "called Plum pie",
    ],
)
def test_every_card_says(card, words, episode):
    assert words in reading(card, episode)


@pytest.mark.parametrize("card", CARDS, ids=["markdown", "text", "html"])
def test_findings_that_stop_the_cook_stand_before_the_ingredients(card, episode):
    text = reading(card, episode).lower()
    assert text.index("stop: settle before") < text.index("ingredients") < text.index("worth knowing")


@pytest.mark.parametrize("card", CARDS, ids=["markdown", "text", "html"])
def test_an_episode_without_a_dish_still_carries_the_caution(card, episode):
    text = reading(card, with_dishes(episode))
    assert "No dish found" in text
    assert episode.caution in text


@pytest.mark.parametrize("card", CARDS, ids=["markdown", "text", "html"])
def test_a_dish_of_which_nothing_is_known_has_no_empty_headings(card, episode):
    text = reading(card, with_dishes(episode, Recipe(id="d", title="toast", start=0, end=9))).lower()
    assert "servings" in text
    for heading in ("ingredients", "method", "load", "still to ask", "temperatures", "left out"):
        assert heading not in text


HOSTILE = "<script>x</script> | *a* [b](c) `d` & # \\ _e_"


def test_words_from_the_recording_cannot_act_as_markup_on_the_page(episode):
    recipe = episode.recipes[0].model_copy(update={"title": HOSTILE})
    page = Page(card_html(with_dishes(episode, recipe)))
    assert page.named("script") == []
    assert HOSTILE in page.text


def test_words_from_the_recording_cannot_act_as_markup_in_markdown(episode):
    recipe = episode.recipes[0].model_copy(update={"title": HOSTILE})
    heading = card_markdown(with_dishes(episode, recipe)).splitlines()[0]
    assert heading == ("# \\<script\\>x\\</script\\> \\| \\*a\\* \\[b\\](c) \\`d\\` \\& \\# \\\\ \\_e\\_")


@pytest.mark.parametrize(
    ("text", "escaped"),
    [("1. stir", "1\\. stir"), ("- stir", "\\- stir"), ("1.5 cups", "1.5 cups"), ("2 eggs", "2 eggs")],
)
def test_a_step_that_looks_like_a_list_stays_a_sentence(text, escaped, episode):
    step = episode.recipes[1].method[0].model_copy(update={"text": text})
    recipe = episode.recipes[1].model_copy(update={"method": (step,)})
    assert f"\n1. {escaped} (" in card_markdown(with_dishes(episode, recipe))


@pytest.mark.parametrize("width", [40, 60, 100])
def test_no_line_of_the_text_card_is_wider_than_asked(width, episode):
    assert max(len(line) for line in card_text(episode, width).splitlines()) <= width


def test_the_page_needs_nothing_beside_it(episode):
    page = Page(card_html(episode))
    assert page.named("link") == page.named("img") == page.named("script") == []
    assert all(target["href"].startswith("#") for target in page.named("a"))


def test_the_page_has_one_main_heading_and_skips_no_level(episode):
    levels = [int(tag[1]) for tag, _ in Page(card_html(episode)).tags if tag in {"h1", "h2", "h3", "h4"}]
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_every_table_of_the_page_has_a_caption_and_every_heading_cell_a_scope(episode):
    page = Page(card_html(episode))
    assert len(page.named("caption")) == len(page.named("table")) == 6
    assert {cell.get("scope") for cell in page.named("th")} == {"row", "col"}


def test_ids_on_the_page_are_those_the_list_of_dishes_links_to(episode):
    page = Page(card_html(episode))
    assert [target["href"] for target in page.named("a")] == [f"#{dish['id']}" for dish in page.named("article")]


def test_ingredients_of_no_component_come_first_then_the_components_in_their_order(episode):
    groups = card_view(episode).dishes[0].groups
    assert [group.name for group in groups] == ["For the dish", "Filling", "Tomato sauce"]
    assert [group.name for group in card_view(episode).dishes[1].groups] == [""]


def test_no_ingredient_is_lost_where_its_component_is_not_listed(episode):
    recipe = episode.recipes[0].model_copy(update={"components": ("filling",)})
    (dish,) = card_view(with_dishes(episode, recipe)).dishes
    assert sum(len(group.ingredients) for group in dish.groups) == len(recipe.ingredients)


def test_times_are_in_order_and_each_stands_once(episode):
    said = tuple(Evidence(start=start, end=start, words="", rule="r") for start in (130, 65.2, 65.9))
    line = episode.recipes[1].ingredients[0].model_copy(update={"evidence": said})
    recipe = episode.recipes[1].model_copy(update={"ingredients": (line,)})
    (dish,) = card_view(with_dishes(episode, recipe)).dishes
    assert dish.groups[0].ingredients[0].at == "1:05, 2:10"


def test_a_folder_in_the_name_of_the_source_is_not_shown(episode):
    source = Source(file="some/where/show.srt", sha256="", format="srt", duration=1)
    assert card_view(episode.model_copy(update={"source": source})).file == "show.srt"


@pytest.mark.parametrize("card", CARDS, ids=["markdown", "text", "html"])
def test_a_review_is_told_and_so_is_one_that_the_recipes_have_outgrown(card, episode):
    review = Review(by="R. Ode", credential="RD", date="2026-05-04", content=content_hash(episode))
    reviewed = episode.model_copy(update={"review": review})
    assert "Reviewed by R. Ode, RD, on 2026-05-04." in reading(card, reviewed)
    assert "an earlier one was reviewed by R. Ode" in reading(card, with_dishes(reviewed, *episode.recipes[:1]))


@pytest.mark.parametrize("card", CARDS, ids=["markdown", "text", "html"])
def test_every_line_of_a_dish_has_its_place_in_the_recording_or_says_that_it_has_none(card, episode):
    recipe = episode.recipes[1]
    added = recipe.ingredients[0].model_copy(update={"name": "verjuice", "evidence": ()})
    asked = Question(text="Is it sour?", about="dish", effect="")
    changed = recipe.model_copy(update={"ingredients": (added,), "questions": (asked,)})
    text = reading(card, with_dishes(episode, changed))
    assert "not in the recording" in text[text.index("verjuice") :]
    assert "20:10–31:14" in text[text.index("Is it sour?") :]


def test_a_count_stands_before_the_weight_that_was_said_of_it(episode):
    weight = Amount(low=400, best=400, high=400, unit="gram", basis="said")
    count = Amount(low=1, best=1, high=1, unit="each", basis="said")
    line = episode.recipes[1].ingredients[0].model_copy(update={"amount": weight, "or_": count})
    recipe = episode.recipes[1].model_copy(update={"ingredients": (line,)})
    shown = card_view(with_dishes(episode, recipe)).dishes[0].groups[0].ingredients[0]
    assert (shown.amount, shown.second) == ("1", "400 grams")


def test_a_question_does_not_say_twice_what_follows(episode):
    asked = Question(text="How much leek? It is not counted.", about="i1", effect="It is not counted.")
    recipe = episode.recipes[1].model_copy(update={"questions": (asked,)})
    assert card_view(with_dishes(episode, recipe)).dishes[0].questions[0].detail == ""


def test_every_reason_that_the_hearing_gives_has_words_for_a_reader():
    given = {*_WHY_ORDER, SPOKEN, "a name", "claim", "dish", "doubted", "named and not used", "water to cook in"}
    assert given <= set(reason_words())
    assert reason("left out by N. Hale: misheard") == "left out by N. Hale: misheard"


@pytest.mark.parametrize("card", CARDS, ids=["markdown", "text", "html"])
def test_servings_that_a_person_gave_are_not_called_said(card, episode):
    given = Servings(low=5, best=5, high=5, basis="said")
    text = reading(card, with_dishes(episode, episode.recipes[1].model_copy(update={"servings": given})))
    assert "decided by a person, not said in the recording" in text
    assert "said in the recording" not in text.replace("not said in the recording", "")
