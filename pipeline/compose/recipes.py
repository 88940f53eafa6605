"""Mentions of an episode to recipes without weights: ingredient lines, settings, times, claims and the method."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.compose.amounts import AmountResolver, Resolved
from pipeline.compose.labels import TimeLabels
from pipeline.compose.lines import LineComposer, LineDraft, Lines
from pipeline.compose.method import MethodWriter
from pipeline.compose.servings import servings_of
from pipeline.compose.statements import SOME, described_by, said_some
from pipeline.compose.unsalted import unsalted_kind
from pipeline.compose.whose import Owners, Settings
from pipeline.foods.names import FoodNames
from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.record import Amount, Claim, Duration, Evidence, FoodRef, Ingredient, Mention, Recipe, Temperature
from pipeline.split.dishes import MAIN
from pipeline.split.outline import Outline
from pipeline.split.topics import ASSEMBLY


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
    baked: frozenset[str]
    described: frozenset[str]

    @classmethod
    def load(cls, table: FoodTable, names: FoodNames, classes: Classes) -> Composer:
        """Read the verbs and frames of models/."""
        return cls(
            table,
            names,
            LineComposer(table, classes),
            AmountResolver(),
            MethodWriter(classes),
            TimeLabels(classes),
            Owners(table, classes),
            frozenset(classes["baked-dish"]),
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
            servings=servings_of(hearing, outline, settings.names, dish, self.baked),
            components=tuple(components),
            ingredients=tuple(ingredients),
            mentions=self._mentions(hearing, lines, mine, dish),
            method=self.method.write(hearing, outline, lines.lines, settings, dish, components),
            temperatures=self._temperatures(hearing, settings, dish),
            times=self._times(hearing, settings, dish),
            claims=self._claims(hearing, outline, dish),
        )

    def _components(self, outline: Outline, mine: Sequence[LineDraft], dish: int) -> list[str]:
        main = outline.dishes[dish].head
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
                    component=(line.part or outline.dishes[dish].head) if components else None,
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
        places = [place for place, topic in enumerate(outline.topics) if topic.dish == dish]
        starts = [outline.dishes[dish].start, *(hearing.foods[min(line.mentions)].start for line in mine)]
        ends = [hearing.foods[max(line.mentions)].end - 1 for line in mine]
        ends += [span.start for span in hearing.servings if outline.local[span.start] == dish]
        ends += [span.start for span in hearing.times if outline.local[span.start] == dish]
        if not len(hearing.speech):
            return 0.0, 0.0
        if not places:
            places = [outline.dishes[dish].start]
        first = min(starts)
        last = max(ends, default=places[-1])
        return hearing.speech.line_at(first).start, hearing.speech.line_at(min(last, len(hearing.speech) - 1)).start

    def _mentions(self, hearing: Hearing, lines: Lines, mine: Sequence[LineDraft], dish: int) -> tuple[Mention, ...]:
        used = {name for line in mine for name in line.names}
        found: dict[str, Mention] = {}
        for item in lines.left:
            food = hearing.foods[item.food]
            if item.dish != dish or food.name in used or item.why in {"title", "component", "alternative"}:
                continue
            evidence = hearing.speech.evidence(food.start, food.end, item.rule)
            known = found.get(food.name)
            kept = (*known.evidence, evidence) if known else (evidence,)
            found[food.name] = Mention(name=food.name, why=known.why if known else item.why, evidence=kept)
        return tuple(found.values())

    def _temperatures(self, hearing: Hearing, settings: Settings, dish: int) -> tuple[Temperature, ...]:
        found: dict[tuple[float, str, str], Temperature] = {}
        for heat in hearing.heats:
            if settings.of_heat(heat) != dish or not settings.is_told(heat):
                continue
            key = (float(heat.value), heat.unit, heat.of)
            evidence = hearing.speech.evidence(heat.start, heat.end, heat.rule)
            known = found.get(key)
            found[key] = Temperature(
                value=float(heat.value),
                unit=heat.unit,
                celsius=round(heat.celsius, 1),
                of=heat.of,
                for_="",
                unit_said=heat.unit_said,
                evidence=(*known.evidence, evidence) if known else (evidence,),
            )
        return tuple(found.values())

    def _times(self, hearing: Hearing, settings: Settings, dish: int) -> tuple[Duration, ...]:
        found: dict[tuple[object, ...], Duration] = {}
        for time in hearing.times:
            if settings.of_time(time.start) != dish or not settings.is_told(time):
                continue
            label = self.labels.of(hearing, time)
            key = (time.low, time.high, time.unit, label, time.kind)
            evidence = hearing.speech.evidence(time.start, time.end, time.rule)
            known = found.get(key)
            found[key] = Duration(
                low=round(float(time.low), 4),
                high=round(float(time.high), 4),
                unit=time.unit,
                seconds=(float(time.seconds[0]), float(time.seconds[1])),
                for_=label,
                kind=time.kind,
                evidence=(*known.evidence, evidence) if known else (evidence,),
            )
        return tuple(found.values())

    def _claims(self, hearing: Hearing, outline: Outline, dish: int) -> tuple[Claim, ...]:
        found: dict[tuple[str, str, str], Claim] = {}
        for claim in hearing.claims:
            if outline.local[claim.start] != dish:
                continue
            evidence = hearing.speech.evidence(claim.start, claim.end, claim.rule)
            key = (claim.food, claim.nutrient, claim.sense)
            known = found.get(key)
            found[key] = Claim(
                food=claim.food,
                nutrient=claim.nutrient,
                sense=claim.sense,
                evidence=(*known.evidence, evidence) if known else (evidence,),
            )
        return tuple(found.values())


def _slug(title: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-") or "dish"
