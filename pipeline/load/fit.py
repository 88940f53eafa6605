"""What would make a dish fit: the fewest changes that bring its likely values under every target.

An integer programme. For every line one way is chosen, as it is or one of its options, and for the dish one size of
portion; as the limits bind the portion, the limit on the whole dish is that of a serving times the servings it makes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pipeline.foods.table import FoodTable
from pipeline.load.lines import BEST, TOTALS, Array
from pipeline.load.options import Kind, Option, changes, options_of
from pipeline.load.plate import Portion
from pipeline.load.targets import Limit
from pipeline.load.total import at_least

_SLACK = 1e-6


@dataclass(frozen=True, slots=True)
class Change:
    """One change in words, with the likely amounts a serving before it and after it, the changes above it made."""

    kind: Kind
    words: str
    source: str
    before: Mapping[str, float]
    after: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Fit:
    """The changes in the order to make them, none where none is needed or `found` is false.

    `before` and `after` are likely amounts a serving of the nutrients that have a target, `most` and `least` the
    limits they were held to. `lowest` is what each could be brought to alone. `remarks` say what was left aside.
    """

    found: bool
    changes: tuple[Change, ...]
    before: Mapping[str, float]
    after: Mapping[str, float]
    most: Mapping[str, float]
    least: Mapping[str, float]
    lowest: Mapping[str, float]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Task:
    now: Array  # (n, m) likely amounts of the lines as written, nought where not known
    options: tuple[Option, ...]
    sizes: tuple[float, ...]
    servings: float
    most: Mapping[str, float]
    least: Mapping[str, float]

    @property
    def nutrients(self) -> tuple[str, ...]:
        return tuple(name for name in TOTALS if name in self.most or name in self.least)

    def a_serving(self, amounts: Array, size: float) -> dict[str, float]:
        whole = amounts.sum(axis=0) * size / self.servings
        return {name: float(whole[TOTALS.index(name)]) for name in self.nutrients}


def fit_of(portion: Portion, table: FoodTable, limits: Sequence[Limit]) -> Fit:
    """The fewest changes that bring the likely values of one serving under `limits`.

    Of several figures for one nutrient the tightest binds. A lower limit binds only where the dish meets it as it is,
    since the list only takes away.
    """
    now = np.nan_to_num(portion.lines.amounts()[BEST])
    most, least = _bounds(limits)
    before = now.sum(axis=0) / portion.servings.best
    short = tuple(name for name in least if before[TOTALS.index(name)] < least[name] - _SLACK)
    kept = {name: value for name, value in least.items() if name not in short}
    options = _known(options_of(portion.lines, table), (*most, *kept))
    task = _Task(now, options, (1.0, *changes().portions), portion.servings.best, most, kept)
    chosen = _solved(task)
    steps, after = _steps(task, chosen) if chosen is not None else ((), task.a_serving(now, 1.0))
    return Fit(
        found=chosen is not None,
        changes=steps,
        before=task.a_serving(now, 1.0),
        after=after,
        most=most,
        least=kept,
        lowest=_lowest(task),
        remarks=_remarks(portion, task, short),
    )


def _bounds(limits: Sequence[Limit]) -> tuple[dict[str, float], dict[str, float]]:
    most: dict[str, float] = {}
    least: dict[str, float] = {}
    for limit in limits:
        name = limit.target.nutrient
        if limit.at_most is not None:
            most[name] = min(most.get(name, limit.at_most[0]), limit.at_most[0])
        if limit.at_least is not None:
            least[name] = max(least.get(name, limit.at_least), limit.at_least)
    return most, least


def _known(options: Sequence[Option], nutrients: Sequence[str]) -> tuple[Option, ...]:
    """The options whose figures of all `nutrients` are known: what is not known is not less."""
    places = [TOTALS.index(name) for name in nutrients]
    return tuple(option for option in options if not np.isnan(option.amounts[places]).any())


def _solved(task: _Task) -> Array | None:
    """The chosen columns, 0 or 1: the options, then the sizes; None where nothing does."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    columns = len(task.options) + len(task.sizes)
    matrix, low, high = _constraints(task)
    found = milp(
        _costs(task),
        integrality=np.ones(columns, dtype=np.int64),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(matrix, low, high),
        options={"mip_rel_gap": 0.0},
    )
    if found.x is None:
        return None
    chosen: Array = np.round(found.x)
    return chosen


