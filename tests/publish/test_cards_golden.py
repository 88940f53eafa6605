"""The cards of one small record, held against stored ones. `make golden` stores them anew: read the difference."""

import os
from functools import partial
from pathlib import Path

import pytest

from pipeline.publish import card_html, card_markdown, card_text

GOLDEN = Path(__file__).parent / "golden"
CARDS = {"card.md": card_markdown, "card.txt": partial(card_text, width=72), "card.html": card_html}


@pytest.mark.parametrize("name", sorted(CARDS))
def test_a_card_is_the_stored_one(name, episode):
    stored = GOLDEN / name
    made = CARDS[name](episode)
    if os.environ.get("UPDATE_GOLDEN"):
        stored.write_text(made, encoding="utf-8")
    assert made == stored.read_text(encoding="utf-8")
