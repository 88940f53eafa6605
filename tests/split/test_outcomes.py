"""What is told to feed so many or to keep so long, by the name it is told by."""

import csv
from pathlib import Path

import pytest

from pipeline.draft import hear
from pipeline.hear.lexicon import load_classes
from pipeline.read import read_bytes
from pipeline.split.outcomes import OutcomeReader

ROWS = list(csv.DictReader((Path(__file__).with_name("outcomes.csv")).open(encoding="utf-8")))


@pytest.mark.parametrize("row", ROWS, ids=[row["text"] for row in ROWS])
def test_what_feeds_so_many_or_keeps_is_found_by_its_name(row):
    hearing = hear(read_bytes(f"[0:00] {row['text']}\n".encode(), "talk.md"))
    words = hearing.speech.words
    told = OutcomeReader(load_classes()).find(hearing)
    assert "; ".join(" ".join(words[one.start : one.end]) for one in told) == row["answer"]
