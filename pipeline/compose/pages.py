"""A step in the making: its sentences, the foods that wait to be put into one, and the words it was made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from pipeline.record import Evidence, Step

_LONGEST = 30
_MOST_SENTENCES = 4
_LONGEST_GAP = 40.0


class StepText:
    """The text of one step: orders as sentences, one list of what is added after the other."""

    def __init__(self) -> None:
        self._sentences: list[str] = []
        self._added: list[str] = []
        self._lead = ""
        self._timed = False
        self.lists = False

    @property
    def empty(self) -> bool:
        """Whether nothing is told yet."""
        return not self._sentences and not self._added

    @property
    def led(self) -> bool:
        """Whether a condition waits for its order."""
        return bool(self._lead)

    def begin(self) -> None:
        """A new sentence of speech: no list goes on, and a condition that led nothing stays with what was told."""
        self.lists = False
        if self._added and self._lead:
            self._put_added()
        elif self._lead:
            words, self._lead = self._lead.removesuffix(", "), ""
            self.go_on(words)

    def order(self, words: str, *, lists: bool = False, closed: bool = False) -> None:
        """Begin a sentence with an order; `lists` where it ends in a food, which others may follow, `closed` where no
        time may follow. What was just told is not told again."""
        self._put_added()
        words = self._lead + words
        words = words[:1].upper() + words[1:]
        if self._sentences[-1:] != [words]:
            self._sentences.append(words)
        self._lead = ""
        self._timed = closed
        self.lists = lists

    def add(self, items: Sequence[str]) -> None:
        """Foods that go in, or that follow those the last order named."""
        if self.lists and not self._added:
            self._sentences[-1] += f", {joined(items)}" if len(items) > 1 else f" and {items[0]}"
        else:
            self._added.extend(item for item in items if item not in self._added)

    def go_on(self, words: str) -> None:
        """Words that need an order before them."""
        self._put_added()
        if self._sentences:
            self._sentences[-1] += f" {words}"
        self.lists = False

    def time(self, label: str, words: str) -> None:
        """How long: after what is done, or as an order of its own after foods that went in and after another time."""
        if self._added or self._timed:
            self.order(f"{label} for {words}")
        else:
            self.go_on(f"for {words}")
        self._timed = True

    def lasting(self, verb: str, words: str) -> None:
        """An order to go on for a time: after the last one where that is the same, else as one of its own."""
        same = bool(self._sentences) and self._sentences[-1].lower().startswith(f"{verb} ")
        if self._added or self._timed or not same:
            self.order(f"{verb} for {words}")
        else:
            self.go_on(f"for {words}")
        self._timed = True

    def condition(self, words: str, *, leads: bool) -> None:
        """`until it is soft`; `when it is cool`, which `leads` where it comes before an order."""
        self._put_added()
        if leads:
            self._lead = f"{words}, "
        else:
            self.go_on(words)

    def whole(self) -> str:
        """The sentences with their full stops."""
        self._put_added()
        return "".join(f"{sentence}. " for sentence in self._sentences).rstrip()

    def _put_added(self) -> None:
        if self._added:
            words = f"{self._lead}add {joined(self._added)}"
            self._sentences.append(words[:1].upper() + words[1:])
            self._added, self._lead = [], ""


@dataclass(slots=True)
class Page:
    """One step in the making; `waiting` are foods that were listed and that the next order may take up;
    `settled` tells that a time or an end closed it, `opens` that a sentence begins."""

    component: str | None
    text: StepText = field(default_factory=StepText)
    waiting: list[int] = field(default_factory=list)
    evidence: list[Evidence] = field(default_factory=list)
    settled: bool = False
    opens: bool = False

    def goes_on(self, component: str | None, said: Evidence) -> bool:
        """Whether what is said belongs to this step: the same component, not long after, and no setting yet."""
        if not self.evidence:
            return True
        near = said.start - self.evidence[-1].end <= _LONGEST_GAP
        words = sum(len(one.words.split()) for one in self.evidence)
        room = len(self.evidence) < _MOST_SENTENCES and words + len(said.words.split()) <= 3 * _LONGEST
        return component == self.component and near and room and not self.settled

    def step(self, number: int) -> Step | None:
        """The step, None where nothing came of it."""
        text = self.text.whole()
        if not text:
            return None
        first, last = self.evidence[0], self.evidence[-1]
        return Step(
            n=number,
            component=self.component,
            text=text,
            start=first.start,
            end=last.end,
            evidence=tuple(self.evidence),
        )


def joined(items: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return items[-1] if len(items) == 1 else ", ".join(items[:-1]) + " and " + items[-1]