def _costs(task: _Task) -> Array:
    """One for every change, and a part of one that never adds up to a change: the cost, then the place in the list."""
    parts = len(task.now) + 2
    costs = [1 + (option.cost + 1e-4 * place / parts) / parts for place, option in enumerate(task.options)]
    portion = changes().cost["portion"]
    sizes = [0.0 if size == 1 else 1 + portion * (1 - size) / parts for size in task.sizes]
    return np.array([*costs, *sizes])


def _constraints(task: _Task) -> tuple[Array, Array, Array]:
    """Rows of the programme: one way a line, one size, and every limit on the whole dish, scaled to the limit."""
    options, count = task.options, len(task.options)
    columns = count + len(task.sizes)
    one_way = np.zeros((len(task.now) + 1, columns))
    for column, option in enumerate(options):
        one_way[option.place, column] = 1
    one_way[-1, count:] = 1
    low = [*[0.0] * len(task.now), 1.0]
    rows, lows, highs = [one_way], [np.array(low)], [np.ones(len(low))]
    for sign, bounds in ((1.0, task.most), (-1.0, task.least)):
        for name, bound in bounds.items():
            place = TOTALS.index(name)
            scale = bound * task.servings or 1.0
            row = np.zeros((1, columns))
            row[0, :count] = [sign * (option.amounts[place] - task.now[option.place, place]) for option in options]
            row[0, count:] = [-sign * bound * task.servings / size for size in task.sizes]
            rows.append(row / scale)
            lows.append(np.array([-np.inf]))
            highs.append(np.array([-sign * task.now[:, place].sum() / scale + _SLACK]))
    return np.concatenate(rows), np.concatenate(lows), np.concatenate(highs)


def _steps(task: _Task, chosen: Array) -> tuple[tuple[Change, ...], dict[str, float]]:
    amounts = task.now.copy()
    before = task.a_serving(amounts, 1.0)
    steps = []
    for column in np.flatnonzero(chosen[: len(task.options)]):
        option = task.options[column]
        amounts[option.place] = np.nan_to_num(option.amounts)
        after = task.a_serving(amounts, 1.0)
        steps.append(Change(option.kind, option.words, option.source, before, after))
        before = after
    size = task.sizes[int(np.flatnonzero(chosen[len(task.options) :])[0])]
    if size != 1:
        after = task.a_serving(amounts, size)
        steps.append(Change("portion", f"a smaller portion: {size:.0%} of it", "", before, after))
        before = after
    return tuple(steps), before


def _lowest(task: _Task) -> dict[str, float]:
    """What each nutrient with an upper limit could be brought to, were it the only one that counts."""
    found = {}
    for name in task.most:
        place = TOTALS.index(name)
        lines = task.now[:, place].copy()
        for option in task.options:
            lines[option.place] = min(lines[option.place], option.amounts[place])
        found[name] = float(lines.sum()) * min(task.sizes) / task.servings
    return found


def _remarks(portion: Portion, task: _Task, short: Sequence[str]) -> tuple[str, ...]:
    remarks = [f"{_word(name)} is below its lower figure; no change in the list raises it" for name in short]
    unknown = [name for name in at_least(portion.lines) if name in task.nutrients]
    if unknown:
        remarks.append(f"a figure not known may raise {', '.join(map(_word, unknown))}, whatever is changed")
    if portion.assumed:
        remarks.append(f"nobody said how many it serves; {portion.servings.best:g} is assumed")
    return tuple(remarks)


def _word(name: str) -> str:
    return name.rpartition("_")[0].replace("_", " ")
