"""Words a stretch of speech as an editor would: no filler, verbs as orders, figures for amounts, times and heat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from pipeline.compose.amounts import AmountResolver, Said, amount_of
from pipeline.compose.instructions import between, within
from pipeline.compose.lines import LineDraft
from pipeline.compose.orders import Action
from pipeline.hear.durations import TimeSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.heat import HeatSpan
from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.record import Amount, Duration
from pipeline.written import amount, duration, kitchen

Named = Mapping[int, LineDraft]


class Wording:
    """Compiled fillers and changed words."""

    def __init__(self, classes: Classes) -> None:
        self._fillers = load_phrases("method_fillers.csv", ("id", "pattern"), classes)
        self._changed = {row["word"]: row["written"] for row in load_rows("method_words.csv", ("word", "written"))}
        self._given = frozenset(classes["given-amount"])
        self._joined = frozenset({"and", "then", "or"})
        self._amounts = AmountResolver()

    def write(
        self, hearing: Hearing, named: Named, start: int, end: int, actions: Sequence[Action], told: set[int]
    ) -> str:
        """Words `start` to `end`. The amount of a line is written as it was settled, where the line is first told."""
        spans = {**dict(self._settings(hearing, start, end)), **self._amount_spans(hearing, named, start, end, told)}
        orders = {action.place: action.verb for action in actions if self._is_order(hearing, start, action.place)}
        ends = {hearing.foods[at].end - 1 for at in between(hearing.foods, start, end)}
        speech = hearing.speech
        written: list[str] = []
        place = start
        while place < end:
            if place in spans:
                if written and place - 1 in ends:
                    written[-1] += ","
                if written and place - 1 in orders and orders[place - 1] in self._given:
                    written.append("with")
                place, text = spans[place]
            elif filler := self._fillers.longest(speech.words, place):
                place, text = filler.end, ""
            else:
                text = orders.get(place) or self._changed.get(speech.words[place], speech.raw[place].lower())
                place += 1
            written.extend([text] if text else [])
        return " ".join(written)

    def _is_order(self, hearing: Hearing, start: int, place: int) -> bool:
        return place == start or hearing.speech.words[place - 1] in self._joined

    def _settings(self, hearing: Hearing, start: int, end: int) -> Iterator[tuple[int, tuple[int, str]]]:
        for time in within(hearing.times, start, end):
            yield time.start, (time.end, duration(_duration(time)))
        for heat in within(hearing.heats, start, end):
            yield heat.start, (heat.end, _degrees(heat))

    def _amount_spans(
        self, hearing: Hearing, named: Named, start: int, end: int, told: set[int]
    ) -> dict[int, tuple[int, str]]:
        spans: dict[int, tuple[int, str]] = {}
        for at in between(hearing.foods, start, end):
            line = named.get(at)
            if line is None:
                continue
            here = [said for said in line.said if said.measured.food == at and start <= said.quantity.start < end]
            here = [said for said in here if not said.quantity.article and not said.quantity.vague]
            if not here:
                continue
            told.add(id(line))
            text = self._figure(line, here[-1])
            of = hearing.speech.words[here[0].quantity.end - 1] == "of"
            before_food = here[0].quantity.end <= hearing.foods[at].start
            spans[here[0].quantity.start] = (here[0].quantity.end, f"{text} of" if of and before_food else text)
            spans.update({said.quantity.start: (said.quantity.end, "") for said in here[1:]})
        return spans

    def _figure(self, line: LineDraft, said: Said) -> str:
        """The amount said here, or the settled one where a correction took its place."""
        settled = self._amounts.resolve(line.said, line.name)
        if said not in settled.from_ or len(settled.from_) == 1:
            return amount(settled.amount)
        return amount(amount_of(said, line.name))

    def times(self, hearing: Hearing, start: int, end: int) -> str:
        """The planned times said in words `start` to `end`, in order."""
        here = within(hearing.times, start, end)
        return ", then ".join(duration(_duration(time)) for time in here if time.kind == "planned")

    def listed(self, hearing: Hearing, named: Named, foods: Sequence[int], told: set[int]) -> str:
        """Foods with the amounts of those not told before: `2 tablespoons of honey and the mustard`."""
        names: list[str] = []
        for line in {id(named[at]): named[at] for at in foods}.values():
            name = line.name
            settled = self._amounts.resolve(line.said, line.name).amount
            words = f"the {name}" if id(line) in told else measured(settled, name)
            told.add(id(line))
            if words not in names:
                names.append(words)
        return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]


def measured(settled: Amount, name: str) -> str:
    """A food after its amount: `2 tablespoons of honey`, `3 eggs`, `a splash of oil`; the bare name where none is."""
    if settled.basis == "vague":
        return f"{settled.words.removesuffix(' of')} of {name}" if settled.words else name
    text = amount(settled)
    if not text:
        return f"the {name}"
    counted = settled.unit in {None, "each"}
    return f"{text} {name}" if counted else f"{text} of {name}"


def _degrees(heat: HeatSpan) -> str:
    """`350 °F`; `350°` where no scale was said."""
    if heat.unit == "gas":
        return f"gas mark {kitchen(float(heat.value))}"
    return f"{kitchen(float(heat.value))} °{heat.unit}" if heat.unit_said else f"{kitchen(float(heat.value))}°"


def _duration(time: TimeSpan) -> Duration:
    seconds = (float(time.seconds[0]), float(time.seconds[1]))
    return Duration(low=float(time.low), high=float(time.high), unit=time.unit, seconds=seconds, kind="planned")
