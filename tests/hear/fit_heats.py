"""Sets the weights of `models/heat_signs.csv`: `make weights`, or `python -m tests.hear.fit_heats --help`.

Each figure without a unit of each episode with answers is a case: the signs round it, and whether the answers hold that
temperature, told thereabouts. Where they hold it from elsewhere in the talk, the figure is a case only if a rule takes
it for a temperature, and then counts as one. One that is taken back at once is no case, as some answers hold it and
some do not. The weights are set as `tests/fitting.py` says, and rounded.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path

from spacy.tokens import Doc

from pipeline.hear.components import KEY, number_reader
from pipeline.hear.ear import load_ear
from pipeline.hear.heat import HeatReader
from pipeline.hear.heat_signs import signs_of
from pipeline.hear.heat_tables import HeatTables
from pipeline.hear.lexicon import load_classes
from pipeline.hear.speech import Speech, listen
from pipeline.read import read_file
from tests.fitting import Case, Plan, fit, written
from tests.openings.talks import EPISODES

MODELS = Path(__file__).parents[2] / "models" / "heat_signs.csv"
PLAN = Plan(10, 12, 3, 80, 1.5)
THEREABOUTS = 9.0


def cases(answers: Path, reader: HeatReader, tables: HeatTables) -> Iterator[Case]:
    """The figures of one episode."""
    answer = json.loads(answers.read_text(encoding="utf-8"))
    told = [(heat["value"], heat["at"]) for dish in answer["dishes"] for heat in dish.get("temperatures", [])]
    speech, blocked, home = _heard(answers.parent / answer["transcript"])
    read, figures, unit = reader.bare_figures(speech, blocked, home_unit=home)
    _, taken_back = reader.corrected.part(speech.words, read)
    unsure = {taken.span.start for taken in taken_back}
    for bare in (one for one in figures if one.figure.start not in unsure):
        at = speech.line_at(bare.figure.start).start
        held = [abs(said - at) < THEREABOUTS for value, said in told if value == bare.figure.high]
        if any(held) or not held or bare.span is not None:
            yield Case(answers.name, signs_of(speech.words, bare, unit, tables), bool(held))


def _heard(transcript: Path) -> tuple[Speech, frozenset[int], str]:
    """The speech, the words that are no temperature, and the unit of the kitchen, as far as they are known when
    temperatures are read."""
    nlp = load_ear()
    speech = listen(read_file(transcript))
    doc = Doc(nlp.vocab, words=list(speech.raw))
    doc.user_data[KEY] = {"speech": speech}
    for _, component in nlp.pipeline:
        doc = component(doc)
        if "heats" in doc.user_data[KEY]:
            break
    state = doc.user_data[KEY]
    return speech, state["told_else"], state["home_unit"]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="store the weights in models/heat_signs.csv")
    options = parser.parse_args()
    reader, tables = HeatReader(number_reader(), load_classes()), HeatTables.load()
    found = [case for path in sorted(EPISODES.glob("*.gold.json")) for case in cases(path, reader, tables)]
    text = written(fit(found, PLAN))
    if options.write:
        MODELS.write_text(text, encoding="utf-8")
    else:
        print(text, end="")


if __name__ == "__main__":
    main()
