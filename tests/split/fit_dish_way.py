"""Sets `models/dish_way.csv` and `food_company.csv`: `make weights`, or `python -m tests.split.fit_dish_way --help`.

Of each talk with answers in which the program finds more than one dish, be they the right ones or not, it is known of
which dish a clause is where an ingredient, a temperature or a time of the answers is said in it. The company that foods
keep is counted in the dishes of the answers; for the weights, in those of other talks than the one they are set on.
"""

from __future__ import annotations

import argparse
import csv
import io
import json
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from itertools import combinations, product
from math import log
from pathlib import Path
from typing import Any

from pipeline.foods.table import FoodTable
from pipeline.hear.ear import hear
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import load_classes
from pipeline.read import read_file
from pipeline.split.company import Company, Traits
from pipeline.split.dish_signs import ClauseSigns, DishSigns, Followed
from pipeline.split.dishes import Dish
from pipeline.split.outline import Outliner
from pipeline.split.signs import Signs
from tests.answers import called, noun_of
from tests.chains import Chain, fit
from tests.fitting import written
from tests.openings.talks import EPISODES

MODELS = Path(__file__).parents[2] / "models"
FOLDS, PENALTY, LEAST = 8, 1.0, 10
# Words tell of turning that stand in so many clauses.
LEAST_WORD = 500
# A pair counts that is told so many times, of words said in so many dishes, and that tells so much; a few more of
# either kind are added to all.
LEAST_PAIRS, LEAST_NOUN, LEAST_WORTH, SHRUNK = 8, 20, 0.4, 3.0
Worth = dict[tuple[str, str], float]


@dataclass(frozen=True)
class Case:
    """A talk: how it was heard and followed at first, the dish of clauses of which it is known, and the foods of each
    dish of its answers."""

    hearing: Hearing
    followed: Followed | None
    known: Mapping[int, int]
    dishes: Sequence[frozenset[Traits]]


def case(answers: Path, outliner: Outliner, company: Company) -> Case:
    """One episode; `followed` is None where the program finds one dish, or none of those there are."""
    answer = json.loads(answers.read_text(encoding="utf-8"))
    hearing = hear(read_file(answers.parent / answer["transcript"]))
    names = {food.name: {food.name} for food in hearing.foods}
    traits = {food.name: company.traits(food) for food in hearing.foods}
    meant = [
        [called(names, [line["name"], *line.get("also", [])]) for line in dish["ingredients"]]
        for dish in answer["dishes"]
    ]
    dishes = [frozenset(traits[name] for one in foods for name in one) for foods in meant]
    outline = outliner.outline(hearing)
    number = _meant(outline.dishes, answer["dishes"])
    if len(outline.dishes) == 1 or not any(at is not None for at in number):
        return Case(hearing, None, {}, dishes)
    followed = outliner.followed(hearing, outline)
    told: dict[int, set[int | None]] = {}
    for at, dish in enumerate(answer["dishes"]):
        for place in _told_of(hearing, dish, meant[at]):
            told.setdefault(bisect_right(followed.starts, place) - 1, set()).add(number[at])
    certain = {clause: dish for clause, (dish, *others) in told.items() if not others}
    return Case(hearing, followed, {clause: dish for clause, dish in certain.items() if dish is not None}, dishes)


def _meant(found: Sequence[Dish], answered: Sequence[Mapping[str, Any]]) -> list[int | None]:
    """For each dish of the answers the number of the one found that goes by one of its nouns; where one alone is left
    on either side, they are taken to be the same; None where none is."""
    nouns = [{noun_of(title) for title in (dish["title"], *dish.get("also", []))} for dish in answered]
    own = [[at for at, dish in enumerate(found) if dish.head in noun or noun_of(dish.title) in noun] for noun in nouns]
    number = [at[0] if len(at) == 1 else None for at in own]
    left = set(range(len(found))) - set(number)
    if number.count(None) == len(left) == 1 and len(found) == len(answered):
        number[number.index(None)] = left.pop()
    return number


