"""What each ingredient line brings of a nutrient, by the reckoning of the load."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from pipeline.foods.table import Food, FoodTable
from pipeline.load.constants import formulas
from pipeline.load.lines import BEST, HIGH, LOW, TOTALS, Lines, lines_of
from pipeline.record import Ingredient, Range, Recipe, Step


@dataclass(frozen=True, slots=True)
class Portions:
    """Number of servings to reckon with; `assumed` where the recording gives none."""

    count: Range
    assumed: bool


@dataclass(frozen=True, slots=True)
class Loads:
    """What each line brings to the whole recipe: ranges by nutrient, by the id of the line."""

    by_line: Mapping[str, Mapping[str, Range]]

    def of(self, line: Ingredient, nutrient: str) -> Range | None:
        """The range in the unit of `nutrient`; None where the food, the weight or the figure is not known."""
        return self.by_line.get(line.id, {}).get(nutrient)

    def whole(self, nutrient: str) -> Range:
        """The sum over the lines that are known."""
        return together(figures.get(nutrient) for figures in self.by_line.values())


def loads_of(ingredients: Sequence[Ingredient], table: FoodTable, *, method: Sequence[Step] = ()) -> Loads:
    """What each of the ingredients brings, after cooking as `method` tells and without what is thrown away."""
    return loads_of_lines(lines_of(ingredients, table, method=method))


def loads_of_lines(lines: Lines) -> Loads:
    """As `loads_of`, of lines made before."""
    amounts = lines.amounts().tolist()
    return Loads(
        {
            line.id: {
                nutrient: Range(low=amounts[LOW][at][place], best=best, high=amounts[HIGH][at][place])
                for place, nutrient in enumerate(TOTALS)
                if (best := amounts[BEST][at][place]) == best
            }
            for at, line in enumerate(lines.ingredients)
        }
    )


def portions_of(recipe: Recipe) -> Portions:
    """The servings of the recipe, else those the load assumes."""
    said = recipe.servings
    if said is not None:
        return Portions(Range(low=said.low, best=said.best, high=said.high), said.basis == "assumed")
    return Portions(formulas().assumed_servings, True)


def food_of(line: Ingredient, table: FoodTable) -> Food | None:
    """The food of the line, None where none was matched or the table no longer has it."""
    return table.get(line.food.id) if line.food else None


def together(parts: Iterable[Range | None]) -> Range:
    """The sum of the ranges that are known."""
    known = [part for part in parts if part is not None]
    return Range(
        low=sum(part.low for part in known),
        best=sum(part.best for part in known),
        high=sum(part.high for part in known),
    )


def shared(whole: Range, count: Range) -> Range:
    """A range for the recipe as one for a serving: the least over the most servings, and the other way round."""
    return Range(low=whole.low / count.high, best=whole.best / count.best, high=whole.high / count.low)
