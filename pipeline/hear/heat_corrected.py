"""Temperatures that a speaker takes back for another: `four fifty, no, four twenty five`."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pipeline.hear.heat_spans import HeatSpan, echoed, rivals
from pipeline.hear.lexicon import Classes, load_phrases

_WITHIN = 8
_AGAIN = 26
_MEANT_ON = 4


@dataclass(frozen=True, slots=True)
class TakenBack:
    """A temperature that does not hold, and the one that was put in its place."""

    span: HeatSpan
    by: HeatSpan


class CorrectedHeats:
    """Compiled words that correct."""

    def __init__(self, classes: Classes) -> None:
        self._corrections = load_phrases("correction_words.csv", ("id", "pattern"), classes)

    def part(
        self, words: Sequence[str], found: Sequence[HeatSpan]
    ) -> tuple[tuple[HeatSpan, ...], tuple[TakenBack, ...]]:
        """The temperatures that hold, and those taken back with what was said of them again soon after, each with the
        one that holds in the end."""
        wrong: dict[int, HeatSpan] = {}
        for one in self._wrong(words, found):
            for span in found:
                again = span.value == one.span.value and 0 <= span.start - one.span.end <= _AGAIN
                if span is one.span or again:
                    wrong.setdefault(span.start, one.by)
        taken = (TakenBack(span, _last(span, wrong)) for span in found if span.start in wrong)
        standing = tuple(span for span in found if span.start not in wrong)
        return standing, tuple(one for one in taken if one.by.start not in wrong)

    def _wrong(self, words: Sequence[str], found: Sequence[HeatSpan]) -> Iterator[TakenBack]:
        """Each temperature that the next one of the same thing corrects, or of which it is said which one was meant."""
        values = set()
        for one, two in pairwise(found):
            if not rivals(one, two) or two.start - one.end > _WITHIN:
                continue
            corrected = any(self._corrections.at(words, place) for place in range(one.end, two.start))
            corrected = corrected or (two.start - one.end <= 1 and echoed(found, two))
            if corrected and two.value not in values:
                values.add(one.value)
                yield TakenBack(one, two)
        for two in found:
            if "meant" in words[two.end : two.end + _MEANT_ON]:
                before = (one for one in found if 0 < two.start - one.end <= _AGAIN and rivals(one, two))
                yield from (TakenBack(one, two) for one in before)


def _last(span: HeatSpan, wrong: Mapping[int, HeatSpan]) -> HeatSpan:
    """What holds in the end: `four hundred, no, three fifty, no, three seventy five`; a later one for each step."""
    while span.start in wrong and wrong[span.start].start > span.start:
        span = wrong[span.start]
    return span
