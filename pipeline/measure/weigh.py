"""Spoken amounts to grams of edible food.

Each way of weighing says in `how` what was multiplied and in `source` where the weight is from; what the words leave
open stays open as a range.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from pipeline.errors import RulesError
from pipeline.foods.table import Food
from pipeline.measure.containers import Container, contents
from pipeline.measure.pick import pick
from pipeline.measure.tables import Measure, Span, Tables
from pipeline.measure.vague import VagueReading, read_vague
from pipeline.record import Amount, Grams

_CONTAINERS = frozenset({"can", "package"})


@cache
def default_tables() -> Tables:
    """The tables of data/, read once."""
    return Tables.load()


def weigh(
    amount: Amount,
    food: Food | None,
    *,
    kitchen: str = "us",
    preparation: tuple[str, ...] = (),
    tables: Tables | None = None,
) -> Grams | None:
    """Grams of `food` in `amount`; None where the food is unknown or nothing in the tables supports a weight.

    `kitchen` is one of data/kitchens.toml and says how large a cup or spoon is; `preparation` the words for size and
    cut, which choose among household weights. Raises RulesError for an unknown kitchen.
    """
    tables = tables or default_tables()
    if ("any", kitchen) not in tables.volume and (kitchen, "cup") not in tables.volume:
        raise RulesError(f"no kitchen {kitchen!r}; known are {', '.join(tables.kitchens())}", file="kitchens.toml")
    if food is None:
        return None
    count = _count(amount)
    if count is not None:
        return _Weighing(tables, food, kitchen, _words(amount, preparation), amount).said(count, amount.unit or "each")
    if amount.basis == "vague":
        return _Weighing(tables, food, kitchen, _words(amount, preparation), amount).vague()
    return _typical(tables, food)


def _count(amount: Amount) -> Span | None:
    best = amount.best if amount.best is not None else amount.low if amount.low is not None else amount.high
    if best is None:
        return None
    low = amount.low if amount.low is not None else best
    high = amount.high if amount.high is not None else best
    return Span(min(low, best), best, max(high, best))


def _words(amount: Amount, preparation: tuple[str, ...]) -> frozenset[str]:
    return frozenset(" ".join((*preparation, amount.words)).lower().replace(",", " ").replace("-", " ").split())


def _typical(tables: Tables, food: Food) -> Grams | None:
    for key, kind in ((f"food:{food.id}", food.name), (f"class:{food.class_}", food.class_.replace("-", " "))):
        span = tables.typical.get(key)
        if span is not None:
            return _grams(span, "typical", f"amount not said; typical of {kind}", span.source)
    return None


@dataclass(frozen=True, slots=True)
class _Weighing:
    tables: Tables
    food: Food
    kitchen: str
    words: frozenset[str]
    amount: Amount

    def said(self, count: Span, unit: str) -> Grams | None:
        """Grams of `count` units."""
        tables = self.tables
        if unit in tables.weight:
            return self._weight(count, unit)
        if tables.millilitres(self.kitchen, unit) is not None:
            return self._volume(count, unit)
        container = contents(self.amount.words, tables) if unit in _CONTAINERS else None
        if container is not None:
            return self._contents(count, container)
        return self._counted(count, unit) or self._small(count, unit) or self._fallback(count, unit)

    def vague(self) -> Grams | None:
        """Grams of an amount that only vague words give."""
        reading = read_vague(self.amount.words, self.tables)
        if reading.unit is not None:
            grams = self.said(reading.factor, reading.unit)
            return grams.model_copy(update={"basis": "vague"}) if grams is not None else None
        if reading.phrase == "" and self._of("each"):
            grams = self._counted(reading.factor, "each")
            return grams.model_copy(update={"basis": "vague"}) if grams is not None else None
        return self._by_phrase(reading)

    def _by_phrase(self, reading: VagueReading) -> Grams | None:
        phrase = reading.phrase or reading.fallback
        for kind in (self.food.class_, "*"):
            span = self.tables.vague.get((phrase, kind))
            if span is not None:
                factor = reading.factor if reading.phrase else Span(1, 1, 1)
                what = f"{self.amount.words!r}: {phrase} of {self.food.class_ if kind != '*' else 'any food'}"
                return _grams(factor.times(span), "vague", f"{what}, {_range(span, 'g')}", span.source)
        return None

    def _weight(self, count: Span, unit: str) -> Grams:
        factor = self.tables.weight[unit]
        refuse = (self.food.refuse_pct or 0) / 100
        how = f"{_range(count)} {unit} of {factor:.4g} g"
        source = "NIST SP 811 appendix B"
        if not refuse or self.words & self.tables.trimmed:
            return _grams(count.times(Span(factor, factor, factor)), "weight", how, source)
        edible = Span(factor * (1 - refuse), factor * (1 - refuse), factor)
        how += f", less {refuse:.0%} that is not eaten; all of it if already trimmed"
        return _grams(count.times(edible), "weight", how, f"{source}; {self.food.source}")

    def _volume(self, count: Span, unit: str) -> Grams | None:
        millilitres = self.tables.millilitres(self.kitchen, unit) or 0.0
        density, note = self._density(unit)
        if density is None:
            return None
        of_unit = density.times(Span(millilitres, millilitres, millilitres))
        how = f"{_range(count)} {unit} of {_range(of_unit, 'g')}{note}"
        return _grams(count.times(of_unit), "volume", how, density.source)

    def _density(self, unit: str) -> tuple[Span | None, str]:
        """Grams a millilitre of the food, else of its class, with a note for the reader."""
        own = [
            Measure(measure.unit, measure.what, _per(measure.grams, self._us(measure.unit)))
            for measure in self.tables.measures.get(self.food.id, ())
            if self.tables.millilitres("us", measure.unit) is not None
        ]
        if own:
            same = [measure for measure in own if measure.unit == unit]
            fitting = same if same and not self._prepared(own) else own
            return pick(fitting, self.words, self.tables.likeness, counted=False), ""
        span = self.tables.densities.get(self.food.class_)
        return span, f", by the density of {self.food.class_}, which is a wide range"

    def _prepared(self, measures: list[Measure]) -> bool:
        """Whether only a measure of another unit gives the preparation that was said."""
        return any(measure.what & self.words for measure in measures)

    def _us(self, unit: str) -> float:
        return self.tables.millilitres("us", unit) or 1.0

    def _of(self, unit: str) -> list[Measure]:
        """Measures of a unit: the food's own, else those of its group, else of its class."""
        for key in (self.food.id, f"group:{self.food.group}", f"class:{self.food.class_}"):
            found = [measure for measure in self.tables.measures.get(key, ()) if measure.unit == unit]
            if found:
                return found
        return []

    def _counted(self, count: Span, unit: str, widen: Span | None = None, said: str = "") -> Grams | None:
        measures = self._of(unit)
        if not measures:
            return None
        span = pick(measures, self.words, self.tables.likeness, counted=True)
        span = span.times(widen) if widen is not None else span
        thing = said or unit
        how = f"{_range(count)} {'' if thing == 'each' else thing + ' '}of {_range(span, 'g')}"
        how += f", weighed as {unit}" if said else ""
        return _grams(count.times(span), "count", how, span.source)

    def _small(self, count: Span, unit: str) -> Grams | None:
        small = self.tables.small.get(unit)
        density, note = self._density("teaspoon")
        if small is None or density is None:
            return None
        teaspoon = self._us("teaspoon")
        of_unit = small.times(Span(teaspoon, teaspoon, teaspoon)).times(density)
        how = f"{_range(count)} {unit} of {_range(of_unit, 'g')}{note}"
        return _grams(count.times(of_unit), "volume", how, f"{density.source}; {small.source}")

    def _fallback(self, count: Span, unit: str) -> Grams | None:
        for then, widen in self.tables.fallbacks.get(unit, ()):
            grams = self._counted(count, then, widen, unit)
            if grams is not None:
                return grams
        return None

    def _contents(self, count: Span, container: Container) -> Grams | None:
        """Containers whose size was said: drained foods come to a share of it."""
        size = Span(container.size, container.size, container.size)
        if container.unit in self.tables.weight:
            factor = self.tables.weight[container.unit]
            of_one = size.times(Span(factor, factor, factor))
            source = "NIST SP 811 appendix B"
        else:
            density, _ = self._density(container.unit)
            if density is None:
                return None
            millilitres = self.tables.millilitres(self.kitchen, container.unit) or 0.0
            of_one = size.times(Span(millilitres, millilitres, millilitres)).times(density)
            source = density.source
        how = f"{_range(count)} {self.amount.unit} of {container.size:g} {container.unit}"
        marks = self.words | set(self.food.name.replace(",", " ").split()) | set(self.food.id.split("-"))
        for word, share in sorted(self.tables.drained.items()):
            if word in marks:
                text = f"{how}, drained: {_range(share)} of it"
                return _grams(count.times(of_one).times(share), "count", text, f"{source}; {share.source}")
        return _grams(count.times(of_one), "count", how, source)


def _per(span: Span, divisor: float) -> Span:
    return Span(span.low / divisor, span.best / divisor, span.high / divisor, span.source)


def _grams(span: Span, basis: str, how: str, source: str) -> Grams:
    return Grams.model_validate(
        {"low": span.low, "best": span.best, "high": span.high, "basis": basis, "how": how, "source": source}
    )


def _range(span: Span, unit: str = "") -> str:
    low, best, high = f"{span.low:.4g}", f"{span.best:.4g}", f"{span.high:.4g}"
    text = best if low == high else f"{best} ({low} to {high})"
    return f"{text} {unit}".rstrip()