def _told_of(hearing: Hearing, dish: Mapping[str, Any], meant: Sequence[set[str]]) -> Iterator[int]:
    """The words of the foods, temperatures and times of a dish, by the lines in which the answers say they are."""
    for line, names in zip(dish["ingredients"], meant, strict=True):
        foods = (food for food in hearing.foods if food.name in names)
        yield from (food.head for food in foods if _starts(hearing, food.head) == _second(line))
    for kind, spans in (("temperatures", hearing.heats), ("times", hearing.times)):
        at = {_second(item) for item in dish.get(kind, [])}
        yield from (span.start for span in spans if _starts(hearing, span.start) in at)


def _starts(hearing: Hearing, place: int) -> float:
    return round(hearing.speech.line_at(place).start, 1)


def _second(said: Mapping[str, Any]) -> float:
    """The second in which the line begins; -1 where the answers do not tell."""
    return round(said["at"], 1) if said.get("at") is not None else -1


def company_of(cases: Sequence[Case]) -> Worth:
    """How much oftener two nouns or groups stand in one dish than in two of one talk, as a logarithm."""
    together, apart, heard = Counter[tuple[str, str]](), Counter[tuple[str, str]](), Counter[str]()
    for one in cases:
        for dish in one.dishes:
            heard.update(trait for food in dish for trait in food)
            together.update(pair for two in combinations(sorted(dish), 2) for pair in _pairs(*two))
        for dish, other in combinations(one.dishes, 2):
            apart.update(pair for two in product(dish, other) for pair in _pairs(*two))
    share = together.total() / (together.total() + apart.total())
    usual = log(share / (1 - share))
    found: Worth = {}
    for pair in together.keys() | apart.keys():
        if together[pair] + apart[pair] < LEAST_PAIRS or any(heard[trait] < LEAST_NOUN for trait in pair):
            continue
        worth = log((together[pair] + SHRUNK * share) / (apart[pair] + SHRUNK * (1 - share))) - usual
        if abs(worth) >= LEAST_WORTH:
            found[pair] = round(worth, 1)
    return found


def _pairs(food: Traits, other: Traits) -> Iterator[tuple[str, str]]:
    for one, two in product(food, other):
        if one and two:
            yield (one, two) if one < two else (two, one)


def chains(cases: Sequence[Case], table: FoodTable, signs: Signs) -> list[Chain]:
    """What tells of the dish in each talk of which dishes are known, with the company that foods keep in others."""
    told: list[tuple[Sequence[ClauseSigns], Mapping[int, int]]] = []
    for fold in range(FOLDS):
        others = [one for at, one in enumerate(cases) if at % FOLDS != fold]
        dish_signs = DishSigns(Company(table, company_of(others)), signs)
        for one in cases[fold::FOLDS]:
            if one.followed is not None:
                told.append((dish_signs.of(one.hearing, one.followed), one.known))
    words = Counter(sign for clauses, _ in told for clause in clauses for sign in clause.turning if _is_word(sign))
    rare = {word for word, count in words.items() if count < LEAST_WORD}
    return [_chain(clauses, known, rare) for clauses, known in told]


def _chain(clauses: Sequence[ClauseSigns], known: Mapping[int, int], rare: Set[str]) -> Chain:
    turning = [{sign: value for sign, value in clause.turning.items() if sign not in rare} for clause in clauses]
    return Chain([clause.dishes for clause in clauses], [clause.turned_to for clause in clauses], turning, known)


def _is_word(sign: str) -> bool:
    return sign.startswith(("turn.word.", "turn.after."))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="store the weights in models/")
    options = parser.parse_args()
    table = FoodTable.load()
    classes = load_classes()
    outliner = Outliner(classes, table)
    cases = [case(path, outliner, Company(table, {})) for path in sorted(EPISODES.glob("*.gold.json"))]
    weights = fit(chains(cases, table, Signs(classes)), penalty=PENALTY, least=LEAST)
    texts = {"dish_way.csv": written(weights), "food_company.csv": _company_written(company_of(cases))}
    for name, text in texts.items():
        if options.write:
            (MODELS / name).write_text(text, encoding="utf-8")
        else:
            print(f"{name}\n{text}", end="")


def _company_written(worth: Worth) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("id", "weight"))
    writer.writerows(sorted((" + ".join(pair), f"{value:.1f}") for pair, value in worth.items()))
    return out.getvalue()


if __name__ == "__main__":
    main()
