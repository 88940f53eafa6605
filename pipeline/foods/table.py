"""The food table: figures per 100 g edible part of every food, from data/foods/foods.csv."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline.foods.faults import Faults, number, rows
from pipeline.resources import data_path

if TYPE_CHECKING:
    import pandas as pd

FACTS = ("id", "name", "group", "ndb", "class", "fluid", "phosphorus", "tags")
NUTRIENTS = (
    "water_g", "energy_kcal", "protein_g", "fat_g", "saturated_g", "carbohydrate_g", "sugar_g", "fibre_g",
    "sodium_mg", "potassium_mg", "phosphorus_mg", "calcium_mg", "magnesium_mg",
)  # fmt: skip
COLUMNS = (*FACTS, *NUTRIENTS, "refuse_pct", "source")


@dataclass(frozen=True, slots=True)
class Food:
    """One food. `figures` are per 100 g edible part under the names of NUTRIENTS (g, mg or kcal as the name says);
    None is not known. `refuse_pct` is the share of the food as bought that is not eaten, 0 to 100."""

    id: str
    name: str
    group: str
    ndb: str
    class_: str
    fluid: bool
    phosphorus: str
    tags: frozenset[str]
    figures: Mapping[str, float | None] = field(hash=False)
    refuse_pct: float | None
    source: str

    @property
    def known(self) -> bool:
        """Whether any figure is known."""
        return any(value is not None for value in self.figures.values())


class FoodTable:
    """Foods by id, sorted by id. Immutable after it is made."""

    def __init__(self, foods: Iterable[Food]) -> None:
        self._foods = {food.id: food for food in sorted(foods, key=lambda food: food.id)}

    @classmethod
    def load(cls, path: Path | None = None, *, own: Path | None = None) -> FoodTable:
        """Read the table (default data/foods/foods.csv); foods of the folder `own`, as `foods import` writes it, come
        on top: they add to the table or stand in the place of its rows. Raises RulesError that lists all faults."""
        foods = read_foods(path or data_path("foods", "foods.csv"))
        if own is not None and (own / "foods.csv").is_file():
            foods |= read_foods(own / "foods.csv")
        return cls(foods.values())

    def get(self, food_id: str) -> Food | None:
        """The food with that id, or None."""
        return self._foods.get(food_id)

    def __iter__(self) -> Iterator[Food]:
        return iter(self._foods.values())

    def __len__(self) -> int:
        return len(self._foods)

    def __contains__(self, food_id: object) -> bool:
        return food_id in self._foods

    def frame(self) -> pd.DataFrame:
        """The figures as a data frame of floats: rows food ids, columns NUTRIENTS, NaN not known."""
        import pandas as pd

        records = [[food.figures[nutrient] for nutrient in NUTRIENTS] for food in self]
        return pd.DataFrame(records, index=pd.Index(self._foods, name="food"), columns=list(NUTRIENTS), dtype=float)


def read_foods(path: Path) -> dict[str, Food]:
    """The foods of one file by id. Raises RulesError that lists all faults with file, line and column."""
    faults = Faults()
    foods: dict[str, Food] = {}
    for line, cells in rows(path, COLUMNS, faults):
        food = _food(cells, path.name, line, faults)
        if food.id in foods:
            faults.add(path.name, line, "id", f"{food.id!r} stands here twice")
        foods[food.id] = food
    faults.raise_any()
    return foods


def _food(cells: list[str], file: str, line: int, faults: Faults) -> Food:
    food_id, name, group, ndb, class_, fluid, phosphorus, tags = cells[: len(FACTS)]
    for column, text in (("id", food_id), ("name", name), ("group", group), ("class", class_)):
        if not text:
            faults.add(file, line, column, "is empty")
    if fluid not in {"yes", "no"}:
        faults.add(file, line, "fluid", f"{fluid!r}, expected yes or no")
    values = [
        number(text, file=file, line=line, column=column, faults=faults)
        for column, text in zip(NUTRIENTS, cells[len(FACTS) :], strict=False)
    ]
    refuse_text, source = cells[-2:]
    refuse = number(refuse_text, file=file, line=line, column="refuse_pct", faults=faults, high=100)
    if not source and any(value is not None for value in values):
        faults.add(file, line, "source", "is empty, but there are figures")
    return Food(
        id=food_id,
        name=name,
        group=group,
        ndb=ndb,
        class_=class_,
        fluid=fluid == "yes",
        phosphorus=phosphorus,
        tags=frozenset(tags.split()),
        figures=dict(zip(NUTRIENTS, values, strict=True)),
        refuse_pct=refuse,
        source=source,
    )
