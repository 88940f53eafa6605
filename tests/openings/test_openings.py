"""Which dishes short talks have, and which line is about which. The floors are a little below what was reached when
the weights were set: they catch a rule that breaks the others."""

from collections import Counter
from functools import cache

import pytest

from pipeline.draft import hear
from pipeline.foods.table import FoodTable
from pipeline.hear.lexicon import load_classes
from pipeline.split.dishes import stem
from pipeline.split.outline import Outliner
from tests.openings.fit import fit
from tests.openings.talks import Talk, short_talks

FLOORS = {"talks-c": (0.75, 0.6)}


@cache
def outliner() -> Outliner:
    return Outliner(load_classes(), FoodTable.load())


def found(talk: Talk) -> tuple[int, int, int, int]:
    """Dishes found rightly, found at all, lines given to the right dish, lines about a dish."""
    hearing = hear(talk.transcript)
    outline = outliner().outline(hearing)
    words = [{stem(word) for word in dish.title.split()} | dish.keywords for dish in outline.dishes]
    heads = [{stem(title.lower().split(" with ")[0].split()[-1]) for title in titles} for titles in talk.titles]
    of = {at: next((n for n, head in enumerate(heads) if head & said), None) for at, said in enumerate(words)}
    told = [Counter[int]() for _ in talk.lines]
    for place, topic in enumerate(outline.topics):
        told[hearing.speech.line[place]][topic.dish] += 1
    about = [(line, count.most_common(1)[0][0]) for line, count in zip(talk.lines, told, strict=True) if line]
    right = sum(of[dish] in line for line, dish in about)
    return len({n for n in of.values() if n is not None}), len(words), right, len(about)


@pytest.mark.parametrize("name", FLOORS)
def test_most_dishes_are_found_and_most_lines_go_to_the_right_one(name):
    talks = [talk for talk in short_talks() if talk.file == name]
    dishes, got, right, lines = map(sum, zip(*map(found, talks), strict=True))
    f1 = 2 * dishes / (got + sum(len(talk.titles) for talk in talks))
    least_f1, least_lines = FLOORS[name]
    assert f1 >= least_f1
    assert right / lines >= least_lines


def test_a_sign_that_only_dishes_have_gets_a_weight_above_one_that_only_others_have():
    cases = [({"dish": 1.0}, 1.0, 1.0)] * 20 + [({"food": 1.0}, 0.0, 1.0)] * 20
    weights, _ = fit(cases)
    assert weights["dish"] > 0 > weights["food"]
    assert weights["served"] == pytest.approx(0, abs=1e-9)
