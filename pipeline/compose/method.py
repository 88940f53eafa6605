"""The written method: imperative steps, each traceable to the words it was made from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from pipeline.compose.instructions import (
    ADD,
    DO,
    LIST,
    PUT,
    SETTING,
    UNTIL,
    WHEN,
    Instruction,
    InstructionCutter,
    aside,
    between,
    within,
)
from pipeline.compose.lines import LineDraft
from pipeline.compose.wording import Wording
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.hear.usage import ALTERNATIVE, ASIDE
from pipeline.record import Step
from pipeline.split.outline import Outline


class _Text:
    """The text of one step in the making."""

    def __init__(self) -> None:
        self._written = ""
        self._lead = ""
        self.names_foods = False

    def order(self, words: str, *, names_foods: bool) -> None:
        """Begin a sentence with an order."""
        words = self._lead + words
        words = words[:1].upper() + words[1:]
        self._written = f"{self._written}. {words}" if self._written else words
        self._lead = ""
        self.names_foods = names_foods

    def go_on_listing(self, words: str) -> None:
        """Foods after those the last order named."""
        self._written += f", {words}" if " and " in words else f" and {words}"

    def go_on(self, words: str) -> None:
        """Words that need an order before them."""
        self._written += f" {words}" if self._written else ""

    def condition(self, words: str, *, leads: bool) -> None:
        """`until it is soft`; `when it is cool`, which may also come before an order."""
        if leads and not self._written:
            self._lead = f"{words}, "
        else:
            self.go_on(words)

    def whole(self) -> str:
        """The sentences with their full stops."""
        return f"{self._written}." if self._written else ""


class MethodWriter:
    """Writes steps from sentences that give orders; talk is left out."""

    def __init__(self, classes: Classes) -> None:
        self._cutter = InstructionCutter(classes)
        self._wording = Wording(classes)
        self._moved = frozenset(classes["moved-thing"])
        self._taking = frozenset(classes["taking-verb"])
        self._reading = frozenset(classes["reading-verb"])
        self._chat = load_phrases("chat_cues.csv", ("id", "pattern"), classes)

    def write(
        self, hearing: Hearing, outline: Outline, lines: Sequence[LineDraft], dish: int, components: Sequence[str]
    ) -> tuple[Step, ...]:
        """Steps of one dish in order of the recording."""
        named = {mention: line for line in lines if line.dish == dish for mention in line.mentions}
        told: set[int] = set()
        steps: list[Step] = []
        starts = hearing.clauses.sentence_starts
        ends = (*starts[1:], len(hearing.speech)) if starts else ()
        for start, end in zip(starts, ends, strict=True):
            topic = outline.topics[start]
            if topic.dish != dish or self._is_talk(hearing, start, end):
                continue
            text = self._sentence(hearing, named, start, end, told)
            if text:
                evidence = hearing.speech.evidence(start, end, "method.sentence")
                component = (topic.part or outline.dishes[dish].head) if components else None
                steps.append(
                    Step(
                        n=len(steps) + 1,
                        component=component if component in components else None,
                        text=text,
                        start=evidence.start,
                        end=evidence.end,
                        evidence=(evidence,),
                    )
                )
        return tuple(steps)

    def _is_talk(self, hearing: Hearing, start: int, end: int) -> bool:
        over = [scope for scope in hearing.over[start] if scope.start <= start and end <= scope.end]
        if any(scope.kind in {"elsewhere", "interrupted"} for scope in over):
            return True
        return any(self._chat.longest(hearing.speech.words, place) for place in range(start, end))

    def _sentence(self, hearing: Hearing, named: Mapping[int, LineDraft], start: int, end: int, told: set[int]) -> str:
        pieces = [piece for piece in self._cutter.cut(hearing, start, end) if self._kept(hearing, named, piece)]
        pieces = _without_bare(pieces)
        if not any(self._gives_order(hearing, named, piece) for piece in pieces):
            return ""
        text = _Text()
        for kind, group in groupby(pieces, key=lambda piece: piece.kind):
            if kind in {ADD, LIST}:
                foods = [at for piece in group for at in self._foods(hearing, named, piece)]
                foods = [at for at in foods if kind == ADD or id(named[at]) not in told]
                self._list(hearing, named, foods, told, text)
                continue
            for piece in group:
                if kind == DO:
                    foods = self._foods(hearing, named, piece)
                    text.order(self._order(hearing, named, piece, foods, told), names_foods=bool(foods))
                elif kind == PUT:
                    words = self._wording.write(hearing, named, piece.start, piece.end, (), told)
                    text.order(f"put {words}", names_foods=False)
                elif kind == SETTING:
                    text.go_on(f"for {self._wording.times(hearing, piece.start, piece.end)}")
                else:
                    text.condition(
                        self._wording.write(hearing, {}, piece.start, piece.end, (), set()), leads=kind == WHEN
                    )
        return text.whole()

    def _list(
        self, hearing: Hearing, named: Mapping[int, LineDraft], foods: Sequence[int], told: set[int], text: _Text
    ) -> None:
        """Foods named without a verb go on the list before them, or are added."""
        if foods:
            listed = self._wording.listed(hearing, named, foods, told)
            text.go_on_listing(listed) if text.names_foods else text.order(f"add {listed}", names_foods=True)

    def _order(
        self, hearing: Hearing, named: Mapping[int, LineDraft], piece: Instruction, foods: list[int], told: set[int]
    ) -> str:
        verb = piece.actions[0].verb
        if verb in self._reading and bool(within(hearing.heats, piece.start, piece.end)):
            return f"check for {self._wording.write(hearing, named, piece.start + 1, piece.end, (), told)}"
        if verb in self._taking and foods:
            return f"take {self._wording.listed(hearing, named, foods, told)}"
        return self._wording.write(hearing, named, piece.start, piece.end, piece.actions, told)

    def _gives_order(self, hearing: Hearing, named: Mapping[int, LineDraft], piece: Instruction) -> bool:
        """A verb of doing, a food that goes in, or one with an amount of its own."""
        foods = self._foods(hearing, named, piece)
        if piece.kind == LIST:
            said = [item for at in foods for item in named[at].said if item.measured.food == at]
            return any(not item.quantity.article for item in said)
        return piece.kind in {DO, PUT} or (piece.kind == ADD and bool(foods))

    def _kept(self, hearing: Hearing, named: Mapping[int, LineDraft], piece: Instruction) -> bool:
        """Of orders, those for cooking, and those for moving or taking that name a food of the dish or the oven."""
        if piece.kind != DO:
            return True
        spoken = between(hearing.foods, piece.start, piece.end)
        foods = self._foods(hearing, named, piece)
        if spoken and not foods and all(hearing.usages[at].status in {ASIDE, ALTERNATIVE} for at in spoken):
            return False
        oven = bool(within(hearing.heats, piece.start, piece.end))
        if any(action.cooks for action in piece.actions):
            return True
        moved = self._moved.intersection(hearing.speech.words[piece.start + 1 : piece.end])
        return oven or bool(foods) or (piece.actions[0].kind == "move" and bool(moved))

    def _foods(self, hearing: Hearing, named: Mapping[int, LineDraft], piece: Instruction) -> list[int]:
        return [
            at
            for at in between(hearing.foods, piece.start, piece.end)
            if at in named
            and hearing.usages[at].status not in {ASIDE, ALTERNATIVE}
            and hearing.usages[at].why != "claim"
            and not aside(hearing, hearing.foods[at].head)
        ]


def _without_bare(pieces: Sequence[Instruction]) -> list[Instruction]:
    """A verb on its own stands only after another piece, `add the rice and stir`, or before a time or `until`."""
    following = [*(piece.kind for piece in pieces[1:]), LIST]
    return [
        piece
        for number, piece in enumerate(pieces)
        if not piece.bare or following[number] in {UNTIL, SETTING} or (number and pieces[number - 1].kind in {DO, ADD})
    ]
