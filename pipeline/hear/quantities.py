"""Spoken kitchen amounts: a figure with its unit, a count, a share of something shown, or a vague word."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence, Set
from dataclasses import replace
from fractions import Fraction

from pipeline.hear.lexicon import Classes, load_phrases, load_rows, phrase_class, word_class
from pipeline.hear.measures import Unit, UnitReader
from pipeline.hear.numbers import Figure, NumberReader
from pipeline.hear.one_thing import OneThingReader
from pipeline.hear.quantity import LEAST_WEIGHT, SAID_IN_HUNDREDS, Quantity
from pipeline.hear.relative import RelativeReader
from pipeline.hear.speech import Speech

_SAME_UNIT_REACH = 6
_ORDINAL = "third"
_USED_REACH = 14
_USED = word_class("using-lead")
_NO_MEASURE = frozenset({"article", "group"})
_REASONS = phrase_class("half-reason")
_SIDES = word_class("half-side")
_OBJECTS = word_class("it-or-them") - {"this", "that", "these", "those"}
_ARTICLES = phrase_class("article")
_PERCENT = phrase_class("percent-word")
_MAKE_IT = phrase_class("make-it")


class QuantityReader:
    """Compiled unit and vague words."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        self._units = UnitReader(numbers, classes)
        self._one = OneThingReader(numbers, self._units, classes)
        self._vague = load_phrases("vague.csv", ("id", "pattern"), classes)
        self._sizes = frozenset(classes["size"])
        self._fill = frozenset(classes["amount-filler"])
        self._dimension = frozenset(classes["dimension"])
        self._not_number_before = frozenset(classes["pronoun-one"])
        self._relative = RelativeReader(classes)
        self._shown = frozenset(classes["shown"])
        self._only = frozenset(classes["only-word"])
        self._weighed_bags = frozenset(classes["weighed-bag"])
        self._weights = frozenset(classes["weight-word"])
        self._added = frozenset(classes["added-word"])
        self._length_nouns = frozenset(classes["length-noun"])
        self._definite = frozenset(classes["definite"])
        self._dishes = frozenset(classes["baking-dish"])
        self._pointing = self._definite | {"a"}
        self._objects = frozenset(classes["object-pronoun"]) | frozenset(classes["cut-thin"])
        self._modifiers: Mapping[str, str] = {
            row["words"]: row["kind"] for row in load_rows("modifiers.csv", ("words", "kind"))
        }

    def find(self, speech: Speech, blocked: frozenset[int]) -> tuple[Quantity, ...]:
        """Amounts from left to right, none overlapping another; words in `blocked` begin none."""
        found: list[Quantity] = []
        done = 0
        for place in speech.where(self._openers(speech.places)):
            if place < done or place in blocked:
                continue
            quantity = self._read(speech.words, place, found, blocked)
            if quantity is not None and any(speech.turn_before[place + 1 : quantity.end]):
                turn = speech.turn_before.index(True, place + 1)
                quantity = self._read(speech.words[:turn], place, found, blocked)
            if quantity is not None:
                found.append(quantity)
                done = quantity.end
        return tuple(found)

    def _openers(self, words: Collection[str]) -> Set[str]:
        """Those of some different words with which an amount may begin: no other is looked at."""
        tables = (self._numbers, self._relative, self._vague, self._units)
        return self._one.openers.union(*(table.openers(words) for table in tables))

    def _at(self, words: Sequence[str], place: int, figure: Figure | None, blocked: frozenset[int]) -> Quantity | None:
        vague = self._vague.longest(words, place)
        if vague is not None and (figure is None or vague.end >= figure.end):
            small = self._with_unit(words, figure, blocked) if figure is not None else None
            if small is not None and small.unit is not None and small.end > vague.end:
                return small
            return self._vague_amount(words, place, vague.end, vague.payload["id"])
        if figure is None:
            return self._unit_alone(words, place)
        return self._with_unit(words, figure, blocked)

    def _read(
        self, words: Sequence[str], place: int, found: Sequence[Quantity], blocked: frozenset[int]
    ) -> Quantity | None:
        relative = self._relative.at(words, place, found)
        if relative is not None:
            return relative
        another = self._one.another_like(words, place, found)
        if another is not None:
            return another
        figure = self._hundreds_again(words, place, found) or self._figure(words, place)
        return self._same_unit(words, figure, found) or self._at(words, place, figure, blocked)

    def _hundreds_again(self, words: Sequence[str], place: int, found: Sequence[Quantity]) -> Figure | None:
        """`two hundred mils, sorry, two fifty`, `i'm using two fifty`: hundreds said as before, without the unit."""
        last = found[-1] if found else None
        reach = _USED_REACH if place and words[place - 1] in _USED else _SAME_UNIT_REACH
        if last is None or last.unit not in SAID_IN_HUNDREDS or place - last.end > reach:
            return None
        hundreds = self._numbers.joined(words, place)
        return hundreds._replace(form="cardinal") if hundreds is not None else None

    def _same_unit(self, words: Sequence[str], figure: Figure | None, before: Sequence[Quantity]) -> Quantity | None:
        """`two teaspoons of cumin, one of coriander`: the unit of the amount just said."""
        if figure is None or figure.form in _NO_MEASURE or words[figure.end : figure.end + 1] != ("of",) or not before:
            return None
        last = before[-1]
        shown = words[figure.end + 1 : figure.end + 2] and words[figure.end + 1] in self._shown
        if self._units.at(words, figure.end + 1) is not None:
            return None
        if shown or last.kind != "measure" or last.low is None or figure.start - last.end > _SAME_UNIT_REACH:
            return None
        spoken = " ".join(words[figure.start : figure.end])
        return Quantity(
            figure.start,
            figure.end + 1,
            figure.low,
            figure.high,
            last.unit,
            last.kind,
            "amount.same-unit",
            spoken,
            of=True,
        )

    def _figure(self, words: Sequence[str], place: int) -> Figure | None:
        hundreds = None if self._is_thing(words, place) else self._numbers.joined(words, place)
        of = hundreds is not None and words[hundreds.end : hundreds.end + 1] == ("of",)
        if hundreds is not None and (of or self._small_measure(words, hundreds.end)):
            return hundreds._replace(form="cardinal")
        figure = self._numbers.at(words, place)
        if figure is None:
            return None
        before = words[place - 1] if place else ""
        if words[place] == "half" and before in _SIDES and words[place + 1 : place + 2] not in _ARTICLES:
            return None
        if words[place] == "half" and words[place + 1 : place + 2] in _REASONS:
            return None
        if (
            words[place] == _ORDINAL
            and before in self._not_number_before
            and words[figure.end : figure.end + 1] != ("of",)
        ):
            return None
        if words[place] == "one" and self._is_pronoun(words, place, figure):
            return None
        figure = self._next_to_it(words, figure)
        of_one = words[figure.end - 1 : figure.end] in _ARTICLES
        whole = of_one or words[figure.end : figure.end + 1] in {("of",), ("the",)}
        return None if figure.form == "part" and before in {"in", "into"} and not whole else figure

    def _next_to_it(self, words: Sequence[str], figure: Figure) -> Figure:
        """`four five curry leaves`: from four to five; not `three four ounce pieces`."""
        both = self._numbers.and_the_next(words, figure)
        unit = self._units.at(words, both.end) if both is not figure else None
        return figure if unit is not None and words[unit.end - 1] in self._weights else both

    def _is_pronoun(self, words: Sequence[str], place: int, figure: Figure) -> bool:
        """`another one`, `the thin one half a cup`: `one` stands for a thing, and counts none."""
        before = words[place - 1] if place else ""
        unit = self._units.at(words, figure.end)
        made = words[max(0, place - 2) : max(0, place - 1)] in _MAKE_IT
        if unit is not None and before == "no" and unit.kind == "container":
            return False
        if unit is not None and unit.kind == "measure" and (made or before in {"the", "no"} or before in self._only):
            return False
        if before in self._only and words[max(0, place - 2)] not in self._definite:
            return False
        if before in self._not_number_before:
            return figure.form == "cardinal" and not self._is_just_one(words, place)
        return self._is_thing(words, place)

    def _is_thing(self, words: Sequence[str], place: int) -> bool:
        """`the thin one fifty grams`: whether `one` is what such a word describes."""
        if words[place] != "one" or place < 2:
            return False
        described = words[place - 1] in self._modifiers or words[place - 1] in self._sizes
        return described and words[place - 2] in self._definite

    def _is_just_one(self, words: Sequence[str], place: int) -> bool:
        """`just the one`: one of them, and no more."""
        return place > 1 and words[place - 1] == "the" and words[place - 2] in self._only

    def _small_measure(self, words: Sequence[str], place: int) -> bool:
        """Whether a unit follows of which cooks say hundreds: `two fifty grams`."""
        unit = self._units.at(words, place)
        return unit is not None and unit.unit in SAID_IN_HUNDREDS

    def _vague_amount(self, words: Sequence[str], start: int, end: int, rule: str) -> Quantity:
        of = words[end : end + 1] == ("of",)
        return Quantity(start, end + of, None, None, None, "vague", rule, " ".join(words[start:end]), of=of)

    def _unit_alone(self, words: Sequence[str], place: int) -> Quantity | None:
        """A measure without a figure, as in `i meant tablespoon`: low and high are None, kind is unit."""
        one = self._one.at(words, place)
        if one is not None:
            return one
        unit = self._units.at(words, place)
        if unit is None or unit.kind not in {"measure", "small"} or len(words[place]) < 3:
            return None
        if words[unit.end : unit.end + 1] == ("of",):
            return self._units.finish(words, Figure(place, place, Fraction(1), Fraction(1), "one"), unit)
        if unit.kind == "small":
            return None
        return Quantity(place, unit.end, None, None, unit.unit, "unit", "amount.unit", words[place])

    def _with_unit(self, words: Sequence[str], figure: Figure, blocked: frozenset[int]) -> Quantity | None:
        place = figure.end
        if figure.form in {"digits", "part"} and words[place : place + 2] in (("of", "a"), ("of", "an")):
            place += 2
        if figure.form == "group" and words[place : place + 1] == ("of",):
            place += 1
        while place < len(words) and (words[place] in self._sizes or words[place] in self._fill):
            place += 1
        if place + 1 < len(words) and words[place] in self._added and self._units.at(words, place + 1) is not None:
            place += 1
        unit = None if place in blocked else self._units.at(words, place)
        if unit is None or self._does(words, figure, unit):
            sized = self._sized_container(words, figure, place) or self._sized_things(words, figure, place)
            return sized or self._bare(words, figure)
        if unit.unit == "inch":
            return self._length(words, figure, unit)
        container = self._sized_container(words, figure, place)
        if container is not None:
            return container
        if figure.form == "article" and unit.kind == "measure" and len(words[place]) < 2:
            return None
        if self._is_place(words, figure, unit) or self._is_vessel(words, figure, unit):
            return None
        return self._units.finish(words, figure, unit)

    @staticmethod
    def _is_place(words: Sequence[str], figure: Figure, unit: Unit) -> bool:
        """`peppers out of a jar`, `oil all twelve cups` of a tin: where a thing is from or goes, and not how much."""
        before = words[max(0, figure.start - 2) : figure.start]
        counted = before[-1:] == ("all",) and figure.low > 1 and words[unit.end : unit.end + 1] != ("of",)
        return counted or (before == ("out", "of") and unit.unit in {"can", "package"})

    def _is_vessel(self, words: Sequence[str], figure: Figure, unit: Unit) -> bool:
        """`a two pint dish`, `my big three quart pot`: what the vessel holds."""
        before = words[max(0, figure.start - 2) : figure.start]
        return (
            unit.kind == "measure"
            and not self._dishes.isdisjoint(words[unit.end : unit.end + 1])
            and not self._pointing.isdisjoint(before)
        )

    def _does(self, words: Sequence[str], figure: Figure, unit: Unit) -> bool:
        """`eight, slice them thin`: what is done to eight things, and no unit."""
        following = words[unit.end] if unit.end < len(words) else ""
        one = not words[unit.end - 1].endswith("s")
        return figure.low > 1 and one and unit.kind == "count" and following in self._objects

    def _sized_container(self, words: Sequence[str], figure: Figure, place: int) -> Quantity | None:
        """`a 15 ounce can`, `two 400 gram tins`, `a 15 ounce can`: the containers are counted, not their content."""
        count = figure if figure.form != "part" else None
        size = self._numbers.at(words, place) if place < len(words) else None
        if size is not None and size.form in {"cardinal", "digits"} and count is not None:
            measure = self._units.at(words, size.end)
            holder = self._units.at(words, measure.end) if measure and measure.kind == "measure" else None
            if measure is not None and holder is not None and holder.kind == "container":
                held = (size.low, measure.unit) if words[holder.end - 1] in self._weighed_bags else None
                return replace(self._units.finish(words, count, holder), holds=held)
        measure = self._units.at(words, figure.end)
        if measure is not None and measure.kind == "measure":
            holder = self._units.at(words, measure.end)
            if holder is not None and holder.kind == "container":
                one = Figure(figure.start, measure.end, Fraction(1), Fraction(1), "cardinal")
                held = (figure.low, measure.unit) if words[holder.end - 1] in self._weighed_bags else None
                return replace(self._units.finish(words, one, holder), holds=held)
        return None

    def _one_of_those(self, words: Sequence[str], figure: Figure, place: int) -> Quantity | None:
        """`two of those 15 ounce cans`, `one of them little tins`: so many containers."""
        sized = self._sized_container(words, figure, place)
        while place < len(words) and words[place] in self._sizes:
            place += 1
        unit = self._units.at(words, place)
        if sized is not None or unit is None or unit.kind != "container":
            return sized
        return self._units.finish(words, figure, unit)

    def _sized_things(self, words: Sequence[str], figure: Figure, place: int) -> Quantity | None:
        """`two six ounce salmon fillets`: twelve ounces; not `two three ounces`, which is a range."""
        size = self._numbers.at(words, place) if place < len(words) else None
        if size is None or figure.form not in {"cardinal", "digits"} or size.form not in {"cardinal", "digits"}:
            return None
        unit = self._units.at(words, size.end)
        if unit is None or unit.kind != "measure" or size.low <= 1 or words[unit.end - 1] not in self._weights:
            return None
        whole = size._replace(start=figure.start, low=figure.low * size.low, high=figure.high * size.high)
        return self._units.finish(words, whole, unit)

    def _length(self, words: Sequence[str], figure: Figure, unit: Unit) -> Quantity | None:
        """`an inch of ginger`, `a two inch piece of it`; not `a two inch dice`."""
        told = words[figure.start - 1] in self._dishes if figure.start else False
        if told or any(word in self._dimension for word in words[unit.end : unit.end + 3]):
            return None
        piece = words[unit.end : unit.end + 1] and words[unit.end] in self._length_nouns
        return self._units.finish(words, figure, replace(unit, end=unit.end + 1) if piece else unit)

    def _bare(self, words: Sequence[str], figure: Figure) -> Quantity | None:
        """A figure that counts things, or a part of something: `three`, `half of this`, `half`."""
        end = figure.end
        of = words[end : end + 1] == ("of",)
        if of:
            end += 1
        if words[end : end + 1] in _PERCENT or words[end : end + 2] in _PERCENT:
            return None
        apiece = words[end : end + 1] == ("each",)
        pointed = end < len(words) and (of or figure.form in {"part", "group"})
        shown = pointed and (words[end] in self._shown or (of and words[end] == "it's"))
        shown = shown and (of or words[end] != "it")
        share = figure.form == "part" and (of or shown)
        holder = self._one_of_those(words, figure, end + 1) if of and shown and not share else None
        if holder is not None:
            return holder
        if of and not shown and not apiece and figure.form not in {"part", "group"} and figure.low < LEAST_WEIGHT:
            return None
        if of and not apiece and figure.form in {"cardinal", "digits"} and figure.low <= 1:
            return None
        if shown:
            end += 1
        quantity = Quantity(
            start=figure.start,
            end=end,
            low=figure.low,
            high=figure.high,
            unit=None,
            kind="count",
            rule=f"amount.{figure.form}.count",
            words=" ".join(words[figure.start : figure.end]),
            share=share,
            of=of and not apiece,
            article=figure.form == "article",
        )
        if share:
            return self._share_of_unit(words, quantity)
        return replace(quantity, each=True, end=end + 1) if apiece else quantity

    def _share_of_unit(self, words: Sequence[str], quantity: Quantity) -> Quantity:
        """`half the can`, `a third of that bunch`: the share is counted in the container's own unit."""
        place = quantity.end
        if words[place - 1] in _OBJECTS:
            return quantity
        while place < len(words) and (words[place] in self._sizes or words[place] in {"other", "whole"}):
            place += 1
        unit = self._units.at(words, place)
        if unit is None or unit.kind == "measure":
            return quantity
        of = words[unit.end : unit.end + 1] == ("of",)
        return replace(quantity, unit=unit.unit, kind=unit.kind, end=unit.end + of, of=of)
