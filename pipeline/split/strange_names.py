"""Names of dishes that no list has, nicknames and words heard wrongly: `the stodge keeps till friday`."""

from __future__ import annotations

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows
from pipeline.split.dishes import places_by_stem, stem
from pipeline.split.nouns import Noun
from pipeline.split.outcomes import OutcomeReader
from pipeline.split.titles import TitleReader

_OFTEN = 3
_CLASSES = (
    "title-vessel vessel utensil person never-titled title-stop title-lead pronoun preposition meal finite-verb "
    "kept-in food-store title-dull size outcome-article outcome-stop outcome-bound pronoun-one"
)


class StrangeNames:
    """Compiled words that name no dish: known foods, dishes, vessels, persons, verbs, units and figures."""

    def __init__(self, titles: TitleReader, classes: Classes, outcomes: OutcomeReader) -> None:
        self._titles = titles
        self._outcomes = outcomes
        known = {word for name in _CLASSES.split() for word in classes[name]}
        known |= {row["form"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))}
        known |= {row["word"] for row in load_rows("units.csv", ("word", "unit", "kind"))}
        known |= {row["word"] for row in load_rows("numbers.csv", ("word", "value", "kind"))}
        known |= {row["words"] for row in load_rows("modifiers.csv", ("words", "kind"))}
        self._known = frozenset(map(stem, known))

    def find(self, hearing: Hearing) -> dict[str, list[Noun]]:
        """Names that are said to feed so many or to keep, and said often, by the singular; with all their places."""
        words, places = hearing.speech.words, places_by_stem(hearing)
        foods = {place for food in hearing.foods for place in range(food.start, food.end)}
        heads = {stem(words[head.end - 1]) for head in self._titles.heads(hearing)}
        told = {stem(words[one.end - 1]): one.end - 1 for one in self._outcomes.find(hearing) if one.the}
        return {
            name: [Noun(at, at + 1, "dish") for at in places[name]]
            for name, place in told.items()
            if name not in self._known | heads and place not in foods and len(places[name]) >= _OFTEN
        }
