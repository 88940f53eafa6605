"""Sets the weights of `models/menu.toml`: `make weights`, or `python -m tests.openings.fit --help`.

Each candidate of the talks and episodes with answers is a case: its signs, and whether it is the noun of one of the
dishes. The weights are those of a logistic regression with a small penalty on large weights, rounded to tenths. A noun
of a dish's title that is not its head counts little against a candidate, as the program drops it beside that dish.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from pipeline.draft import hear
from pipeline.foods.table import FoodTable
from pipeline.hear.lexicon import load_classes
from pipeline.split.dishes import stem
from pipeline.split.menu_signs import SIGNS
from pipeline.split.outline import Outliner
from tests.answers import noun_of
from tests.openings.talks import Talk, episodes, short_talks

MODELS = Path(__file__).parents[2] / "models" / "menu.toml"
PENALTY = 3.0
NEAR = 0.3
ROUNDS = 40
BAR = -0.3
SURE, TRUSTED, PROMISED, BEYOND = 0.4, 0.9, -1.0, 1.8
Case = tuple[dict[str, float], float, float]


def cases(talk: Talk, outliner: Outliner) -> list[Case]:
    """Signs, 1 for the noun of a dish and 0 for another, and how much the case counts."""
    hearing = hear(talk.transcript)
    heads = [{noun_of(title) for title in titles} for titles in talk.titles]
    words = {stem(word) for titles in talk.titles for title in titles for word in title.lower().split()}
    named = {stem(item.head) for item in outliner.announced(hearing)}
    open_heads = {head for dish in heads if dish.isdisjoint(named) for head in dish}
    found: list[Case] = []
    for candidate, told in outliner.candidates(hearing):
        if candidate.name not in named:
            is_dish = candidate.name in open_heads
            found.append((dict(told), float(is_dish), NEAR if candidate.name in words and not is_dish else 1.0))
    return found


def fit(found: Sequence[Case]) -> tuple[dict[str, float], float]:
    """The weight of every sign, and what is added to all."""
    signs = np.array([[*(told.get(sign, 0.0) for sign in SIGNS), 1.0] for told, _, _ in found])
    answer, count = np.array([case[1] for case in found]), np.array([case[2] for case in found])
    weights, penalty = np.zeros(len(SIGNS) + 1), np.array([*[PENALTY] * len(SIGNS), 1e-6])
    for _ in range(ROUNDS):
        chance = 1 / (1 + np.exp(-signs @ weights))
        slope = signs.T @ (count * (chance - answer)) + penalty * weights
        bend = (signs * (count * chance * (1 - chance))[:, None]).T @ signs + np.diag(penalty)
        weights -= np.linalg.solve(bend, slope)
    return {sign: float(weight) for sign, weight in zip(SIGNS, weights, strict=False)}, float(weights[-1])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="store the weights in models/menu.toml")
    options = parser.parse_args()
    outliner = Outliner(load_classes(), FoodTable.load())
    weights, constant = fit([case for talk in (*short_talks(), *episodes()) for case in cases(talk, outliner)])
    bars = {
        "enough": BAR,
        "sure": BAR + SURE,
        "trusted": BAR + TRUSTED,
        "promised": BAR + PROMISED,
        "beyond": BAR + BEYOND,
    }
    values = {name: bar - constant for name, bar in bars.items()} | weights
    kept = MODELS.read_text(encoding="utf-8").splitlines()
    lines = [
        f"{name} = {round(values[name], 1) + 0.0:g}" if (name := line.split(" = ")[0]) in values else line
        for line in kept
    ]
    print("\n".join(lines))
    if options.write:
        MODELS.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
