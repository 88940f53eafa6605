"""The written method: imperative steps, each traceable to the words it was made from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from pipeline.compose.instructions import (
    ADD,
    DO,
    LIST,
    PUT,
    SETTING,
    SHOWN,
    UNTIL,
    WHEN,
    Instruction,
    InstructionCutter,
    between,
    within,
)
from pipeline.compose.lines import LineDraft
from pipeline.compose.orders import aside
from pipeline.compose.wording import Wording
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases
from pipeline.hear.usage import ALTERNATIVE, ASIDE
from pipeline.record import Step
from pipeline.split.outline import Outline

_NAMING = frozenset({ADD, LIST, SHOWN})


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
        self._single = frozenset(classes["pronoun-single"])
        self._several = frozenset(classes["pronoun-several"])
        self._placing = frozenset(classes["placing-verb"])
        self._mixing = frozenset(classes["mixing-verb"])
        self._reading = frozenset(classes["reading-verb"])
        self._explaining = frozenset(classes["explaining-word"])
        self._chat = load_phrases("chat_cues.csv", ("id", "pattern", "reach"), classes)

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
        if hearing.speech.words[start] in self._explaining:
            return True
        said = (self._chat.longest(hearing.speech.words, place) for place in range(start, end))
        return any(chat is not None and chat.payload["reach"] == "sentence" for chat in said)

    def _sentence(self, hearing: Hearing, named: Mapping[int, LineDraft], start: int, end: int, told: set[int]) -> str:
        pieces = [piece for piece in self._cutter.cut(hearing, start, end) if self._kept(hearing, named, piece)]
        pieces = [piece for piece in pieces if piece.kind not in _NAMING or self._foods(hearing, named, piece)]
        pieces = _without_bare(_with_shown(pieces))
        if not any(self._gives_order(hearing, named, piece) for piece in pieces):
            return ""
        text = _Text()
        waiting: list[int] = []
        for piece in pieces:
            foods = self._foods(hearing, named, piece)
            if piece.kind in _NAMING:
                waiting.extend(at for at in foods if piece.kind == ADD or id(named[at]) not in told)
                continue
            lines = {id(named[at]) for at in waiting}
            if piece.kind == DO and not foods and self._takes_up(hearing, piece, len(lines)):
                text.order(self._taken_up(hearing, named, piece, waiting, told), names_foods=True)
                waiting = []
                continue
            self._list(hearing, named, waiting, told, text)
            waiting = []
            self._piece(hearing, named, piece, told, text)
        self._list(hearing, named, waiting, told, text)
        return text.whole()

    def _piece(
        self, hearing: Hearing, named: Mapping[int, LineDraft], piece: Instruction, told: set[int], text: _Text
    ) -> None:
        if piece.kind == DO:
            foods = self._foods(hearing, named, piece)
            text.order(self._order(hearing, named, piece, told), names_foods=bool(foods))
        elif piece.kind == PUT:
            words = self._wording.write(hearing, named, piece.start, piece.end, (), told)
            text.order(f"put {words}", names_foods=False)
        elif piece.kind == SETTING:
            text.go_on(f"for {self._wording.times(hearing, piece.start, piece.end)}")
        else:
            words = self._wording.write(hearing, {}, piece.start, piece.end, (), set())
            text.condition(words, leads=piece.kind == WHEN)

    def _takes_up(self, hearing: Hearing, piece: Instruction, foods: int) -> bool:
        """Whether an order is about the foods just named, by their number: `two carrots, peel them`."""
        after = "" if piece.start + 1 >= piece.end else hearing.speech.words[piece.start + 1]
        action = piece.actions[0]
        fits = foods == 1 if after in self._single else foods > 0 and after in self._several
        return fits and action.verb not in self._mixing and (action.cooks or action.verb in self._placing)

    def _taken_up(
        self,
        hearing: Hearing,
        named: Mapping[int, LineDraft],
        piece: Instruction,
        waiting: Sequence[int],
        told: set[int],
    ) -> str:
        listed = self._wording.listed(hearing, named, waiting, told)
        rest = self._wording.write(hearing, named, piece.start + 2, piece.end, piece.actions[1:], told)
        return f"{piece.actions[0].verb} {listed} {rest}".rstrip()

    def _list(
        self, hearing: Hearing, named: Mapping[int, LineDraft], foods: Sequence[int], told: set[int], text: _Text
    ) -> None:
        """Foods named without a verb go on the list before them, or are added."""
        if foods:
            listed = self._wording.listed(hearing, named, foods, told)
            text.go_on_listing(listed) if text.names_foods else text.order(f"add {listed}", names_foods=True)

    def _order(self, hearing: Hearing, named: Mapping[int, LineDraft], piece: Instruction, told: set[int]) -> str:
        if piece.actions[0].verb in self._reading and bool(within(hearing.heats, piece.start, piece.end)):
            return f"check for {self._wording.write(hearing, named, piece.start + 1, piece.end, (), told)}"
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
        if self._chat.longest(hearing.speech.words, piece.start) is not None:
            return False
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
    """A verb on its own, or with a pronoun, stands only after another piece, `add the rice and stir`, or before a time
    or `until`."""
    following = [*(piece.kind for piece in pieces[1:]), LIST]
    before = [LIST, *(piece.kind for piece in pieces)]
    return [
        piece
        for number, piece in enumerate(pieces)
        if not piece.bare or following[number] in {UNTIL, SETTING} or (number and before[number] in {DO, *_NAMING})
    ]


def _with_shown(pieces: Sequence[Instruction]) -> list[Instruction]:
    """Foods listed on after those that are only shown, `we have two onions, a carrot`, are shown too."""
    told: list[Instruction] = []
    for piece in pieces:
        listed_on = piece.kind == LIST and told and told[-1].kind == SHOWN
        told.append(replace(piece, kind=SHOWN) if listed_on else piece)
    return told
