"""Sets the weights of `models/food_signs.csv` and `alternative_signs.csv`: `make weights`, or
`python -m tests.compose.fit_foods --help`.

Each food of each episode with answers is a case: its signs, and whether it is the food that stands best for one of the
ingredients of the answers, or of their alternatives and for no ingredient. The weights are set as `tests/fitting.py`
says, and rounded.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator, Mapping, Sequence, Set
from pathlib import Path

from pipeline.compose.food_signs import FoodSigns, by_food
from pipeline.foods.table import FoodTable
from pipeline.hear.ear import hear
from pipeline.hear.lexicon import load_classes
from pipeline.read import read_file
from pipeline.split.dishes import stem
from pipeline.split.outline import Outliner
from tests.fitting import Case, Plan, fit, written
from tests.openings.talks import EPISODES

MODELS = Path(__file__).parents[2] / "models"
TABLES = ("food_signs.csv", "alternative_signs.csv")
# A talk about kidneys says of salt over and over that none goes in: no weight may tell that salt itself is talk.
PLAN = Plan(15, 25, 3, 100, 5.0, never=frozenset({"group.salt"}))
SAME, SAME_HEAD, WITHIN, LIKE = 1.0, 0.8, 0.6, 0.6


def cases(answers: Path, signs: FoodSigns, outliner: Outliner) -> Iterator[tuple[Case, Case]]:
    """Each food of one episode, with whether it goes in, and with whether it only may stand in for another."""
    answer = json.loads(answers.read_text(encoding="utf-8"))
    hearing = hear(read_file(answers.parent / answer["transcript"]))
    talk = signs.talk(hearing, outliner.outline(hearing).dishes)
    foods = by_food(hearing)
    names = {food: {hearing.foods[at].name for at in mentions} for food, mentions in foods.items()}
    lines = [line for dish in answer["dishes"] for line in dish["ingredients"]]
    going = {food for line in lines for food in _called(names, [line["name"], *line.get("also", [])])}
    offered = {food for line in lines for name in line.get("alternatives", []) for food in _called(names, [name])}
    for food, mentions in foods.items():
        told = signs.of(talk, mentions)
        yield Case(answers.name, told, food in going), Case(answers.name, told, food in offered - going)


def _called(names: Mapping[str, Set[str]], accepted: Sequence[str]) -> set[str]:
    """The foods whose names stand best for any of those accepted; none where none is like them."""
    close = {food: max(_closeness(one, name) for one in named for name in accepted) for food, named in names.items()}
    best = max(close.values(), default=0.0)
    return {food for food, value in close.items() if value == best >= LIKE}


def _closeness(name: str, other: str) -> float:
    """1 for the same words, less where one has fewer words than the other, most where their nouns are the same."""
    one, two = ([stem(word) for word in text.lower().replace("-", " ").split()] for text in (name, other))
    if not one or not two or not (set(one) <= set(two) or set(two) <= set(one)):
        return 0.0
    if sorted(one) == sorted(two):
        return SAME
    return SAME_HEAD if one[-1] == two[-1] else WITHIN


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
