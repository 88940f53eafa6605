"""What dishes are made of where their names do not say it: `bulgogi` is beef, `cawl` is lamb and leeks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache

from pipeline.hear.lexicon import Classes, load_rows
from pipeline.split.dishes import MAIN, Dish, Topic, stem

_LONGEST = 4
_SAME = 3
_MOSTLY = 0.6


class Makings:
    """The foods of `models/dish_foods.csv`, common practice of the kitchens the dishes come from."""

    def __init__(self, classes: Classes) -> None:
        self._foods = _of_dishes()
        self._cut = frozenset(classes["meat-group"]) | {"egg"}

    def of(self, dish: Dish, topic: Topic) -> frozenset[str]:
        """The foods of a dish, by the words of its names, or of a component, in the singular."""
        if topic.part != MAIN:
            return self.of_title(topic.part)
        return self.of_title(dish.title).union(*(self.of_words((word,)) for word in dish.keywords))

    def of_words(self, words: Sequence[str]) -> frozenset[str]:
        """The foods of a dish of that name."""
        return self._foods.get(tuple(map(stem, words)), frozenset())

    def of_title(self, title: str) -> frozenset[str]:
        """The foods of a dish of that title, without what comes with it."""
        names = _runs([stem(word) for word in title.split(" with ")[0].split()])
        return frozenset().union(*(self._foods.get(name, frozenset()) for name in names))

    def are_alike(self, title: str, other: str) -> bool:
        """Whether two titles are known to be made of the same: stuffed cabbage and golabki."""
        foods = self.of_title(title)
        same = foods & self.of_title(other)
        return len(same) >= max(_SAME, len(foods) * _MOSTLY)

    def holds(self, foods: frozenset[str], words: Sequence[str], group: str) -> bool:
        """Whether a spoken food of some words and a group is one of `foods`: pork shoulder is pork, egg noodles are no
        egg."""
        return words[-1] in foods or (group in self._cut and not foods.isdisjoint(words))


def _runs(words: list[str]) -> Iterator[tuple[str, ...]]:
    """Every run of up to four words."""
    for start in range(len(words)):
        for end in range(start + 1, min(len(words), start + _LONGEST) + 1):
            yield tuple(words[start:end])


@cache
def _of_dishes() -> Mapping[tuple[str, ...], frozenset[str]]:
    """The words of every dish in the singular -> the foods it is made of."""
    rows = load_rows("dish_foods.csv", ("words", "foods"))
    return {tuple(map(stem, row["words"].split())): frozenset(map(stem, row["foods"].split())) for row in rows}
