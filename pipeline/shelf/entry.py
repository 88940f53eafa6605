"""An episode as the rows it becomes; made in a worker, so that the one process that writes has little to do."""

from __future__ import annotations

import hashlib
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pipeline.shelf.words import PER_100G, PER_RECIPE, PER_SERVING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from pipeline.read.transcript import Transcript
    from pipeline.record import Episode, Evidence, Load, Range, Recipe

AUDIT = "audit."
_DATE = re.compile(r"(?<!\d)(\d{4})(?P<gap>[-_.]?)(0[1-9]|1[0-2])(?P=gap)(0[1-9]|[12]\d|3[01])(?!\d)")


@dataclass(frozen=True, slots=True)
class FoodUse:
    """A food of a recipe: `key` is its id in the food table, or its name where it fits none."""

    key: str
    name: str
    listed: bool


@dataclass(frozen=True, slots=True)
class LoadRow:
    """A nutrient's range per recipe, serving or 100 g, in the unit its name ends with."""

    nutrient: str
    per: int
    low: float
    best: float
    high: float
    at_least: bool


@dataclass(frozen=True, slots=True)
class FindingRow:
    """A finding of the record, or of the audit of its settings, whose `rule` then begins with AUDIT; `start` is when
    the words it is about were said, in seconds."""

    rule: str
    level: str
    text: str
    start: float | None


@dataclass(frozen=True, slots=True)
class RecipeEntry:
    """The rows of one recipe; times in seconds, heats as (degrees Celsius, what is that hot)."""

    slug: str
    title: str
    start: float
    stop: float
    reviewed: bool
    time_low: float | None
    time_high: float | None
    foods: str
    method: str
    spoken: str
    moments: str
    uses: tuple[FoodUse, ...]
    loads: tuple[LoadRow, ...]
    heats: tuple[tuple[float, str], ...]
    findings: tuple[FindingRow, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """The rows of one episode. `record` is JSON on one line, `transcript` the transcript's bytes, deflated."""

    sha256: str
    file: str
    rules: str
    date: str | None
    duration: float
    record: str
    transcript: bytes | None
    amendments: str | None
    measures: str | None
    recipes: tuple[RecipeEntry, ...]

    @property
    def digest(self) -> bytes:
        """SHA-256 of the record as it is stored."""
        return hashlib.sha256(self.record.encode()).digest()


def entry_of(
    episode: Episode,
    transcript: Transcript | None,
    *,
    content: bytes | None,
    amendments: str | None,
    measures: str | None,
    date: str | None,
) -> Entry:
    """The rows of `episode`. `transcript`, read from `content`, gives the spoken text; without it the record does.

    `date` is that of the programme; where it is None a date in the file's name counts.
    """
    from pipeline.review.dietitian import standing

    reviewed = standing(episode) == "reviewed"
    return Entry(
        sha256=episode.source.sha256,
        file=episode.source.file,
        rules=episode.rules,
        date=date or date_in(episode.source.file),
        duration=episode.source.duration,
        record=episode.model_dump_json(by_alias=True),
        transcript=None if content is None else zlib.compress(content, 6),
        amendments=amendments,
        measures=measures,
        recipes=tuple(
            _recipe(recipe, transcript, found, reviewed=reviewed)
            for recipe, found in zip(episode.recipes, _audited(episode, transcript), strict=True)
        ),
    )


def date_in(name: str) -> str | None:
    """The ISO date in a file name (2024-03-05, 20240305, 2024_03_05); None where it has none."""
    found = _DATE.search(name)
    return f"{found[1]}-{found[3]}-{found[4]}" if found else None


def _audited(episode: Episode, transcript: Transcript | None) -> list[tuple[FindingRow, ...]]:
    """What the audit of the settings finds, for each recipe; of two with the same title it is the one being made."""
    from pipeline.audit import audit

    found: list[list[FindingRow]] = [[] for _ in episode.recipes]
    for one in audit(episode, transcript).findings:
        named = [place for place, recipe in enumerate(episode.recipes) if recipe.title == one.dish]
        spans = [place for place in named if episode.recipes[place].start <= one.at <= episode.recipes[place].end]
        row = FindingRow(f"{AUDIT}{one.rule}", one.level, one.text, _first(one.evidence))
        found[(spans or named)[0]].append(row)
    return [tuple(rows) for rows in found]


def _recipe(
    recipe: Recipe, transcript: Transcript | None, audited: tuple[FindingRow, ...], *, reviewed: bool
) -> RecipeEntry:
    planned = [time.seconds for time in recipe.times if time.kind == "planned"]
    said = _lines(recipe, transcript) if transcript else _evidence(recipe)
    spoken = sorted({(moment, " ".join(words.split())) for moment, words in said})
    return RecipeEntry(
        slug=recipe.id,
        title=recipe.title,
        start=recipe.start,
        stop=recipe.end,
        reviewed=reviewed,
        time_low=float(sum(low for low, _ in planned)) if planned else None,
        time_high=float(sum(high for _, high in planned)) if planned else None,
        foods="\n".join(line.name for line in recipe.ingredients),
        method="\n".join(step.text for step in recipe.method),
        spoken="\n".join(words for _, words in spoken),
        moments=" ".join(f"{moment:.10g}" for moment, _ in spoken),
        uses=_uses(recipe),
        loads=tuple(_loads(recipe.load)) if recipe.load else (),
        heats=tuple(sorted({(heat.celsius, str(heat.of)) for heat in recipe.standing_temperatures})),
        findings=(*(FindingRow(f.rule, f.level, f.text, _first(f.evidence)) for f in recipe.findings), *audited),
    )


def _uses(recipe: Recipe) -> tuple[FoodUse, ...]:
    uses: dict[str, FoodUse] = {}
    for line in recipe.ingredients:
        name = line.name.lower()
        use = FoodUse(line.food.id, line.food.name, True) if line.food else FoodUse(f"={name}", name, False)
        uses.setdefault(use.key, use)
    return tuple(uses[key] for key in sorted(uses))


def _loads(load: Load) -> Iterator[LoadRow]:
    sums: tuple[tuple[int, dict[str, Range]], ...] = (
        (PER_RECIPE, load.per_recipe),
        (PER_SERVING, load.per_serving or {}),
        (PER_100G, load.per_100g or {}),
    )
    for per, ranges in sums:
        for nutrient, span in sorted(ranges.items()):
            yield LoadRow(nutrient, per, span.low, span.best, span.high, nutrient in load.at_least)


def _lines(recipe: Recipe, transcript: Transcript) -> Iterator[tuple[float, str]]:
    for line in transcript.lines:
        if line.end >= recipe.start and line.start <= recipe.end:
            yield line.start, line.text


def _evidence(recipe: Recipe) -> Iterator[tuple[float, str]]:
    holders: tuple[Iterable[object], ...] = (
        recipe.ingredients,
        recipe.mentions,
        recipe.method,
        recipe.temperatures,
        recipe.times,
        recipe.claims,
    )
    for holder in holders:
        for part in holder:
            said: tuple[Evidence, ...] = getattr(part, "evidence", ())
            yield from ((one.start, one.words) for one in said)


def _first(evidence: tuple[Evidence, ...]) -> float | None:
    return min((one.start for one in evidence), default=None)
