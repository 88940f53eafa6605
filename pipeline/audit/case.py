"""One dish made ready for the checks: its settings in order of the recording, placed in the words around them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from pipeline.audit.report import AuditFinding
from pipeline.audit.tables import Tables
from pipeline.audit.talk import Span, Talk, cues_in
from pipeline.foods.table import Food, FoodTable
from pipeline.phrases import Match
from pipeline.record import Duration, Episode, Evidence, Ingredient, Recipe, Temperature

_BEFORE, _AFTER = 14, 12
_AFTERTHOUGHT = 4
_FRAME = (5, 0)
_CLOSE = (6, 3)
_WARMER = 10
_GROUPS = {"poultry": "poultry", "meat": "whole", "fish": "fish", "shellfish": "shellfish", "egg": "egg"}
STRICTEST = ("poultry", "ground", "egg", "whole", "fish", "shellfish")


@dataclass(frozen=True, slots=True)
class Heat:
    """A stated temperature in its place; `of` is what the words around it say where the record says `other`."""

    said: Temperature
    of: str
    place: Span
    near: Span
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Time:
    """A stated length of time in its place; `label` is the method, `store` where days in a fridge or tin are meant."""

    said: Duration
    label: str
    place: Span
    near: Span
    evidence: Evidence

    @property
    def planned(self) -> bool:
        """Whether it is an instruction, and no report."""
        return self.said.kind == "planned"


@dataclass(frozen=True)
class Case:
    """A recipe with its settings; `raw` are the kinds of raw animal food in it, `titled` the cues in its title."""

    recipe: Recipe
    episode: Episode
    talk: Talk
    tables: Tables
    heats: tuple[Heat, ...]
    times: tuple[Time, ...]
    raw: frozenset[str]
    animal: bool
    titled: frozenset[str]
    span: Span

    def of(self, *kinds: str) -> tuple[Heat, ...]:
        """The temperatures of these kinds."""
        return tuple(one for one in self.heats if one.of in kinds)

    def labelled(self, *labels: str) -> tuple[Time, ...]:
        """The times of these methods."""
        return tuple(one for one in self.times if one.label in labels)

    def near(self, cue: str, one: Heat | Time) -> bool:
        """Whether a cue stands in the words around a setting."""
        return self.talk.has(cue, one.near)

    def meant(self, cue: str, one: Heat | Time) -> bool:
        """Whether a cue that is not negated stands in the words around a setting."""
        return bool(self.talk.meant(cue, one.near))

    def belongs(self, cue: str, one: Heat | Time) -> bool:
        """Whether a cue that is not negated stands around a setting and no other of its sort is nearer to it.

        Times at the hob or in the oven stand back behind times in which food is left alone.
        """
        others = self.heats if isinstance(one, Heat) else [time for time in self.times if self.left_alone(time)]
        return any(
            all(_far(match, one.place) <= _far(match, other.place) for other in others)
            for match in self.talk.meant(cue, one.near)
        )

    def left_alone(self, one: Time) -> bool:
        """Whether the food is not being cooked during that time, as far as its method tells."""
        return self.tables.place(one.label) in {"idle", ""}

    def marinates(self, one: Time) -> bool:
        """Whether food lies in a marinade during that time, by its method or by the words close to it."""
        near = self.talk.near(one.place, 8, 6)
        return one.label in {"marinate", "brine"} or (self.left_alone(one) and self.talk.has("marinating", near))

    @property
    def perishable(self) -> bool:
        """Whether the dish holds animal food or is a cooked dish of the kind that spoils, and is no baked good."""
        return (self.animal or "pot" in self.titled) and "baked" not in self.titled

    def finding(self, rule: str, places: Iterable[Span], row: str = "", **facts: str) -> AuditFinding:
        """What the rule says, with the words at `places`; sources that are ids of data/safety.csv are written out."""
        found = self.tables.rules[rule]
        sources = [source.format(row=row) for source in found.sources]
        published = self.tables.safety
        return AuditFinding(
            rule=rule,
            level=found.level,
            text=_capital(found.text.format(**facts)),
            action=found.action,
            caption=_capital(found.caption.format(**facts)),
            dish=self.recipe.title,
            evidence=tuple(dict.fromkeys(self.talk.quote(place, rule) for place in places)),
            sources=tuple(published[source].source if source in published else source for source in sources),
        )


def _label(said: Duration, talk: Talk, place: Span) -> str:
    """The method of a time; days said beside a fridge, a tin or keeping are how long the food keeps."""
    usual = talk.tables.times.get((said.for_, ""))
    if said.unit == "day" and usual and usual.place != "idle" and talk.has("store", talk.near(place, 12, 8)):
        return "store"
    return said.for_


def case_of(recipe: Recipe, episode: Episode, talk: Talk, tables: Tables) -> Case:
    """The recipe with its settings placed, each piece of evidence on its own."""
    kinds = [kind_of(line, tables) for line in recipe.ingredients]
    raw = any(raw for _, raw in kinds)
    heats = [
        Heat(said, _of(said, talk, place, raw=raw), place, talk.near(place, _BEFORE, _AFTER), evidence)
        for said in recipe.standing_temperatures
        for place, evidence in _placed(said.evidence, talk)
    ]
    times = [
        Time(said, _label(said, talk, place), place, talk.near(place, _BEFORE, _AFTER), evidence)
        for said in recipe.times
        for place, evidence in _placed(said.evidence, talk)
    ]
    return Case(
        recipe=recipe,
        episode=episode,
        talk=talk,
        tables=tables,
        heats=tuple(sorted(heats, key=lambda one: (one.place.start, one.place.end))),
        times=tuple(sorted(times, key=lambda one: (one.place.start, one.place.end))),
        raw=frozenset(kind for kind, raw in kinds if kind and raw),
        animal=any(kind for kind, _ in kinds),
        titled=cues_in(recipe.title, tables, "dish"),
        span=talk.between(recipe.start, _end(recipe, episode)),
    )


def _end(recipe: Recipe, episode: Episode) -> float:
    """Seconds up to which talk may be about the dish: its own end, or where later the next dish begins."""
    after = [other.start for other in episode.recipes if other.start > recipe.start and other.start >= recipe.end]
    return max(recipe.end, min(after, default=episode.source.duration))


def kind_of(line: Ingredient, tables: Tables) -> tuple[str, bool]:
    """The kind of animal food, empty for any other, and whether it goes in raw."""
    food = _foods().get(line.food.id) if line.food else None
    text = " ".join((line.name, *line.preparation, *((food.name, food.id) if food else ())))
    kind = _by_group(food, tables, text) if food else _by_name(line.name, tables)
    return kind, bool(kind) and not cues_in(text, tables, "prepared")


def _by_group(food: Food, tables: Tables, text: str) -> str:
    kind = "ground" if food.group == "sausage" else _GROUPS.get(food.group, "")
    return "ground" if kind == "whole" and cues_in(text, tables, "ground") else kind


def _by_name(name: str, tables: Tables) -> str:
    kinds = cues_in(name, tables, "food")
    if "none" in kinds:
        return ""
    return next((kind for kind in STRICTEST if kind in kinds), "")


def _placed(evidence: Sequence[Evidence], talk: Talk) -> Iterable[tuple[Span, Evidence]]:
    """Each place once, with the first evidence that stands there."""
    places: dict[Span, Evidence] = {}
    for said in evidence:
        places.setdefault(talk.place(said), said)
    return places.items()


def _of(said: Temperature, talk: Talk, place: Span, *, raw: bool) -> str:
    """What a temperature is of. Where the record says oven or leaves it open, a thing named just before the figure
    stands above that; and one too low to bake at, with no oven close by, is of the meat, fish or egg in the dish."""
    if said.of not in {"oven", "other"}:
        return said.of
    before = _nearest(talk, place, talk.near(place, *_FRAME))
    around = _nearest(talk, place, talk.near(place, *_CLOSE))
    if before and before != "oven":
        return before
    if raw and around != "oven" and said.celsius < talk.tables.heats["oven", "bake"].low + _WARMER:
        return "food"
    return (around or "other") if said.of == "other" else said.of


def _nearest(talk: Talk, place: Span, within: Span) -> str:
    named = [(_gap(cue, place), cue.payload) for cue in talk.found("of", within)]
    return min(named)[1] if named else ""


def _gap(cue: Match[str], place: Span) -> int:
    """Words between a cue and a place, nought where they overlap."""
    return max(0, cue.start - place.end, place.start - cue.end)


def _far(cue: Match[str], place: Span) -> int:
    """The gap, and some words more where the cue comes after: what a figure is for is mostly said before it."""
    return _gap(cue, place) + (_AFTERTHOUGHT if cue.start >= place.end else 0)


@cache
def _foods() -> FoodTable:
    return FoodTable.load()


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
