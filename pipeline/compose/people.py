"""Names of the people who are in the kitchen, so that they stay out of the method."""

from __future__ import annotations

from pipeline.foods.names import spoken_names
from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.hear.speech import Speech


class PeopleFinder:
    """Compiled frames in which people are named, and the words that are none of their names."""

    def __init__(self, classes: Classes) -> None:
        self._frames = load_phrases("name_frames.csv", ("id", "pattern", "place"), classes)
        self._foods = spoken_names()
        verbs = {row["form"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))}
        self._known = verbs.union(*(words for name, words in classes.items() if name != "any"))

    def find(self, speech: Speech) -> frozenset[str]:
        """Names that are said in a frame, `Ana says`, and those of the speakers, in lower case."""
        found = {line.speaker.lower() for line in speech.transcript.lines if line.speaker}
        for match in self._frames.everywhere(speech.words):
            place = match.start - 1 if match.payload["place"] == "before" else match.end
            if 0 <= place < len(speech):
                found.add(speech.words[place])
        return frozenset(name for name in found - self._known if self._foods.lookup(name) is None)
