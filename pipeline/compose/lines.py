"""Ingredient lines: all mentions of one food in one component become one line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cache

from pipeline.compose.afresh import MeasuredAfresh
from pipeline.compose.amounts import Said
from pipeline.compose.dealt import Dealer
from pipeline.compose.finished import is_finished, is_plated
from pipeline.compose.folding import Folder
from pipeline.compose.kinds import (
    another_amount,
    another_kind,
    coloured,
    firm,
    of_its_own,
    poured_out,
    put_right,
)
from pipeline.compose.line_draft import LineDraft
from pipeline.compose.offered import offer
from pipeline.compose.optional import mark_optional
from pipeline.compose.ruled_out import without_denied
from pipeline.compose.saved import Saved
from pipeline.compose.served import ServedJudge
from pipeline.compose.statements import statements_of
from pipeline.foods.table import Food, FoodTable
from pipeline.hear.foods import FoodSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_dish_words, load_rows
from pipeline.hear.usage import ALTERNATIVE, ASIDE, SHOWN, SPOKEN, USED
from pipeline.record import DOUBTED
from pipeline.split.dishes import Topic, ends_in
from pipeline.split.dishes import stem as _stem
from pipeline.split.outline import Outline

_BESIDE = 8
_FRESH = "fresh-herb"
_DRIED = frozenset({"dried-herb", "spice"})
_MOST_USED = 0.45
_MOST_MEASURED = 0.85
_PASSING = frozenset({"usage.verb", "usage.fragment", "usage.list"})


@dataclass(frozen=True, slots=True)
class Left:
    """A food spoken of and kept out: index into the foods, the dish it came up in, and why."""

    food: int
    dish: int
    why: str
    rule: str


@dataclass(frozen=True, slots=True)
class Lines:
    lines: tuple[LineDraft, ...]
    left: tuple[Left, ...]


class LineComposer:
    """Joins mentions to lines, by the food table's groups."""

    def __init__(self, table: FoodTable, classes: Classes) -> None:
        self._foods: Mapping[str, Food] = {food.id: food for food in table}
        self._groups = frozenset(classes["group-word"])
        self._group_words = {
            row["word"]: frozenset(row["groups"].split()) for row in load_rows("group_words.csv", ("word", "groups"))
        }
        self._saved = Saved(classes)
        self._apart_groups = frozenset(classes["apart-group"]) | {"fruit", "vegetable"}
        self._dish_nouns = frozenset(classes["part-food"])
        self._dish_words = frozenset(_stem(row["words"]) for row in load_dish_words() if row["kind"] == "dish")
        self._heads = frozenset(_stem(row["words"]) for row in load_dish_words())
        self._animal = frozenset(classes["animal-group"])
        self._made_groups = frozenset(classes["made-group"])
        self._states = frozenset(classes["state-word"])
        self._colours = frozenset(classes["colour"])
        self._definite = frozenset(classes["definite"])
        self._fresh_units = frozenset(classes["fresh-unit"])
        self._results = frozenset(classes["made-here"])
        self._dealer = Dealer(table, classes)
        self._folder = Folder(self._foods, classes)
        self._served = ServedJudge(classes)
        self._afresh = MeasuredAfresh(table, classes)

    def compose(self, hearing: Hearing, outline: Outline, doubted: Set[str]) -> Lines:
        """All lines of all dishes, in order of first use, and what was left out; a line of a food that is `doubted` is
        kept out and asked about."""
        lines: list[LineDraft] = []
        left: list[Left] = []
        statements = statements_of(hearing, self._served)
        for at, food in enumerate(hearing.foods):
            topic = outline.topics[food.head]
            said = statements.get(at, [])
            why = self._not_used(hearing, outline, at, said)
            if why is not None:
                left.append(Left(at, topic.dish, *why))
                continue
            plated = is_plated(hearing, at)
            cooked = self._cooked(lines, food, topic, plated=plated)
            if cooked is not None and (plated or is_finished(hearing, outline, at, measured=bool(said))):
                cooked.mentions.append(at)
                continue
            line = self._line_for(hearing, lines, at, topic.dish, topic.part, said)
            if line is None:
                continue
            self._take(line, hearing, at, topic.part, said)
        lines = self._dealer.deal(hearing, outline, lines)
        drafts = self._folder.fold(hearing, without_denied(hearing, outline, lines))
        lines = self._settle(hearing, [line for line in drafts if not self._passing(hearing, drafts, line)])
        left.extend(_never_used(drafts, lines))
        self._name_fully(hearing, lines)
        offer(hearing, lines, self._class)
        mark_optional(hearing, lines)
        talk = [line for line in lines if line.food in doubted]
        left.extend(Left(at, line.dish, DOUBTED, "usage.doubted") for line in talk for at in line.mentions)
        lines = [line for line in lines if line not in talk]
        lines.sort(key=lambda line: (line.dish, min(line.mentions)))
        return Lines(tuple(lines), tuple(left))

    def _cooked(self, lines: Sequence[LineDraft], food: FoodSpan, topic: Topic, *, plated: bool) -> LineDraft | None:
        """The line of the same food in another component of the dish; of what is put on the plate, in any dish."""
        used = [line for line in lines if line.used]
        here = (line for line in used if line.dish == topic.dish and line.part != topic.part)
        fitting = (*(line for line in used if plated and line.said), *here)
        return next(self._alike(fitting, food, False), None)

    def _not_used(self, hearing: Hearing, outline: Outline, at: int, said: Sequence[Said]) -> tuple[str, str] | None:
        food, usage = hearing.foods[at], hearing.usages[at]
        if usage.status in {ASIDE, ALTERNATIVE, SPOKEN}:
            return usage.why or usage.status, usage.rule
        if not firm(said) and any(start <= food.head < end for start, end in outline.announced):
            return "title", "usage.title"
        last = _stem(food.name.split()[-1])
        own = [dish.kind for dish in outline.dishes if ends_in(dish.head, last)]
        made = self._group(food.food) in self._made_groups
        counted = usage.rule == "usage.amount"
        # The cheese that goes in a grilled cheese names no dish by itself.
        within = last not in self._heads and self._group(food.food) not in self._animal | self._apart_groups
        put = counted or (usage.rule == "usage.added" and within)
        if ("dish" in own and (made or not put)) or ("weak" in own and made and not counted):
            return "dish", "usage.dish-name"
        here = outline.topics[food.head].dish
        others = (dish for at, dish in enumerate(outline.dishes) if at != here and dish.kind == "weak")
        if not firm(said) and any(ends_in(dish.head, last) for dish in others):
            return "dish", "usage.dish-name"
        inner = food.name in self._dish_nouns and any(food.name in dish.keywords for dish in outline.dishes)
        if inner and usage.rule != "usage.amount":
            return "component", "usage.component-name"
        apart = self._group(food.food) in self._apart_groups
        name = {_stem(word) for word in food.name.split()}
        for part in (part for dish in outline.dishes for part in dish.parts):
            words = [_stem(word) for word in part.split()]
            if last == words[-1] and name <= set(words) and (not apart or usage.rule != "usage.amount"):
                return "component", "usage.component-name"
        bake = self._group(food.food) == "baked" and last in self._dish_words
        if (bake or self._group(food.food) == "dish") and usage.rule != "usage.amount":
            return "dish", "usage.other-dish"
        return None

    def _group(self, food: str) -> str:
        return self._foods[food].group if food in self._foods else ""

    def _class(self, food: str) -> str:
        return self._foods[food].class_ if food in self._foods else ""

    def _line_for(
        self, hearing: Hearing, lines: list[LineDraft], at: int, dish: int, part: str, said: Sequence[Said]
    ) -> LineDraft | None:
        food, usage = hearing.foods[at], hearing.usages[at]
        measured = any(not item.quantity.article for item in said)
        last = max(
            (line for line in lines if line.dish == dish and line.said), key=lambda line: line.said[-1].at, default=None
        )
        if last is not None and self._class(food.food) != "spice" and put_right(last, food, said):
            last.names.clear()
            last.said.clear()
            return last
        halved = self._halved(lines, food, dish, said)
        if halved is not None:
            return halved
        alike = [line for line in self._alike(lines, food, measured) if not self._of_its_own(line, food, said)]
        here = [line for line in alike if line.dish == dish]
        for line in sorted(here, key=lambda line: (line.food != food.food, line.part not in {part, None})):
            another = another_amount(hearing, line, said) or another_kind(line, food, said)
            another = another or self._afresh.tells(hearing, line, food, said)
            if line.part in {part, None} and not another:
                return line
        reference = self._is_reference(hearing, at, measured)
        if here and reference:
            return here[0]
        if usage.status == SHOWN and here:
            return here[0]
        elsewhere = next((line for line in reversed(alike) if line.dish != dish), None) if reference else None
        if elsewhere is not None:
            return elsewhere
        member = self._of_group(lines, food, dish, part)
        if member is not None and all(item.quantity.article or item.measured.part for item in said):
            return member
        many = food.name in self._groups or (food.name.split()[-1] in self._groups and food.kind == "generic")
        if many and (member is not None or not poured_out(said)):
            return None
        line = LineDraft(dish, part if usage.status == USED else None, food.food)
        lines.append(line)
        return line

    def _of_its_own(self, line: LineDraft, food: FoodSpan, said: Sequence[Said]) -> bool:
        """What goes by no shorter name, and a herb by the bunch beside the same one dried or ground."""
        kinds = {self._class(line.food), self._class(food.food)}
        if _FRESH in kinds and kinds & _DRIED:
            fresh = said if self._class(food.food) == _FRESH else line.said
            return any(item.quantity.unit in self._fresh_units for item in fresh)
        return of_its_own(line, food, said)

    def _halved(self, lines: Sequence[LineDraft], food: FoodSpan, dish: int, said: Sequence[Said]) -> LineDraft | None:
        """`a red pepper, i'm only using half of the pepper`: no spice is halved, but the thing of that name spoken of
        last is."""
        shares = all(item.quantity.share and item.quantity.unit is None for item in said)
        if not said or not shares or self._class(food.food) != "spice":
            return None
        last = _stem(food.name.split()[-1])
        things = (line for line in lines if line.dish == dish and self._class(line.food) != "spice")
        named = [line for line in things if _stem(line.name.split()[-1]) == last]
        return max(named, key=lambda line: max(line.mentions), default=None)

    def _of_group(self, lines: Sequence[LineDraft], food: FoodSpan, dish: int, part: str) -> LineDraft | None:
        """`the fish`, `the meat`: the line of that group in the same dish, in the same component if there is one."""
        groups = self._group_words.get(food.name, frozenset())
        members = [line for line in lines if line.dish == dish and self._group(line.food) in groups]
        return next((line for line in members if line.part == part), members[0]) if members else None

    def _is_reference(self, hearing: Hearing, at: int, measured: bool) -> bool:
        """`the onions`, `that rice`: something spoken of before, unless an amount comes with it or it was kept back."""
        if measured or self._saved.holds(hearing, at):
            return False
        food = hearing.foods[at]
        before = hearing.speech.words[food.start - 1] if food.start else ""
        return before in self._definite or hearing.usages[at].rule != "usage.added"

    def _alike(self, lines: Iterable[LineDraft], food: FoodSpan, measured: bool) -> Iterator[LineDraft]:
        """The lines of the same food."""
        name = _stems(food.name)
        if not measured:
            name = tuple([word for word in name if word not in self._states]) or name
        return (line for line in lines if self._same(line, food, name, measured))

    def _same(self, line: LineDraft, food: FoodSpan, name: Sequence[str], measured: bool) -> bool:
        if line.food == food.food:
            apart = measured and self._in_two_colours(line, food)
            return (bool(food.food) or food.name in line.names) and not apart
        known = _stems(line.name)
        if name[-1] != known[-1] and (measured or len(name) > 1 or name[0] not in known):
            return False
        if measured and self._group(line.food) != self._group(food.food):
            return False
        if {self._class(line.food), self._class(food.food)} == {"spice", "vegetable"}:
            return False
        if name[-1] == known[-1] and (set(name) <= set(known) or set(known) <= set(name)):
            return True
        if measured:
            return False
        return (name[-1] == known[-1] and not coloured(name, known)) or (
            len(name) == 1 and name[0] in known and self._group(line.food) == self._group(food.food)
        )

    def _in_two_colours(self, line: LineDraft, food: FoodSpan) -> bool:
        """`half a white onion`, then `two yellow onions`: each a thing of its own."""
        known, told = (self._colours.intersection(name.split()) for name in (line.name, food.name))
        return bool(known and told) and known.isdisjoint(told)

    def _take(self, line: LineDraft, hearing: Hearing, at: int, part: str, said: Sequence[Said]) -> None:
        food, usage = hearing.foods[at], hearing.usages[at]
        line.mentions.append(at)
        if len(food.name.split()) > max((len(name.split()) for name in line.names), default=0):
            line.food = food.food if not line.names or self._more_exact(line, food) else line.food
        if food.name not in line.names:
            line.names.append(food.name)
        if said or not line.said:
            line.spoken_in = part
        if said:
            line.measured_names.add(food.name)
        line.said.extend(said)
        line.preparation.extend(word for word in food.preparation if word not in line.preparation)
        if usage.status == USED:
            line.used = True
            if line.part is None:
                line.part = part
        line.sure = line.sure or usage.rule in {"usage.amount"} or bool(said)

    def _more_exact(self, line: LineDraft, food: FoodSpan) -> bool:
        known, name = {_stem(w) for w in line.name.split()}, {_stem(w) for w in food.name.split()}
        return known <= name

    def _passing(self, hearing: Hearing, drafts: Sequence[LineDraft], line: LineDraft) -> bool:
        """A food named once, in passing and without an amount, in a dish whose amounts are said throughout."""
        if not line.said and self._made_here(hearing, line):
            return True
        if line.said or len(line.mentions) > 1 or self._saved.holds(hearing, line.mentions[0]):
            return False
        if _beside_measured(hearing, line.mentions[0]):
            return False
        measured = sum(bool(other.said) for other in drafts) / len(drafts)
        return measured > _MOST_MEASURED and hearing.usages[line.mentions[0]].rule in _PASSING

    def _made_here(self, hearing: Hearing, line: LineDraft) -> bool:
        """`the custard`, `that broth`: what this kitchen makes, and nobody brought in."""
        starts = [hearing.foods[at].start for at in line.mentions]
        known = all(hearing.speech.words[start - 1] in self._definite for start in starts if start)
        return known and line.name.split()[-1] in self._results

    def _settle(self, hearing: Hearing, lines: list[LineDraft]) -> list[LineDraft]:
        """A line only shown that is used in one other place is that place's line."""
        kept: list[LineDraft] = []
        used_share = sum(line.used and bool(line.said) for line in lines) / max(1, len(lines))
        for line in lines:
            if line.used or line.part is not None:
                kept.append(line)
                continue
            if not line.said and len(line.mentions) == 1 and used_share > _MOST_USED:
                continue
            alike = [other for other in lines if other is not line and other.used and other.food == line.food]
            users = [other for other in alike if other.dish == line.dish or not line.said]
            users = [user for user in users if not another_amount(hearing, line, user.said)]
            if not users:
                line.part = line.spoken_in
                kept.append(line)
                continue
            for user in users:
                user.names.extend(line.names)
                if len(users) == 1:
                    user.said[:0] = line.said
                    user.mentions[:0] = line.mentions
        return kept

    def _name_fully(self, hearing: Hearing, lines: Sequence[LineDraft]) -> None:
        """`then the broth, this is beef broth`: a one-word name takes the fuller one said beside it."""
        for line in lines:
            if len(line.name.split()) > 1:
                continue
            fuller = [
                at
                for mention in line.mentions
                for at in (mention - 1, mention + 1)
                if 0 <= at < len(hearing.foods) and self._is_fuller(hearing, line, mention, at)
            ]
            if fuller:
                line.mentions.append(fuller[0])
                line.mentions.sort()
                line.names.append(hearing.foods[fuller[0]].name)
                line.food = hearing.foods[fuller[0]].food

    def _is_fuller(self, hearing: Hearing, line: LineDraft, mention: int, at: int) -> bool:
        other, own = hearing.foods[at], hearing.foods[mention]
        near = abs(other.head - own.head) <= _BESIDE
        plain = hearing.usages[at].status == SPOKEN
        words = other.name.split()
        return near and plain and len(words) > 1 and _stem(words[-1]) == _stem(line.name)


@cache
def _stems(name: str) -> tuple[str, ...]:
    """The words of a food's name, in the singular, without what comes with it."""
    return tuple(_stem(word) for word in name.split(" with ")[0].split())


def _beside_measured(hearing: Hearing, at: int) -> bool:
    """`two teaspoons of sugar and dried oregano`: what `and` joins to a food with an amount goes in with that."""
    foods = hearing.foods
    joined = at > 0 and hearing.speech.words[foods[at - 1].end : foods[at].start] == ("and",)
    return joined and any(item.food == at - 1 and item.rule == "amount.before-food" for item in hearing.measured)


def _never_used(drafts: Sequence[LineDraft], lines: Sequence[LineDraft]) -> list[Left]:
    """What was shown or named and then not used, so that it is said to have been left out."""
    kept = {mention for line in lines for mention in line.mentions}
    return [
        Left(mention, line.dish, "named and not used", "usage.never-used")
        for line in drafts
        for mention in line.mentions
        if mention not in kept
    ]
