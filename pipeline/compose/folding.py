"""Folds a line into the line of the same food under a fuller name: the chicken is the thighs, the lime is its juice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from pipeline.compose.amounts import Said
from pipeline.foods.table import Food
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_rows
from pipeline.split.dishes import stem

if TYPE_CHECKING:
    from pipeline.compose.line_draft import LineDraft

_PUT_RIGHT_REACH = 26
_CALLED_REACH = 3


class Folder:
    """Compiled words for groups of foods and for parts of a fruit."""

    def __init__(self, foods: Mapping[str, Food], classes: Classes) -> None:
        self._foods = foods
        self._animal = frozenset(classes["animal-group"])
        self._fruit_parts = frozenset(classes["fruit-part"])
        self._egg_parts = frozenset(classes["egg-part"])
        self._definite = frozenset(classes["definite"])
        self._calls = frozenset(classes["food-called"])
        self._goes = frozenset(classes["goes"])
        self._places = frozenset(classes["preposition"])
        self._groups = {
            row["word"]: frozenset(row["groups"].split()) for row in load_rows("group_words.csv", ("word", "groups"))
        }

    def fold(self, hearing: Hearing, lines: Sequence[LineDraft]) -> list[LineDraft]:
        """The lines without those that only name another one again in fewer words."""
        kept = list(lines)
        for line in lines:
            fuller = next(self._fuller(hearing, kept, line), None)
            if fuller is not None:
                kept = [other for other in kept if other is not line]
                _join(fuller, line, renamed=not self._whole_egg(line, fuller))
        return kept

    def _fuller(self, hearing: Hearing, lines: Sequence[LineDraft], line: LineDraft) -> Iterator[LineDraft]:
        """Lines that a line may be folded into, the likeliest first."""
        others = [other for other in lines if other is not line]
        here = [other for other in others if other.dish == line.dish]
        yield from (other for other in here if self._whole_fruit(line, other) or self._whole_egg(line, other))
        yield from (other for other in here if self._less_said(line, other) and _puts_right(line, other))
        yield from (other for other in here if self._is_called(hearing, line, other))
        if not _weighed(line):
            yield from (other for other in here if self._less_said(line, other) and other.said)
            yield from (other for other in here if self._less_said(line, other))
        if not line.said and self._only_gone_into(hearing, line):
            yield from (other for other in others if other.dish != line.dish and _same_food(line, other) and other.said)

    def _is_called(self, hearing: Hearing, line: LineDraft, other: LineDraft) -> bool:
        """`the fish, one pound, this is haddock`: what was measured under its kind is named right after."""
        kinds = self._groups.get(line.name, frozenset())
        if other.said or not line.said or self._group(other) not in kinds:
            return False
        start = hearing.foods[min(other.mentions)].start
        last = max(line.said[-1].quantity.end, hearing.foods[line.mentions[0]].end)
        between = hearing.speech.words[last:start]
        return 0 < len(between) <= _CALLED_REACH and between[0] in self._calls

    def _group(self, line: LineDraft) -> str:
        return self._foods[line.food].group if line.food in self._foods else ""

    def _whole_fruit(self, line: LineDraft, other: LineDraft) -> bool:
        """`one lime` on the table and the juice of it in the dish."""
        *fruit, part = other.name.split()
        same = part in self._fruit_parts and [stem(word) for word in fruit] == [
            stem(word) for word in line.name.split()
        ]
        return same and not _besides(line, other) and (not line.used or line.part == other.part)

    def _whole_egg(self, line: LineDraft, other: LineDraft) -> bool:
        """`three eggs, and the whites go in a clean bowl`: parts of eggs that were counted whole."""
        parted = line.name.split()[-1] in self._egg_parts and self._group(line) == "egg" and not line.said
        return parted and bool(other.said) and self._group(other) == "egg" and stem(other.name.split()[-1]) == "egg"

    def _less_said(self, line: LineDraft, other: LineDraft) -> bool:
        """`the beef` where sirloin was measured, `the fish`, `the cheese`."""
        name = line.name.split()
        if len(name) > 1 or other.name == line.name:
            return False
        group = self._group(other)
        if group in self._groups.get(name[0], frozenset()) and not line.said:
            return True
        if group not in self._animal or self._group(line) not in self._animal:
            return False
        written = f"{self._foods[other.food].name} {other.food.replace('-', ' ')}" if other.food in self._foods else ""
        return stem(name[0]) in {stem(word) for word in f"{other.name} {written}".split()}

    def _only_gone_into(self, hearing: Hearing, line: LineDraft) -> bool:
        """`the other half goes in the couscous`: named only as the place where something else goes."""
        starts = [hearing.foods[mention].start for mention in line.mentions]
        leads = [hearing.speech.words[max(0, start - 3) : start] for start in starts]
        return all(
            len(lead) == 3 and lead[0] in self._goes and lead[1] in self._places and lead[2] in self._definite
            for lead in leads
        )


def _weighed(line: LineDraft) -> bool:
    """Whether an amount by weight or volume was said that is no share of something."""
    return any(said.quantity.kind == "measure" and not said.quantity.share for said in line.said)


def _besides(line: LineDraft, other: LineDraft) -> bool:
    """`the rind of a whole lemon` beside `squeeze half a lemon over`: a fruit of which there is less than of its
    part."""
    fruit, part = _figure(line), _figure(other)
    if fruit is None or part is None or not line.used or fruit.shown:
        return False
    counted = fruit.quantity.kind == part.quantity.kind == "count"
    return counted and (fruit.quantity.low or 0) < (part.quantity.low or 0)


def _figure(line: LineDraft) -> Said | None:
    """The first figure said of a line."""
    return next((said for said in line.said if said.quantity.low is not None and not said.quantity.article), None)


def _puts_right(line: LineDraft, other: LineDraft) -> bool:
    """`a pound of chicken thighs, no sorry a pound and a half of chicken`: an amount right after that of the other."""
    ends = [said.quantity.end for said in other.said]
    return bool(ends and line.said) and all(
        said.measured.corrected_at >= max(ends) - 1 and said.quantity.start - max(ends) <= _PUT_RIGHT_REACH
        for said in line.said
    )


def _same_food(line: LineDraft, other: LineDraft) -> bool:
    return bool(line.food) and line.food == other.food


def _join(fuller: LineDraft, line: LineDraft, *, renamed: bool) -> None:
    """Takes over what was said of `line`: its amounts where the fuller line has none or they are of the other half of
    the same thing, its names if `renamed`."""
    if all(said.measured.rest for said in line.said) or not fuller.said or _puts_right(line, fuller):
        fuller.measured_names |= line.measured_names if fuller.said else {*line.measured_names, *fuller.names}
        fuller.said.extend(line.said)
    fuller.mentions = sorted({*fuller.mentions, *line.mentions})
    fuller.names.extend(line.names if renamed else ())
    fuller.used = fuller.used or line.used
    fuller.part = line.part if fuller.part is None else fuller.part
