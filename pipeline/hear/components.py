"""The listening steps as spaCy components over one `Doc` an episode.

Each adds a span group of its own name to `doc.spans` (the label of a span is the rule that read it) and its typed
mentions to `doc.user_data`, where the next ones find them. The order is that of models/speech.cfg.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from spacy.language import Language
from spacy.tokens import Doc, Span

from pipeline.foods.names import spoken_names
from pipeline.foods.table import FoodTable
from pipeline.hear.attach import AmountBinder
from pipeline.hear.claims import ClaimReader
from pipeline.hear.clauses import ClauseFinder
from pipeline.hear.durations import DurationReader
from pipeline.hear.ellipsis import EllipsisFiller
from pipeline.hear.foods import FoodFinder, fill_unknown
from pipeline.hear.hearing import Hearing
from pipeline.hear.heat import HeatReader
from pipeline.hear.kitchen import KitchenJudge
from pipeline.hear.lexicon import load_classes, load_rows
from pipeline.hear.numbers import number_reader
from pipeline.hear.placed import InOrder, Placed
from pipeline.hear.poured import PouredFinder
from pipeline.hear.quantities import QuantityReader
from pipeline.hear.renamed import fill_renamed, rename_called
from pipeline.hear.replies import ReplyFinder
from pipeline.hear.scopes import ScopeFinder, cover
from pipeline.hear.servings import ServingsReader
from pipeline.hear.usage import UsageJudge

KEY = "stillroom"
Component = Callable[[Doc], Doc]


def _add(doc: Doc, name: str, mentions: Iterable[Placed]) -> None:
    found = InOrder(mentions)
    doc.user_data[KEY][name] = found
    doc.spans[name] = [Span(doc, item.start, item.end, label=item.rule) for item in found]


def _words(items: Iterable[Placed]) -> frozenset[int]:
    return frozenset(place for item in items for place in range(item.start, item.end))


def _heated(state: Mapping[str, Any]) -> frozenset[int]:
    """The words of temperatures, with those that were taken back."""
    return _words(state["heats"]) | _words([taken.span for taken in state["heats_taken_back"]])


@Language.factory("stillroom_clauses", assigns=["doc.user_data"])
def clauses(nlp: Language, name: str) -> Component:
    """Clauses and sentences of the speech."""
    finder = ClauseFinder(load_classes())

    def component(doc: Doc) -> Doc:
        state = doc.user_data[KEY]
        state["clauses"] = finder.find(state["speech"])
        return doc

    return component


@Language.factory("stillroom_foods", assigns=["doc.spans"])
def foods(nlp: Language, name: str) -> Component:
    """Foods by name, with what only sounds like one."""
    classes = load_classes()
    names = spoken_names()
    finder = FoodFinder(names, classes)
    filler = EllipsisFiller(classes, names)

    def component(doc: Doc) -> Doc:
        state = doc.user_data[KEY]
        speech = state["speech"]
        state["sayings"] = finder.sayings(speech)
        found = rename_called(speech, finder.find(speech, state["sayings"]))
        _add(doc, "foods", filler.fill(speech, found))
        return doc

    return component


@Language.factory("stillroom_durations", assigns=["doc.spans"])
def durations(nlp: Language, name: str) -> Component:
    """Lengths of time."""
    reader = DurationReader(number_reader(), load_classes())

    def component(doc: Doc) -> Doc:
        state = doc.user_data[KEY]
        _add(doc, "durations", reader.find(state["speech"], state["clauses"], _words(state["foods"])))
        return doc

    return component


@Language.factory("stillroom_heats", assigns=["doc.spans"])
def heats(nlp: Language, name: str) -> Component:
    """Temperatures, after whose kitchen this is has been judged."""
    reader = HeatReader(number_reader(), load_classes())
    judge = KitchenJudge()

    def component(doc: Doc) -> Doc:
        state = doc.user_data[KEY]
        speech = state["speech"]
        state["kitchen"] = judge.kitchen(speech)
        state["told_else"] = _words(state["foods"]) | _words(state["durations"])
        state["home_unit"] = "F" if state["kitchen"] == "us" else "C"
        found = reader.find(speech, state["told_else"], home_unit=state["home_unit"])
        _add(doc, "heats", found.standing)
        state["heats_taken_back"] = found.taken_back
        state["figures_moved"] = found.moved
        return doc

    return component


@Language.factory("stillroom_quantities", assigns=["doc.spans"])
def quantities(nlp: Language, name: str) -> Component:
    """Amounts, and the food that each belongs to."""
    classes = load_classes()
    reader = QuantityReader(number_reader(), classes)
    counted = {row["class"] for row in load_rows("counted_classes.csv", ("class",))}
    units = {row["word"] for row in load_rows("units.csv", ("word", "unit", "kind"))}
    nutrients = {row["words"] for row in load_rows("nutrients.csv", ("words", "nutrient"))}
    not_foods = frozenset(classes["not-a-food"]) | frozenset(classes["kind-alone"]) | units | nutrients
    binder = AmountBinder(classes, frozenset(food.id for food in FoodTable.load() if food.class_ in counted))

    def component(doc: Doc) -> Doc:
        state = doc.user_data[KEY]
        blocked = frozenset(place for food in state["foods"] for place in range(food.head, food.end))
        blocked |= _words(state["durations"]) | _heated(state)
        blocked |= _words([saying.span for saying in state["sayings"]])
        _add(doc, "quantities", reader.find(state["speech"], blocked))
        found = fill_renamed(state["speech"], state["foods"], state["quantities"], not_foods)
        found = fill_unknown(state["speech"], found, state["quantities"], not_foods)
        if len(found) > len(state["foods"]):
            _add(doc, "foods", found)
        state["measured"] = binder.bind(state["speech"], state["foods"], state["quantities"])
        return doc

    return component


@Language.factory("stillroom_servings", assigns=["doc.spans"])
def servings(nlp: Language, name: str) -> Component:
    """How many a dish feeds."""
    reader = ServingsReader(number_reader(), load_classes())

    def component(doc: Doc) -> Doc:
        state = doc.user_data[KEY]
        blocked = _words(state["foods"]) | _words(state["durations"]) | _heated(state)
        _add(doc, "servings", reader.find(state["speech"], state["clauses"], blocked))
        state["tied"] = reader.tied(state["speech"], state["clauses"], blocked, state["servings"])
        return doc

    return component


@Language.factory("stillroom_scopes", assigns=["doc.spans"])
def scopes(nlp: Language, name: str) -> Component:
    """Stretches in which foods are only spoken of."""
    classes = load_classes()
    finder, poured, replies = ScopeFinder(classes), PouredFinder(classes), ReplyFinder(classes)

    def component(doc: Doc) -> Doc:
        state = doc.user_data[KEY]
        speech, foods, measured = state["speech"], state["foods"], state["measured"]
        found = [*finder.find(speech, state["clauses"], foods, measured), *poured.find(speech, state["clauses"], foods)]
        found += replies.find(speech, foods, measured)
        found.sort(key=lambda scope: (scope.cue_start, scope.cue_end))
        _add(doc, "scopes", found)
        state["over"] = cover(len(state["speech"]), state["scopes"])
        return doc

    return component


@Language.factory("stillroom_claims", assigns=["doc.spans"])
def claims(nlp: Language, name: str) -> Component:
    """Remarks on what a food holds."""
    reader = ClaimReader(load_classes())

    def component(doc: Doc) -> Doc:
        state = doc.user_data[KEY]
        _add(doc, "claims", reader.find(state["speech"], state["clauses"], state["foods"]))
        return doc

    return component


@Language.factory("stillroom_usage", assigns=["doc.user_data"])
def usage(nlp: Language, name: str) -> Component:
    """What becomes of each food."""
    judge = UsageJudge(load_classes())

    def component(doc: Doc) -> Doc:
        state = doc.user_data[KEY]
        state["usages"] = judge.judge(
            state["speech"], state["clauses"], state["foods"], state["measured"], state["over"], state["claims"]
        )
        return doc

    return component


def hearing_of(doc: Doc) -> Hearing:
    """The typed mentions that the components left in a document."""
    state: dict[str, Any] = doc.user_data[KEY]
    return Hearing(
        speech=state["speech"],
        clauses=state["clauses"],
        kitchen=state["kitchen"],
        foods=state["foods"],
        heads=tuple([food.head for food in state["foods"]]),
        usages=state["usages"],
        sayings=state["sayings"],
        in_sayings=_words([saying.span for saying in state["sayings"]]),
        quantities=state["quantities"],
        measured=state["measured"],
        scopes=state["scopes"],
        over=state["over"],
        times=state["durations"],
        heats=state["heats"],
        heats_taken_back=state["heats_taken_back"],
        figures_moved=state["figures_moved"],
        claims=state["claims"],
        servings=state["servings"],
        tied=state["tied"],
    )
