"""What of a sentence goes into the method: orders for cooking and foods that go in, and no talk."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from pipeline.compose.instructions import (
    ADD,
    DO,
    LIST,
    PUT,
    SETTING,
    SHORT,
    SHOWN,
    UNTIL,
    Instruction,
    InstructionCutter,
)
from pipeline.compose.telling import Telling
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases, word_class
from pipeline.hear.usage import ALTERNATIVE, ASIDE
from pipeline.split.remembered import Remembered

_OBJECT = 4
NAMING = frozenset({ADD, LIST, SHOWN})
_IT_OR_THAT = word_class("it-or-that")


class Sieve:
    """Compiled cues of talk."""

    def __init__(self, classes: Classes) -> None:
        self._cutter = InstructionCutter(classes)
        self._moved = frozenset(classes["moved-thing"])
        self._leaving = frozenset(classes["leaving-verb"])
        self._left_out = frozenset(classes["left-out"])
        self._acted_on = frozenset(classes["acted-on"])
        self._bare_orders = frozenset(classes["bare-order"])
        self._going_on = frozenset(classes["going-on-kind"])
        self._persons = frozenset(classes["person"])
        self._explaining = frozenset(classes["explaining-word"])
        self._made = frozenset(classes["made-thing"])
        self._cooking = frozenset(self._cutter.cooking)
        chat = load_phrases("chat_cues.csv", ("id", "pattern", "reach"), classes)
        self._chat = Remembered(lambda hearing: chat.by_start(hearing.speech.words, hearing.speech.places))

    def is_talk(self, hearing: Hearing, start: int, end: int) -> bool:
        """Whether a sentence as a whole is talk: of elsewhere, to others, about the programme, or an explanation."""
        over = [scope for scope in hearing.over[start] if scope.start <= start and end <= scope.end]
        if any(scope.kind in {"elsewhere", "interrupted"} for scope in over):
            return True
        if hearing.speech.words[start] in self._explaining:
            return True
        chat = self._chat(hearing)
        return any(chat[place].payload["reach"] == "sentence" for place in range(start, end) if place in chat)

    def pieces(self, telling: Telling, start: int, end: int) -> list[Instruction]:
        """The pieces of a sentence that are kept, in order."""
        pieces = [piece for piece in self._cutter.cut(telling.hearing, start, end) if self._kept(telling, piece)]
        pieces = [piece for piece in pieces if piece.kind not in NAMING or telling.foods(piece)]
        return self._without_bare(telling.hearing, _with_shown(pieces))

    def _kept(self, telling: Telling, piece: Instruction) -> bool:
        """Of orders, those for cooking, and those for moving or taking that name a food of the dish or the oven."""
        hearing = telling.hearing
        if piece.kind != DO:
            return True
        if piece.start in self._chat(hearing):
            return False
        said = hearing.speech.words[piece.start + 1 : piece.end]
        if piece.actions[0].verb in self._leaving and self._left_out.intersection(said):
            return False
        if not (self._persons.isdisjoint(said[:2]) and telling.people.isdisjoint(said[:2])):
            return False
        if piece.actions[0].verb == "make" and self._corrects(hearing, piece):
            return False
        spoken = hearing.foods_in(piece.start, piece.end)
        foods = telling.foods(piece)
        if spoken and not foods and all(hearing.usages[at].status in {ASIDE, ALTERNATIVE} for at in spoken):
            return False
        oven = bool(hearing.heats.within(piece.start, piece.end))
        bare = piece.bare and piece.actions[0].verb in self._bare_orders
        if bare or any(action.cooks for action in piece.actions):
            return True
        if self._makes(hearing, piece):
            return True
        moved = self._moved.intersection(said[:_OBJECT])
        return oven or bool(foods) or (piece.actions[0].kind == "move" and bool(moved))

    def _makes(self, hearing: Hearing, piece: Instruction) -> bool:
        """`make a well`, `get everything combined`, `use a spoon to mash it`: what is done stands after the verb."""
        words = hearing.speech.words[piece.start + 1 : piece.end]
        verb = piece.actions[0].verb
        if verb == "make":
            return bool(self._made.intersection(words[:_OBJECT]))
        if verb == "use":
            return any(one == "to" and two in self._cooking for one, two in pairwise(words))
        return verb == "get" and bool(self._cooking.intersection(words[-2:]))

    @staticmethod
    def _corrects(hearing: Hearing, piece: Instruction) -> bool:
        """`make it two tablespoons`."""
        amounts = hearing.quantities.within(piece.start + 2, piece.start + 4)
        return bool(amounts) and hearing.speech.words[piece.start + 1] in _IT_OR_THAT

    def _without_bare(self, hearing: Hearing, pieces: Sequence[Instruction]) -> list[Instruction]:
        """A verb on its own, or with a pronoun, stands before a time or `until`, or where it mixes or cooks what the
        piece before told: `add the rice and stir`."""
        following = [*(piece.kind for piece in pieces[1:]), LIST]
        before = [LIST, *(piece.kind for piece in pieces)]
        return [
            piece
            for number, piece in enumerate(pieces)
            if not piece.bare
            or following[number] in {UNTIL, SETTING}
            or (number and before[number] in {DO, *NAMING} and self._goes_on(hearing, piece))
        ]

    def _goes_on(self, hearing: Hearing, piece: Instruction) -> bool:
        acted_on = self._acted_on.intersection(hearing.speech.words[piece.start + 1 : piece.end])
        action = piece.actions[0]
        return bool(acted_on) or action.kind in self._going_on or action.verb in self._bare_orders


def gives_order(telling: Telling, piece: Instruction) -> bool:
    """A verb of doing, a food that goes in, or one with an amount of its own; a time that is written as an order."""
    if piece.kind == LIST:
        said = (item for at in telling.foods(piece) for item in telling.named[at].said if item.measured.food == at)
        return any(not item.quantity.article for item in said)
    return (
        piece.kind in {DO, PUT, SHORT}
        or (piece.kind == SETTING and bool(piece.written))
        or (piece.kind == ADD and bool(telling.foods(piece)))
    )


def _with_shown(pieces: Sequence[Instruction]) -> list[Instruction]:
    """Foods listed on after those that are only shown, `we have two onions, a carrot`, are shown too."""
    told: list[Instruction] = []
    for piece in pieces:
        listed_on = piece.kind == LIST and told and told[-1].kind == SHOWN
        told.append(replace(piece, kind=SHOWN) if listed_on else piece)
    return told
