"""Units with their figures: what a measure or a container is called, and what may be added to it."""

from __future__ import annotations

from collections.abc import Collection, Sequence, Set
from dataclasses import dataclass
from fractions import Fraction

from pipeline.hear.lexicon import Classes, Row, load_phrases, phrase_class
from pipeline.hear.numbers import Figure, NumberReader
from pipeline.hear.quantity import Quantity
from pipeline.phrases import Phrases

_EACH = frozenset({("each",), ("apiece",)})
_OF_EACH = frozenset({("each",), ("both",)})
_ARTICLES = phrase_class("article")
_OR_SO = ("or", "so")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit of the record, its kind, and where its words end."""

    unit: str
    kind: str
    end: int


class UnitReader:
    """Compiled unit words."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        self._units: Phrases[Row] = load_phrases("units.csv", ("word", "unit", "kind"), classes, key="word")
        self._shown = frozenset(classes["shown"])

    def openers(self, words: Collection[str]) -> Set[str]:
        """Those of some different words with which a unit may begin."""
        return self._units.openers(words)

    def at(self, words: Sequence[str], place: int) -> Unit | None:
        """The unit that begins at `place`."""
        if place >= len(words):
            return None
        match = self._units.longest(words, place)
        return Unit(match.payload["unit"], match.payload["kind"], match.end) if match else None

    def finish(self, words: Sequence[str], figure: Figure, unit: Unit) -> Quantity:
        """The amount of a figure with its unit, and what follows of it: `and a half`, `or two`, `each`, `of`."""
        low, high, end = figure.low, figure.high, unit.end
        more, more_end = self._numbers.and_a_part(words, end)
        following = more_end + (words[more_end : more_end + 1] in _ARTICLES)
        again = words[more_end : 2 * more_end - figure.start] == words[figure.start : more_end]
        if more and (again or self.at(words, following) is None):
            low, high, end = low + more, high + more, more_end
        elif words[end : end + 1] == ("or",) and end + 1 < len(words):
            low, high, end = self._or_more(words, low, high, end)
        spoken_end = end
        end += 2 * (words[end : end + 2] == _OR_SO)
        each = words[end : end + 1] in _EACH
        end += each
        of = words[end : end + 1] == ("of",)
        end += of
        if of and words[end : end + 1] in _OF_EACH:
            each, of, end = True, False, end + 1
        return Quantity(
            start=figure.start,
            end=end,
            low=low,
            high=high,
            unit=unit.unit,
            kind=unit.kind,
            rule=f"amount.{figure.form}.{unit.kind}",
            words=" ".join(words[figure.start : spoken_end]),
            each=each,
            of=of,
            share=of and words[end : end + 1] != () and words[end] in self._shown and figure.form == "part",
        )

    def _or_more(self, words: Sequence[str], low: Fraction, high: Fraction, end: int) -> tuple[Fraction, Fraction, int]:
        """`a tablespoon or two`, `a cup or a cup and a half`."""
        second = self._numbers.at(words, end + 1)
        if second is None or second.high <= high:
            return low, high, end
        follow = self.at(words, second.end)
        if second.form == "article" or (follow is None and second.form not in {"cardinal", "digits"}):
            return low, high, end
        return low, second.high, follow.end if follow else second.end
