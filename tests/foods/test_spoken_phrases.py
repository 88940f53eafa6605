"""Spoken names of foods in phrases written down before anybody looked at the lists of names.

`spoken_phrases.csv`, `kitchen_phrases.csv`: a phrase as a speech recogniser prints it, the food wanted in plain words,
the ids of the table that are that food (empty where it has none, or where the phrase is no food at all), the kitchen
and the kind of form.
A match: every food heard is one of these ids, and one is heard; for a phrase that is no food, none is heard. A wrong
match: another food is heard. No match: none is heard, though the phrase is a food.

    .venv/bin/python -m tests.foods.test_spoken_phrases

prints the figures and each miss; README.md beside this file keeps the first figures and the present ones.
"""

from __future__ import annotations

from collections import Counter

import pytest

from pipeline.foods.names import spoken_names
from pipeline.foods.table import FoodTable
from pipeline.hear.ellipsis import EllipsisFiller
from pipeline.hear.foods import FoodFinder
from pipeline.hear.lexicon import load_classes
from pipeline.hear.speech import listen
from pipeline.read.transcript import Line, Transcript

from .conftest import read

MATCH, WRONG, NONE = "match", "wrong match", "no match"
FLOORS = {"kitchen_phrases.csv": (0.93, 0.07), "spoken_phrases.csv": (0.97, 0.01)}  # least matches, most wrong ones


class Ear:
    """Foods of one sentence, found as the program finds them."""

    def __init__(self) -> None:
        classes = load_classes()
        names = spoken_names()
        self._filler = EllipsisFiller(classes, names)
        self._finder = FoodFinder(names, classes)

    def foods(self, sentence: str) -> tuple[str, ...]:
        speech = listen(Transcript("phrase", "0" * 64, "plain", (Line(1, 0.0, 4.0, sentence),)))
        spans = self._finder.find(speech, self._finder.sayings(speech))
        return tuple(span.food for span in self._filler.fill(speech, spans))


def sentence(row: dict[str, str]) -> str:
    """What is said: a food is added, anything else stands in a sentence of its own."""
    return f"add {row['phrase']}" if row["wanted"] else row["phrase"]


def verdict(row: dict[str, str], heard: tuple[str, ...]) -> str:
    accepted = set(row["food"].split())
    if not heard:
        return NONE if row["wanted"] else MATCH
    return MATCH if accepted.issuperset(heard) else WRONG


def verdicts(file: str) -> list[tuple[dict[str, str], tuple[str, ...], str]]:
    ear = Ear()
    heard = [(row, ear.foods(sentence(row))) for row in read(file)]
    return [(row, foods, verdict(row, foods)) for row, foods in heard]


@pytest.mark.parametrize("file", sorted(FLOORS))
def test_spoken_phrases_are_heard_as_the_food_that_is_meant(file: str) -> None:
    judged = verdicts(file)
    least_matches, most_wrong = FLOORS[file]
    count = Counter(kind for _, _, kind in judged)
    misses = [f"{row['phrase']}: {kind} {' '.join(foods)}" for row, foods, kind in judged if kind != MATCH]
    assert count[MATCH] >= least_matches * len(judged), misses
    assert count[WRONG] <= most_wrong * len(judged), misses


@pytest.mark.parametrize("row", read("run_on_commands.csv"), ids=lambda row: row["sentence"])
def test_a_command_or_a_colour_after_a_food_makes_it_no_tool_and_no_wall(row: dict[str, str]) -> None:
    assert " ".join(Ear().foods(row["sentence"])) == row["heard"]


def test_phrases_are_listed_once_and_accept_foods_of_the_table(table: FoodTable) -> None:
    rows = [row for file in FLOORS for row in read(file)]
    assert len({row["phrase"] for row in rows}) == len(rows)
    known = {food.id for food in table}
    assert [row["phrase"] for row in rows if not known.issuperset(row["food"].split())] == []


def main() -> None:
    judged = [judgement for file in FLOORS for judgement in verdicts(file)]
    for row, foods, kind in judged:
        if kind != MATCH:
            heard, wanted = " ".join(foods) or "-", row["food"] or row["wanted"] or "-"
            print(f"{kind:11}  {row['phrase']}: {heard} (wanted {wanted})")
    for group, is_food in (("foods", True), ("no foods", False)):
        count = Counter(kind for row, _, kind in judged if bool(row["wanted"]) is is_food)
        print(f"{group}: {count.total()}, " + ", ".join(f"{kind} {count[kind]}" for kind in (MATCH, WRONG, NONE)))


if __name__ == "__main__":
    main()
