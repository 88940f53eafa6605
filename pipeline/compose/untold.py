"""What was said of a dish and no order of its method tells: foods, times and temperatures. Each goes in where it was
said, as an order of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from pipeline.compose.instructions import ADD, DO, LIST, SETTING, SHORT, SHOWN, WHEN, Instruction
from pipeline.compose.labels import TimeLabels
from pipeline.compose.line_draft import LineDraft
from pipeline.compose.orders import aside
from pipeline.compose.sieve import gives_order
from pipeline.compose.telling import Telling
from pipeline.compose.whose import Settings
from pipeline.compose.wording import degrees
from pipeline.hear.durations import TimeSpan
from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.lexicon import Classes, load_rows

_LEAD = 3
_OPTION_BACK = 8
_TOGETHER = 20
_AGAIN = 60
_FoodPart = Callable[[LineDraft], str | None]


@dataclass(frozen=True, slots=True)
class Sentence:
    """Words `start` to `end` (exclusive) of the talk of a component, and what of them is kept."""

    start: int
    end: int
    component: str | None
    pieces: tuple[Instruction, ...]


class Completer:
    """Compiled words that tell a target from a reading, and a way of cooking from other doings."""

    def __init__(self, classes: Classes, labels: TimeLabels) -> None:
        self._labels = labels
        self._orders = {row["of"]: row["written"] for row in load_rows("heat_orders.csv", ("of", "written"))}
        self._told_labels = frozenset(classes["told-label"])
        self._readings = frozenset(classes["reads-heat"]) | frozenset(classes["heat-had"])

    def complete(
        self,
        telling: Telling,
        sentences: Sequence[Sentence],
        settings: Settings,
        dish: int,
        part_at: Callable[[int], str | None],
    ) -> list[Sentence]:
        """The sentences with what no order tells; `part_at` gives the component at a word."""
        book = _Book(telling, sentences, part_at)
        for at in _untold_foods(telling, sentences):
            food = telling.hearing.foods[at]
            book.put(Instruction(ADD, food.start, food.end))
        for time in self._untold_times(telling, book.sentences, settings, dish):
            label = self._labels.of(telling.hearing, time)
            written = label if label in self._told_labels else "cook"
            book.put(Instruction(SETTING, time.start, time.end, written=written))
        for heats in self._untold_heats(telling, book.sentences, settings, dish):
            written = f"{self._orders[heats[0].of]} {_together(telling, heats)}"
            book.put(Instruction(SHORT, heats[0].start, heats[-1].end, written=written))
        return book.sentences

    def _untold_times(
        self, telling: Telling, sentences: Sequence[Sentence], settings: Settings, dish: int
    ) -> Iterator[TimeSpan]:
        """Times of steps that no order holds; `every five minutes` tells how often and not how long."""
        hearing = telling.hearing
        told = _Words(_written(telling, sentences, but=LIST))
        said = {(time.low, time.high, time.unit): time.start for time in hearing.times if time.start in told}
        for time in hearing.times:
            key = (time.low, time.high, time.unit)
            if abs(said.get(key, -_AGAIN) - time.start) < _AGAIN:
                continue
            often = hearing.speech.words[max(0, time.start - 1)] == "every"
            planned = time.kind == "planned" and not often and self._labels.of(hearing, time) != "store"
            mine = dish in settings.of_time(time.start)
            if planned and mine and time.start not in told and not aside(hearing, time.start):
                said[key] = time.start
                yield time

    def _untold_heats(
        self, telling: Telling, sentences: Sequence[Sentence], settings: Settings, dish: int
    ) -> Iterator[list[HeatSpan]]:
        """Targets of one thing said together: `200 °C, which is gas mark 6`. Each is told once, and what is inside a
        food only where no order tells it yet."""
        hearing = telling.hearing
        told = _Words(_written(telling, sentences, but=LIST))
        mine = [heat for heat in hearing.heats if dish in settings.of_heat(heat)]
        known = {(heat.value, heat.of) for heat in mine if heat.start in told}
        known |= {(one.by.value, one.by.of) for one in hearing.heats_taken_back if one.span.start in told}
        inside = any(of == "food" for _, of in known)
        found: list[list[HeatSpan]] = []
        for heat in mine:
            if heat.of not in self._orders or (heat.value, heat.of) in known or not self._is_target(telling, heat):
                continue
            known.add((heat.value, heat.of))
            last = found[-1][-1] if found else heat
            if last is not heat and last.of == heat.of and heat.start - last.end <= _TOGETHER:
                found[-1].append(heat)
            elif heat.of != "food" or not inside:
                found.append([heat])
            inside = inside or heat.of == "food"
        yield from found

    def _is_target(self, telling: Telling, heat: HeatSpan) -> bool:
        """Not what a thermometer shows, nor the oven of another way to cook it."""
        words = telling.hearing.speech.words
        before = words[max(0, heat.start - _LEAD) : heat.start]
        option = heat.of == "oven" and "if" in words[max(0, heat.start - _OPTION_BACK) : heat.start]
        return not self._readings.intersection(before) and not option and not aside(telling.hearing, heat.start)


class _Words:
    """The words of pieces, asked one by one."""

    def __init__(self, pieces: Iterable[Instruction]) -> None:
        self._words = {place for piece in pieces for place in range(piece.start, piece.end)}

    def __contains__(self, place: int) -> bool:
        return place in self._words


class _Book:
    """Sentences by their first word, to which pieces are added."""

    def __init__(self, telling: Telling, sentences: Sequence[Sentence], part_at: Callable[[int], str | None]) -> None:
        self._telling = telling
        self._part_at = part_at
        self._at = {sentence.start: sentence for sentence in sentences}

    @property
    def sentences(self) -> list[Sentence]:
        """All sentences in order."""
        return [self._at[start] for start in sorted(self._at)]

    def put(self, added: Instruction) -> None:
        """Add a piece to the sentence in which it was said."""
        start, end = self._telling.hearing.clauses.sentence(added.start)
        known = self._at.get(start) or Sentence(start, end, self._part_at(start), ())
        self._at[start] = replace(known, pieces=_put_in(known.pieces, added))


def _put_in(pieces: Sequence[Instruction], added: Instruction) -> tuple[Instruction, ...]:
    """The pieces with another in its place: before the time in whose words it stands, after another it stands in."""
    if added.kind == SETTING:
        pieces = [
            piece for piece in pieces if piece.kind not in {SETTING, WHEN} or not piece.start <= added.start < piece.end
        ]
    later = (
        number
        for number, piece in enumerate(pieces)
        if piece.start > added.start or (piece.kind in {SETTING, LIST, SHOWN} and added.start < piece.end)
    )
    number = next(later, len(pieces))
    return (*pieces[:number], added, *pieces[number:])


def _written(telling: Telling, sentences: Sequence[Sentence], *, but: str = "") -> list[Instruction]:
    """The pieces of the sentences that come into the method."""
    told = [sentence for sentence in sentences if any(gives_order(telling, piece) for piece in sentence.pieces)]
    return [piece for sentence in told for piece in sentence.pieces if piece.kind not in {SHOWN, ADD, but}]


def _untold_foods(telling: Telling, sentences: Sequence[Sentence]) -> list[int]:
    """For every line that no order tells of the mention that does best."""
    written = [sentence for sentence in sentences if any(gives_order(telling, piece) for piece in sentence.pieces)]
    pieces = [piece for sentence in written for piece in sentence.pieces if piece.kind in {ADD, DO, LIST}]
    told = {id(telling.named[at]) for piece in pieces for at in telling.foods(piece)}
    lines = {id(line): line for line in telling.named.values() if id(line) not in told}
    best = (telling.best_mention(line) for line in lines.values())
    return [at for at in best if at is not None]


def _together(telling: Telling, heats: Sequence[HeatSpan]) -> str:
    """`350 °F`; `200 °C (180 °C fan, gas mark 6)`; of two on one scale the last, which corrects the first."""
    words = telling.hearing.speech.words
    written: dict[str, str] = {}
    for heat in heats:
        near = words[max(0, heat.start - _LEAD) : heat.end + 1]
        fan = any(word.startswith("fan") for word in near) and heat is not heats[0]
        written[f"{heat.unit} fan" if fan else heat.unit] = degrees(heat) + (" fan" if fan else "")
    first, *others = written.values()
    return f"{first} ({', '.join(others)})" if others else first
