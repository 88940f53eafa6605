"""How many a dish feeds, reckoned from the pieces it makes and the pieces that are one portion: twelve, two each."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from pipeline.hear.lexicon import Classes, load_phrases, load_rows, marked_rules, phrase_class, time_words
from pipeline.hear.numbers import Figure, NumberReader
from pipeline.hear.speech import Speech

_BACK = 16
_ON = 8
_MAKING_REACH = 4
_MEASURING = frozenset({"measure", "small", "length"})
_FEWEST = 4
_GOES_ON = phrase_class("piece-goes-on")
_OF_THEM = ("of", "them")
_SLICED = marked_rules("sliced")
ALONE, TOLD = "portion.pieces-alone", "portion.pieces-told"


@dataclass(frozen=True, slots=True)
class Yielded:
    """Words `start` to `end` (exclusive) say a number of pieces, of which `portions` portions come."""

    start: int
    end: int
    portions: Fraction
    rule: str


@dataclass(frozen=True, slots=True)
class _Portion:
    start: int
    end: int
    pieces: Fraction
    rule: str


class PortionReader:
    """Compiled words for pieces and portions."""

    def __init__(self, numbers: NumberReader, classes: Classes) -> None:
        self._numbers = numbers
        self._counted = load_phrases("portion_counts.csv", ("id", "pattern"), classes)
        self._single = load_phrases("portion_words.csv", ("id", "pieces", "pattern"), classes)
        self._each = load_phrases("portion_leads.csv", ("id", "pattern"), classes)
        self._pieces = load_phrases("piece_words.csv", ("id", "pattern"), classes)
        self._leads = load_phrases("yield_leads.csv", ("id", "kind", "pattern"), classes)
        self._makes = frozenset(classes["makes"]) | frozenset(classes["piece-lead"])
        self._cuts = frozenset(classes["cuts"])
        measures = load_rows("units.csv", ("word", "unit", "kind"))
        measuring = [row["word"] for row in measures if row["kind"] in _MEASURING]
        self._measures = time_words().union(measuring)

    def find(self, speech: Speech, figures: Sequence[Figure], blocked: frozenset[int]) -> list[Yielded]:
        """Every yield that a portion is said of, in order."""
        portions = self._portions(speech, figures)
        taken = {portion.start for portion in portions}
        yields = [made for made in self._yields(speech, figures, blocked) if made[0] not in taken]
        starts = [start for start, _, _ in yields]
        found = [Yielded(start, end, count, "portion.grid") for start, end, count in self._grids(speech.words, figures)]
        for portion in portions:
            first = bisect_left(starts, portion.start - _BACK)
            last = bisect_left(starts, portion.end + _ON)
            near = yields[first:last]
            before = [made for made in reversed(near) if made[1] <= portion.start]
            after = [made for made in near if made[0] >= portion.end]
            for start, end, count in (*before, *after):
                if count > portion.pieces and not count % portion.pieces:
                    found.append(Yielded(start, end, count / portion.pieces, portion.rule))
                    break
        found += self._alone(speech, figures, blocked)
        return list({(made.start, made.portions): made for made in reversed(found)}.values())

    def _alone(self, speech: Speech, figures: Sequence[Figure], blocked: frozenset[int]) -> list[Yielded]:
        """`it cuts into eight`, `makes a dozen`: pieces of which nobody says how many are a portion, each for one."""
        words = speech.words
        leads = {lead.end: lead.payload["kind"] for lead in self._leads.everywhere(words, speech.places)}
        found: list[Yielded] = []
        for figure in figures:
            kind = leads.get(figure.start)
            if kind is None or figure.start in blocked or not whole(figure) or figure.low < _FEWEST:
                continue
            named = self._pieces.longest(words, figure.end) if figure.end < len(words) else None
            end = named.end if named else figure.end
            if kind == "told":
                ends = named is not None and named.payload["id"] in _SLICED and words[end : end + 1] not in _GOES_ON
            else:
                ends = named is not None or figure.form == "group" or kind == "cut"
            if ends and figure.low == figure.high and words[figure.end : figure.end + 1] not in _GOES_ON:
                found.append(Yielded(figure.start, end, figure.low, TOLD if kind == "told" else ALONE))
        return found

    def _yields(
        self, speech: Speech, figures: Sequence[Figure], blocked: frozenset[int]
    ) -> list[tuple[int, int, Fraction]]:
        """Numbers of pieces: `eight squares`, `makes twelve`, `cut it three by three`."""
        words = speech.words
        found: list[tuple[int, int, Fraction]] = []
        for figure in figures:
            if figure.start not in blocked and whole(figure) and figure.low == figure.high and figure.low > 1:
                lead = words[max(0, figure.start - _MAKING_REACH) : figure.start]
                named = self._pieces.longest(words, figure.end) if figure.end < len(words) else None
                measured = words[figure.end : figure.end + 1] and words[figure.end] in self._measures
                all_of = words[figure.end : figure.end + 2] == _OF_THEM
                if named or all_of or (not measured and not (self._makes | self._cuts).isdisjoint(lead)):
                    found.append((figure.start, named.end if named else figure.end, figure.low))
        return sorted((*found, *self._grids(words, figures)))

    def _grids(self, words: Sequence[str], figures: Sequence[Figure]) -> list[tuple[int, int, Fraction]]:
        """`cut it three by four` makes twelve."""
        return [
            (one.start, two.end, one.low * two.low)
            for one, two in pairwise(figures)
            if tuple(words[one.end : two.start]) == ("by",)
            and whole(one)
            and whole(two)
            and not self._cuts.isdisjoint(words[max(0, one.start - _MAKING_REACH) : one.start])
        ]

    def _portions(self, speech: Speech, figures: Sequence[Figure]) -> list[_Portion]:
        words = speech.words
        found = [
            _Portion(match.start, match.end, Fraction(match.payload["pieces"]), match.payload["id"])
            for match in self._single.everywhere(words, speech.places)
        ]
        for figure in figures:
            match = self._counted.longest(words, figure.end) if figure.end < len(words) else None
            if match is not None and whole(figure) and words[match.end : match.end + 1] != ("of",):
                found.append(_Portion(figure.start, match.end, figure.low, match.payload["id"]))
        counted = {figure.start: figure for figure in figures if whole(figure) and figure.low == figure.high}
        found += [
            _Portion(match.start, counted[match.end].end, counted[match.end].low, match.payload["id"])
            for match in self._each.everywhere(words, speech.places)
            if match.end in counted
        ]
        return sorted(found, key=lambda portion: portion.start)


def whole(figure: Figure) -> bool:
    """Whether a figure can count people or pieces."""
    return figure.low.denominator == 1 and figure.low >= 1 and figure.form in {"cardinal", "digits", "range", "group"}
