"""Sets the weights of `models/food_signs.csv` and `alternative_signs.csv`: `make weights`, or
`python -m tests.compose.fit_foods --help`.

Each food of each episode with answers is a case: its signs, and whether it is the food that stands best for one of the
ingredients of the answers, or of their alternatives and for no ingredient. The weights are set as `tests/fitting.py`
says, and rounded.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path

from pipeline.compose.food_signs import FoodSigns, by_food
from pipeline.foods.table import FoodTable
from pipeline.hear.ear import hear
from pipeline.hear.lexicon import load_classes
from pipeline.read import read_file
from pipeline.split.outline import Outliner
from tests.answers import called
from tests.fitting import Case, Plan, fit, written
from tests.openings.talks import EPISODES

MODELS = Path(__file__).parents[2] / "models"
TABLES = ("food_signs.csv", "alternative_signs.csv")
# A talk about kidneys says of salt over and over that none goes in: no weight may tell that salt itself is talk.
PLAN = Plan(15, 25, 3, 100, 5.0, never=frozenset({"group.salt"}))


def cases(answers: Path, signs: FoodSigns, outliner: Outliner) -> Iterator[tuple[Case, Case]]:
    """Each food of one episode, with whether it goes in, and with whether it only may stand in for another."""
    answer = json.loads(answers.read_text(encoding="utf-8"))
    hearing = hear(read_file(answers.parent / answer["transcript"]))
    talk = signs.talk(hearing, outliner.outline(hearing).dishes)
    foods = by_food(hearing)
    names = {food: {hearing.foods[at].name for at in mentions} for food, mentions in foods.items()}
    lines = [line for dish in answer["dishes"] for line in dish["ingredients"]]
    going = {food for line in lines for food in called(names, [line["name"], *line.get("also", [])])}
    offered = {food for line in lines for name in line.get("alternatives", []) for food in called(names, [name])}
    for food, mentions in foods.items():
        told = signs.of(talk, mentions)
        yield Case(answers.name, told, food in going), Case(answers.name, told, food in offered - going)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="store the weights in models/")
    options = parser.parse_args()
    table, classes = FoodTable.load(), load_classes()
    signs, outliner = FoodSigns(table, classes), Outliner(classes, table)
    found = [case for path in sorted(EPISODES.glob("*.gold.json")) for case in cases(path, signs, outliner)]
    for name, told in zip(TABLES, zip(*found, strict=True), strict=True):
        text = written(fit(told, PLAN))
        if options.write:
            (MODELS / name).write_text(text, encoding="utf-8")
        else:
            print(f"{name}\n{text}", end="")


if __name__ == "__main__":
    main()
