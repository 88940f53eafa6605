"""Words a stretch of speech as an editor would: no filler, verbs as orders, figures for amounts, times and heat."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.compose.amounts import Said, amount_of
from pipeline.compose.line_draft import LineDraft
from pipeline.compose.orders import Action
from pipeline.compose.telling import Telling
from pipeline.foods.plurals import default_plurals
from pipeline.hear.durations import TimeSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.heat_spans import HeatSpan
from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.record import Amount, Duration
from pipeline.written import amount, duration, kitchen


@dataclass(frozen=True, slots=True)
class _Span:
    """Words up to `end` (exclusive) are written as `text`; `kind` is time, heat, amount or food."""

    end: int
    text: str
    kind: str


class Wording:
    """Compiled fillers and changed words."""

    def __init__(self, classes: Classes) -> None:
        self._fillers = load_phrases("method_fillers.csv", ("id", "pattern", "written"), classes)
        changed = load_rows("method_words.csv", ("word", "written", "alone", "subject"))
        self._changed = {row["word"]: row["written"] for row in changed}
        self._alone = {row["word"]: row["alone"] for row in changed}
        self._subject = {row["word"]: row["subject"] for row in changed}
        self._left = frozenset(classes["left-verb"])
        self._plural_verbs = frozenset(classes["plural-verb"])
        self._after_object = frozenset(classes["after-object"])
        self._given = frozenset(classes["given-amount"])
        self._determiners = frozenset(classes["definite"])
        self._shares = frozenset(classes["share-word"])
        self._before_time = frozenset(classes["before-time"])
        self._giving = frozenset(classes["giving-verb"])
        self._hedges = frozenset(classes["hedge-word"])
        self._hanging = frozenset(classes["instruction-not-last"])
        self._parts = frozenset(classes["fruit-part"])
        self._joined = frozenset(classes["order-joining"])

    def write(self, telling: Telling, start: int, end: int, actions: Sequence[Action] = ()) -> str:
        """Words `start` to `end`. The amount of a line is written as it was settled, where the line is first told."""
        speech = telling.hearing.speech
        while end > start + 1 and speech.words[end - 1] in telling.people:
            end -= 1
        spans = {**dict(self._settings(telling.hearing, start, end)), **self._amount_spans(telling, start, end)}
        orders = {action.place: action.verb for action in actions if self._is_order(speech.words, start, action.place)}
        if orders.get(start) in self._left:
            orders[start] = "leave"
        ends = {telling.hearing.foods[at].end - 1 for at in telling.hearing.foods_in(start, end)}
        written: list[str] = []
        place = start
        while place < end:
            if span := spans.get(place):
                while span.text and len(written) > 1 and written[-1] in self._hedges:
                    written.pop()
                if written and place - 1 in ends and span.text and span.kind == "amount":
                    written[-1] += ","
                written.extend(self._linked(span, orders.get(place - 1, ""), written))
                place = span.end
                continue
            if filler := self._fillers.longest(speech.words, place):
                written.extend([filler.payload["written"]] if filler.payload["written"] else [])
                place = filler.end
                continue
            text = orders.get(place) or self._word(telling.hearing, place, end)
            written.extend([text] if text and written[-1:] != [text] else [])
            place += 1
        while len(written) > 1 and written[-1].lower() in self._hanging:
            written.pop()
        return " ".join(written)

    def _word(self, hearing: Hearing, place: int, end: int) -> str:
        """A word as it is written: `those potatoes` are the potatoes, `roll those in` them, `those are done` they."""
        word = hearing.speech.words[place]
        if word not in self._changed:
            return hearing.speech.raw[place].lower()
        following = hearing.speech.words[place + 1] if place + 1 < end else ""
        if following in self._plural_verbs:
            return self._subject[word]
        return (self._alone if not following or following in self._after_object else self._changed)[word]

    def _linked(self, span: _Span, verb: str, written: Sequence[str]) -> list[str]:
        """A span with the word that links it: `season with 1 teaspoon`, `simmer for 10 minutes`."""
        if not span.text:
            return []
        if span.kind == "time":
            linked = bool(written) and (written[0] in self._giving or written[-1] in self._before_time)
            return [span.text] if linked else ["for", span.text]
        return ["with", span.text] if verb in self._given and written else [span.text]

    def _is_order(self, words: Sequence[str], start: int, place: int) -> bool:
        return place == start or words[place - 1] in self._joined

    def _settings(self, hearing: Hearing, start: int, end: int) -> Iterator[tuple[int, _Span]]:
        """Times and temperatures; for one that was taken back, the one put in its place."""
        for time in hearing.times.within(start, end):
            yield time.start, _Span(time.end, self.time(time), "time" if time.kind == "planned" else "")
        for heat in hearing.heats.within(start, end):
            yield heat.start, _Span(heat.end, degrees(heat), "heat")
        for taken in hearing.heats_taken_back:
            if start <= taken.span.start < end:
                yield taken.span.start, _Span(taken.span.end, degrees(taken.by), "heat")

    def _amount_spans(self, telling: Telling, start: int, end: int) -> dict[int, _Span]:
        spans: dict[int, _Span] = {}
        words = telling.hearing.speech.words
        for at in telling.hearing.foods_in(start, end):
            line = telling.named.get(at)
            if line is None:
                continue
            here = [said for said in line.said if said.measured.food == at and start <= said.quantity.start < end]
            if not any(start <= said.quantity.start < end for said in line.said):
                spans.update(self._first_told(telling, at, start))
            here = [said for said in here if _is_figure(said)]
            if not here:
                continue
            telling.told.add(id(line))
            text = self._figure(telling, line, here[-1])
            of = words[here[0].quantity.end - 1] == "of"
            before_food = here[0].quantity.end <= telling.hearing.foods[at].start
            written = f"{text} of" if of and before_food else text
            spans[here[0].quantity.start] = _Span(here[0].quantity.end, written, "amount")
            spans.update({said.quantity.start: _Span(said.quantity.end, "", "amount") for said in here[1:]})
        return spans

    def _first_told(self, telling: Telling, at: int, start: int) -> dict[int, _Span]:
        """`the rice` as `1 cup of rice`, where its one amount was said elsewhere and the rice is told here first."""
        line, food, words = telling.named[at], telling.hearing.foods[at], telling.hearing.speech.words
        since = food.start - 1 if words[food.start - 1] in self._determiners else food.start
        amounts = [said for said in line.said if not said.quantity.article]
        if telling.is_told(at) or len(amounts) != 1 or since <= start or words[since - 1] in self._shares:
            return {}
        settled = telling.amount(line).amount
        if settled.basis != "said":
            return {}
        telling.told.add(id(line))
        return {since: _Span(food.end, self.measured(settled, line.name), "food")}

    def _figure(self, telling: Telling, line: LineDraft, said: Said) -> str:
        """The amount said here, or the settled one where a correction took its place."""
        settled = telling.amount(line)
        if said not in settled.from_ or len(settled.from_) == 1:
            return amount(settled.amount)
        return amount(amount_of(said, line.name))

    def time(self, time: TimeSpan) -> str:
        """`10–12 minutes`."""
        return duration(_duration(time))

    def items(self, telling: Telling, foods: Sequence[int]) -> list[str]:
        """Foods with the amounts of those not told before: `2 tablespoons of honey`, `the mustard`."""
        names: list[str] = []
        for at in {id(telling.named[at]): at for at in reversed(foods)}.values():
            line = telling.named[at]
            settled = telling.amount(line).amount
            words = f"the {line.name}" if telling.is_told(at) else self.measured(settled, line.name)
            telling.told.add(id(line))
            names.append(words)
        return list(dict.fromkeys(reversed(names)))

    def measured(self, settled: Amount, name: str) -> str:
        """A food after its amount: `2 tablespoons of honey`, `3 eggs`, `2 bay leaves`, `a splash of oil`,
        `the juice of 1 lemon`; the bare name where none is."""
        if settled.basis == "vague":
            return f"{settled.words.removesuffix(' of')} of {name}" if settled.words else name
        text = amount(settled)
        if not text:
            return f"the {name}"
        *first, last = name.split()
        if settled.unit in {None, "each"}:
            if first and last in self._parts:
                return f"the {last} of {text} {self._counted(' '.join(first), settled)}"
            return f"{text} {self._counted(name, settled)}"
        figure, _, unit = text.rpartition(" ")
        if default_plurals().singular(last) == default_plurals().singular(unit):
            return f"{figure} {self._counted(name, settled)}"
        return f"{text} of {name}"

    @staticmethod
    def _counted(name: str, settled: Amount) -> str:
        """A name in the number of its amount."""
        *first, last = name.split()
        one = default_plurals().singular(last)
        return " ".join([*first, one if (settled.high or 0) <= 1 else default_plurals().plural(one)])


def _is_figure(said: Said) -> bool:
    """Whether an amount is written as a figure: `two onions`, `a teaspoon`; not `an onion`, `a splash`."""
    spoon = said.quantity.unit not in {None, "each"}
    return not said.quantity.vague and (spoon or not said.quantity.article)


def degrees(heat: HeatSpan) -> str:
    """`350 °F`; `350°` where no scale was said."""
    if heat.unit == "gas":
        return f"gas mark {kitchen(float(heat.value))}"
    return f"{kitchen(float(heat.value))} °{heat.unit}" if heat.unit_said else f"{kitchen(float(heat.value))}°"


def _duration(time: TimeSpan) -> Duration:
    seconds = (float(time.seconds[0]), float(time.seconds[1]))
    return Duration(low=float(time.low), high=float(time.high), unit=time.unit, seconds=seconds, kind="planned")
