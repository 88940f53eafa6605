"""Sets the weights of `models/food_signs.csv`: `make weights`, or `python -m tests.compose.fit_foods --help`.

Each food of each episode with answers is a case: its signs, and whether it is the food that stands best for one of the
ingredients of the answers. The weights are those of a logistic regression with a penalty on large weights, rounded. Of
the words beside a food, which are thousands, those are taken that tell most beside the signs taken so far, a hundred in
each round; a word counts only if it is heard in many talks.
"""

from __future__ import annotations

import argparse
import csv
import io
import json
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pipeline.compose.food_signs import FoodSigns, by_food
from pipeline.foods.table import FoodTable
from pipeline.hear.ear import hear
from pipeline.hear.lexicon import load_classes
from pipeline.read import read_file
from pipeline.split.dishes import stem
from pipeline.split.outline import Outliner
from tests.openings.talks import EPISODES

MODELS = Path(__file__).parents[2] / "models" / "food_signs.csv"
CUES = ("left:", "right:", "before:", "after:")
ROUNDS, EACH_ROUND = 3, 100
LEAST_TALKS, LEAST_TALKS_OF_CUE = 15, 25
PENALTY = 5.0
STEPS = 12
LEAST_WEIGHT = 0.05
# A talk about kidneys says of salt over and over that none goes in: no weight may tell that salt itself is talk.
NEVER = frozenset({"group.salt"})
SAME, SAME_HEAD, WITHIN, LIKE = 1.0, 0.8, 0.6, 0.6
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Case:
    """A food of one talk: its signs, and whether it goes in."""

    talk: str
    signs: Mapping[str, float]
    goes_in: bool


def cases(answers: Path, signs: FoodSigns, outliner: Outliner) -> list[Case]:
    """The foods of one episode."""
    answer = json.loads(answers.read_text(encoding="utf-8"))
    hearing = hear(read_file(answers.parent / answer["transcript"]))
    talk = signs.talk(hearing, outliner.outline(hearing).dishes)
    foods = by_food(hearing)
    names = {food: {hearing.foods[at].name for at in mentions} for food, mentions in foods.items()}
    going: set[str] = set()
    for ingredient in (one for dish in answer["dishes"] for one in dish["ingredients"]):
        accepted = [ingredient["name"], *ingredient.get("also", [])]
        close = {
            food: max(_closeness(one, name) for one in named for name in accepted) for food, named in names.items()
        }
        best = max(close.values(), default=0.0)
        going |= {food for food, value in close.items() if value == best >= LIKE}
    return [Case(answers.name, signs.of(talk, mentions), food in going) for food, mentions in foods.items()]


def _closeness(name: str, other: str) -> float:
    """1 for the same words, less where one has fewer words than the other, most where their nouns are the same."""
    one, two = ([stem(word) for word in text.lower().replace("-", " ").split()] for text in (name, other))
    if not one or not two or not (set(one) <= set(two) or set(two) <= set(one)):
        return 0.0
    if sorted(one) == sorted(two):
        return SAME
    return SAME_HEAD if one[-1] == two[-1] else WITHIN


def fit(found: Sequence[Case]) -> dict[str, float]:
    """The weight of every sign that counts."""
    heard = {(case.talk, sign) for case in found for sign, value in case.signs.items() if value}
    talks = Counter(sign for _, sign in heard)
    answer = np.array([float(case.goes_in) for case in found])
    told = {sign for sign, count in talks.items() if not sign.startswith(CUES) and count >= LEAST_TALKS}
    chosen = sorted(told - NEVER)
    cues = sorted(sign for sign, count in talks.items() if sign.startswith(CUES) and count >= LEAST_TALKS_OF_CUE)
    worth = _worth(found, cues)
    for _ in range(ROUNDS):
        doubt = answer - _chance(_table(found, chosen), _weights(_table(found, chosen), answer))
        left = [(cue, value) for cue, value in zip(cues, worth(doubt), strict=True) if cue not in chosen]
        chosen += [cue for cue, _ in sorted(left, key=lambda one: -one[1])[:EACH_ROUND]]
    weights = _weights(_table(found, chosen), answer)
    return {sign: float(weight) for sign, weight in zip(chosen, weights, strict=True)}


def _worth(found: Sequence[Case], cues: Sequence[str]) -> Callable[[Floats], Floats]:
    """For what is left in doubt of each case, how much each cue tells of it."""
    number = {cue: at for at, cue in enumerate(cues)}
    told = ((at, sign, value) for at, case in enumerate(found) for sign, value in case.signs.items())
    cells = [(at, number[sign], value) for at, sign, value in told if sign in number]
    rows, columns, values = (np.array(part) for part in zip(*cells, strict=True))

    def worth(doubt: Floats) -> Floats:
        size = len(cues)
        slope = np.bincount(columns, weights=values * doubt[rows], minlength=size)
        spread = np.bincount(columns, weights=values**2 * (np.abs(doubt) * (1 - np.abs(doubt)))[rows], minlength=size)
        return np.asarray(np.abs(slope) / np.sqrt(spread + PENALTY))

    return worth


def _table(found: Sequence[Case], signs: Sequence[str]) -> Floats:
    return np.array([[case.signs.get(sign, 0.0) for sign in signs] for case in found], dtype=np.float64)


def _chance(table: Floats, weights: Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-table @ weights)))


def _weights(table: Floats, answer: Floats) -> Floats:
    weights = np.zeros(table.shape[1])
    for _ in range(STEPS):
        chance = _chance(table, weights)
        slope = table.T @ (chance - answer) + PENALTY * weights
        bend = (table.T * (chance * (1 - chance))) @ table + PENALTY * np.eye(table.shape[1])
        weights -= np.linalg.solve(bend, slope)
    return weights


def written(weights: Mapping[str, float]) -> str:
    """The weights as the file holds them, without those that are next to nothing."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("id", "weight"))
    writer.writerows((sign, f"{value:.2f}") for sign, value in sorted(weights.items()) if abs(value) >= LEAST_WEIGHT)
    return out.getvalue()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="store the weights in models/food_signs.csv")
    options = parser.parse_args()
    table, classes = FoodTable.load(), load_classes()
    signs, outliner = FoodSigns(table, classes), Outliner(classes, table)
    found = [case for path in sorted(EPISODES.glob("*.gold.json")) for case in cases(path, signs, outliner)]
    text = written(fit(found))
    if options.write:
        MODELS.write_text(text, encoding="utf-8")
    else:
        print(text, end="")


if __name__ == "__main__":
    main()
