"""Another dish beside the only one that was found: named more than once, and a fair share of the foods goes into it."""

import csv
from pathlib import Path

import pytest

from pipeline.draft import drafted
from pipeline.read import read_bytes

ROWS = list(csv.DictReader(Path(__file__).with_name("other_dishes.csv").open(encoding="utf-8")))


@pytest.mark.parametrize("row", ROWS, ids=[row["answer"] for row in ROWS])
def test_another_dish_is_one_that_the_talk_follows_for_its_share_of_the_foods(row):
    lines = "\n".join(f"[{line}" for line in row["text"].split("[") if line)
    outline = drafted(read_bytes(f"{lines}\n".encode(), "talk.md")).outline
    assert "; ".join(dish.title for dish in outline.dishes) == row["answer"]
