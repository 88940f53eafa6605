"""Whose spoons and degrees these are, by the episode's own words."""

from __future__ import annotations

from pipeline.hear.lexicon import load_rows
from pipeline.hear.speech import Speech


class KitchenJudge:
    """Words that give a kitchen away, each with a weight, from models/kitchen_words.csv."""

    def __init__(self) -> None:
        rows = load_rows("kitchen_words.csv", ("word", "kitchen", "weight"))
        self._weights = {row["word"]: (row["kitchen"], int(row["weight"])) for row in rows}

    def kitchen(self, speech: Speech) -> str:
        """`british` where its words outweigh those of the United States, else `us`."""
        balance = 0
        for word in self._weights.keys() & speech.places.keys():
            kitchen, weight = self._weights[word]
            times = len(speech.places[word])
            balance += weight * times if kitchen == "british" else -weight * times
        return "british" if balance > 0 else "us"
