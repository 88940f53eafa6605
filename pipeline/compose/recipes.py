"""Mentions of an episode to recipes without weights: ingredient lines, settings, times, claims and the method."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pipeline.compose.amounts import AmountResolver, Resolved
from pipeline.compose.claimed import claims_of
from pipeline.compose.labels import UNTOLD, TimeLabels
from pipeline.compose.line_draft import LineDraft
from pipeline.compose.lines import Left, LineComposer, Lines
from pipeline.compose.method import MethodWriter
from pipeline.compose.servings import ServingsOwners
from pipeline.compose.statements import SOME, described_by, said_some
from pipeline.compose.unsalted import unsalted_kind
from pipeline.compose.whose import Owners, Settings
from pipeline.foods.names import FoodNames
from pipeline.foods.table import FoodTable
from pipeline.hear.claims import ClaimSpan
from pipeline.hear.durations import TimeSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.lexicon import Classes
from pipeline.hear.placed import Placed
from pipeline.hear.usage import SPOKEN
from pipeline.record import (
    DOUBTED,
    Amount,
    Claim,
    Duration,
    Evidence,
    FoodRef,
    Ingredient,
    Mention,
    Recipe,
    Temperature,
)
from pipeline.split.dishes import MAIN
from pipeline.split.layers import ASSEMBLY
from pipeline.split.outline import Outline

_FAR = 80
_TOGETHER = 12


@dataclass(frozen=True, slots=True)
class Composer:
    """The compiled parts of composing."""

    table: FoodTable
    names: FoodNames
    lines: LineComposer
    amounts: AmountResolver
    method: MethodWriter
    labels: TimeLabels
    owners: Owners
    servings: ServingsOwners
    described: frozenset[str]

    @classmethod
    def load(cls, table: FoodTable, names: FoodNames, classes: Classes) -> Composer:
        """Read the verbs and frames of models/."""
        labels = TimeLabels(classes)
        return cls(
            table,
            names,
            LineComposer(table, classes),
            AmountResolver(),
            MethodWriter(classes, labels),
            labels,
            Owners(table, classes),
            ServingsOwners(table, classes),
            described_by(classes),
        )

    def recipes(self, hearing: Hearing, outline: Outline, lines: Lines) -> tuple[Recipe, ...]:
        """One recipe a dish, in order of first mention, from the lines that `self.lines` composed."""
        settings = self.owners.settings(hearing, outline, lines)
        return tuple(self._recipe(hearing, outline, lines, settings, dish) for dish in range(len(outline.dishes)))

    def _recipe(self, hearing: Hearing, outline: Outline, lines: Lines, settings: Settings, dish: int) -> Recipe:
        mine = [line for line in lines.lines if line.dish == dish]
        components = self._components(outline, mine, dish)
        ingredients = self._ingredients(hearing, outline, mine, dish, components)
        title = outline.dishes[dish].title
        start, end = self._span(hearing, outline, mine, dish)
        return Recipe(
            id=_slug(title),
            title=title,
            start=start,
            end=end,
            servings=self.servings.servings(hearing, outline, settings, dish),
            components=tuple(components),
            ingredients=tuple(ingredients),
            mentions=self._mentions(hearing, lines, mine, dish),
            method=self.method.write(hearing, outline, lines.lines, settings, dish, components),
            temperatures=self._temperatures(hearing, settings, dish),
            times=self._times(hearing, settings, dish),
            claims=self._claims(hearing, claims_of(hearing, outline, settings.names, lines.lines, dish)),
        )

    def _components(self, outline: Outline, mine: Sequence[LineDraft], dish: int) -> list[str]:
        main = outline.dishes[dish].main_part
        used = {line.part or MAIN for line in mine}
        names = [main if part == MAIN else part for part in ("", *outline.dishes[dish].parts, ASSEMBLY) if part in used]
        return names if len(names) > 1 else []

    def _ingredients(
        self, hearing: Hearing, outline: Outline, mine: Sequence[LineDraft], dish: int, components: Sequence[str]
    ) -> list[Ingredient]:
        ingredients: list[Ingredient] = []
        seen: dict[str, int] = {}
        for line in sorted(mine, key=lambda item: min(item.mentions)):
            resolved = self.amounts.resolve(line.said, line.name)
            unsalted = unsalted_kind(hearing, line, self.names)
            name = unsalted.name if unsalted else line.name
            slug = _slug(name)
            seen[slug] = seen.get(slug, 0) + 1
            food = self.table.get(unsalted.food if unsalted else line.food)
            ingredients.append(
                Ingredient(
                    id=slug if seen[slug] == 1 else f"{slug}-{seen[slug]}",
                    name=name,
                    component=(line.part or outline.dishes[dish].main_part) if components else None,
                    amount=self._amount(hearing, line, resolved),
                    or_=resolved.second,
                    food=FoodRef(id=food.id, name=food.name, score=1.0) if food else None,
                    preparation=tuple(line.preparation),
                    optional=line.optional,
                    alternatives=tuple(line.alternatives),
                    evidence=self._evidence(hearing, line),
                )
            )
        return ingredients

    def _amount(self, hearing: Hearing, line: LineDraft, resolved: Resolved) -> Amount:
        unsaid = resolved.amount.basis == "unsaid" and said_some(hearing, line.mentions, self.described)
        return Amount(basis="vague", words=SOME) if unsaid else resolved.amount

    def _evidence(self, hearing: Hearing, line: LineDraft) -> tuple[Evidence, ...]:
        found: dict[tuple[float, str], Evidence] = {}
        for mention in line.mentions:
            food = hearing.foods[mention]
            said = [item for item in line.said if item.measured.food == mention]
            start = min([food.start, *(item.quantity.start for item in said)])
            end = max([food.end, *(item.quantity.end for item in said)])
            rule = said[-1].measured.rule if said else food.rule
            evidence = hearing.speech.evidence(start, end, rule)
            found.setdefault((evidence.start, evidence.words), evidence)
        return tuple(found.values())

    def _span(self, hearing: Hearing, outline: Outline, mine: Sequence[LineDraft], dish: int) -> tuple[float, float]:
        starts = [outline.dishes[dish].start, *(hearing.foods[min(line.mentions)].start for line in mine)]
        ends = [hearing.foods[max(line.mentions)].end - 1 for line in mine]
        ends += [span.start for span in hearing.servings if outline.local[span.start] == dish]
        ends += [span.start for span in hearing.times if outline.local[span.start] == dish]
        if not len(hearing.speech):
            return 0.0, 0.0
        if not ends:
            spoken_of = (place for place, topic in enumerate(outline.topics) if topic.dish == dish)
            ends = [max(spoken_of, default=outline.dishes[dish].start)]
        first, last = min(starts), max(ends)
        return hearing.speech.line_at(first).start, hearing.speech.line_at(min(last, len(hearing.speech) - 1)).start

    def _mentions(self, hearing: Hearing, lines: Lines, mine: Sequence[LineDraft], dish: int) -> tuple[Mention, ...]:
        used = {name for line in mine for name in line.names}
        left: dict[str, list[Left]] = {}
        for item in lines.left:
            name = hearing.foods[item.food].name
            if item.dish == dish and name not in used and item.why not in {"title", "component", "alternative"}:
                left.setdefault(name, []).append(item)
        return tuple(
            Mention(name=name, why=_why(items), evidence=tuple(_spoken_of(hearing, item) for item in items))
            for name, items in left.items()
        )

    def _temperatures(self, hearing: Hearing, settings: Settings, dish: int) -> tuple[Temperature, ...]:
        """Those that stand, and those that were taken back for one of the dish, each told once."""
        standing: dict[tuple[object, ...], list[HeatSpan]] = {}
        for heat in hearing.heats:
            if dish in settings.of_heat(heat) and settings.is_told(heat):
                standing.setdefault(_heat(heat), []).append(heat)
        taken_back: dict[tuple[object, ...], list[HeatSpan]] = {}
        for taken in hearing.heats_taken_back:
            mine = dish in settings.of_heat(taken.by) and settings.is_told(taken.by)
            if mine and _heat(taken.span) not in standing:
                taken_back.setdefault(_heat(taken.span), []).append(taken.span)
        return (
            *(_temperature(hearing, heats) for heats in standing.values()),
            *(_temperature(hearing, heats, taken_back=True) for heats in taken_back.values()),
        )

    def _times(self, hearing: Hearing, settings: Settings, dish: int) -> tuple[Duration, ...]:
        """Equal times of one work are one, and so are those said together, and those of no work that is told, unless
        said far apart."""
        said: dict[tuple[object, ...], tuple[str, list[TimeSpan]]] = {}
        for time in hearing.times:
            if dish not in settings.of_time(time.start) or not settings.is_told(time):
                continue
            label = self.labels.of(hearing, time)
            length = (time.low, time.high, time.unit, time.kind)
            last = next(reversed(said.items()), None)
            if last is not None and last[0][:4] == length and time.start - last[1][1][-1].end <= _TOGETHER:
                last[1][1].append(time)
                continue
            key: tuple[object, ...] = (*length, label)
            if label == UNTOLD and key in said and time.start - said[key][1][-1].end > _FAR:
                key = (*key, time.start)
            said.setdefault(key, (label, []))[1].append(time)
        return tuple(
            Duration(
                low=round(float(times[-1].low), 4),
                high=round(float(times[-1].high), 4),
                unit=times[-1].unit,
                seconds=(float(times[-1].seconds[0]), float(times[-1].seconds[1])),
                for_=label,
                kind=times[-1].kind,
                evidence=_heard(hearing, times),
            )
            for label, times in said.values()
        )

    @staticmethod
    def _claims(hearing: Hearing, mine: Iterable[ClaimSpan]) -> tuple[Claim, ...]:
        said: dict[tuple[str, str, str], list[ClaimSpan]] = {}
        for claim in mine:
            said.setdefault((claim.food, claim.nutrient, claim.sense), []).append(claim)
        return tuple(
            Claim(food=food, nutrient=nutrient, sense=sense, evidence=_heard(hearing, claims))
            for (food, nutrient, sense), claims in said.items()
        )


def _heat(span: HeatSpan) -> tuple[object, ...]:
    """What makes two temperatures one."""
    return span.value, span.unit, span.of


def _temperature(hearing: Hearing, heats: Sequence[HeatSpan], *, taken_back: bool = False) -> Temperature:
    return Temperature(
        value=float(heats[-1].value),
        unit=heats[-1].unit,
        celsius=round(heats[-1].celsius, 1),
        of=heats[-1].of,
        for_="",
        unit_said=heats[-1].unit_said,
        taken_back=taken_back,
        evidence=_heard(hearing, heats),
    )


def _why(items: Sequence[Left]) -> str:
    """Why a food was left out; that it is only likely outweighs the rest, and that it was spoken of tells least."""
    reasons = [item.why for item in items]
    return DOUBTED if DOUBTED in reasons else next((why for why in reasons if why != SPOKEN), SPOKEN)


def _heard(hearing: Hearing, mentions: Iterable[Placed]) -> tuple[Evidence, ...]:
    return tuple(hearing.speech.evidence(said.start, said.end, said.rule) for said in mentions)


def _spoken_of(hearing: Hearing, item: Left) -> Evidence:
    food = hearing.foods[item.food]
    return hearing.speech.evidence(food.start, food.end, item.rule)


def _slug(title: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-") or "dish"
