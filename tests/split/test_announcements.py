"""What set phrases announce, before anything is told of the rest of the talk."""

import pytest

from pipeline.draft import hear
from pipeline.hear.lexicon import load_classes
from pipeline.read import read_bytes
from pipeline.split.titles import TitleReader

ASKED = {
    "they rang to know am i baking the buns for the raffle": [],
    "are we frying a doughnut again next door": [],
    "today we're frying a doughnut": ["doughnut"],
}


@pytest.mark.parametrize("text", ASKED)
def test_a_question_announces_no_dish(text):
    hearing = hear(read_bytes(f"[0:00] {text}\n".encode(), "talk.md"))
    assert [item.title for item in TitleReader(load_classes()).find(hearing)] == ASKED[text]
