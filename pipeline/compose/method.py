"""The written method: imperative steps, each traceable to the words it was made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pipeline.compose.instructions import ADD, DO, LIST, PUT, SETTING, SHORT, SHOWN, UNTIL, WHEN, Instruction
from pipeline.compose.labels import TimeLabels
from pipeline.compose.line_draft import LineDraft
from pipeline.compose.pages import Page, joined
from pipeline.compose.sieve import NAMING, Sieve, gives_order
from pipeline.compose.telling import Telling
from pipeline.compose.untold import Completer, Sentence
from pipeline.compose.whose import Settings
from pipeline.compose.wording import Wording
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, word_class
from pipeline.hear.people import PeopleFinder
from pipeline.record import Step
from pipeline.split.outline import Outline
from pipeline.split.remembered import Remembered

_NEAR = 3
_FEW = 6
_VESSELS = word_class("heated-vessel")
_TELLING = frozenset({DO, PUT, SHORT, SETTING, ADD})
_OF_SOLIDS = frozenset({"cut", "shape", "wash", "move"})
_CUT_INTO = word_class("cut-into")


class MethodWriter:
    """Writes steps from sentences that give orders; talk is left out."""

    def __init__(self, classes: Classes, labels: TimeLabels) -> None:
        self._sieve = Sieve(classes)
        self._wording = Wording(classes)
        people = PeopleFinder(classes)
        self._names = Remembered(lambda hearing: people.names(hearing.speech, hearing.foods))
        self._labels = labels
        self._completer = Completer(classes, labels)
        self._single = frozenset(classes["pronoun-single"])
        self._several = frozenset(classes["pronoun-several"])
        self._placing = frozenset(classes["placing-verb"])
        self._poured = frozenset(classes["poured-unit"])
        self._mixing = frozenset(classes["mixing-verb"])
        self._reading = frozenset(classes["reading-verb"])
        self._joins = frozenset(classes["begun-anew"])

    def write(
        self,
        hearing: Hearing,
        outline: Outline,
        lines: Sequence[LineDraft],
        settings: Settings,
        dish: int,
        components: Sequence[str],
    ) -> tuple[Step, ...]:
        """Steps of one dish in order of the recording."""
        named = {mention: line for line in lines if line.dish == dish for mention in line.mentions}
        telling = Telling.of(hearing, named, self._names(hearing))
        sentences = _shown_at_last(telling, self._sentences(telling, outline, dish, components))

        def part_at(place: int) -> str | None:
            return self._part(outline, dish, components, place)

        sentences = self._completer.complete(telling, sentences, settings, dish, part_at)
        steps: list[Step] = []
        page = Page(None)
        for sentence in _after_opening(telling, sentences):
            if not any(gives_order(telling, piece) for piece in sentence.pieces):
                continue
            said = hearing.speech.evidence(sentence.start, sentence.end, "method.sentence")
            if not page.goes_on(sentence.component, said):
                steps.extend(self._turned(telling, page, len(steps) + 1))
                page = Page(sentence.component)
            page.component = sentence.component
            page.evidence.append(said)
            self._tell(telling, sentence.pieces, page)
        steps.extend(self._turned(telling, page, len(steps) + 1))
        return tuple(steps)

    def _sentences(self, telling: Telling, outline: Outline, dish: int, components: Sequence[str]) -> list[Sentence]:
        found: list[Sentence] = []
        for start, end in telling.hearing.clauses.sentences:
            topic = outline.topics[start]
            if topic.dish != dish or self._sieve.is_talk(telling.hearing, start, end):
                continue
            pieces = tuple(self._sieve.pieces(telling, start, end))
            found.append(Sentence(start, end, self._part(outline, dish, components, start), pieces))
        return found

    @staticmethod
    def _part(outline: Outline, dish: int, components: Sequence[str], place: int) -> str | None:
        topic = outline.topics[place]
        part = (topic.part if topic.dish == dish else None) or outline.dishes[dish].head
        return part if part in components else None

    def _turned(self, telling: Telling, page: Page, number: int) -> list[Step]:
        self._list(telling, page)
        step = page.step(number)
        return [step] if step else []

    def _tell(self, telling: Telling, pieces: Sequence[Instruction], page: Page) -> None:
        page.text.begin()
        shown: list[int] = []
        for number, piece in enumerate(pieces):
            if piece.kind == WHEN and not self._holds(telling, pieces, number, page):
                continue
            if number and piece.start - pieces[number - 1].end > _NEAR:
                page.text.lists = False
            foods = telling.foods(piece)
            known = piece.kind == LIST and all(telling.is_told(at) for at in foods)
            if piece.kind == SHOWN or known:
                shown = foods
            elif piece.kind in NAMING:
                page.waiting.extend(at for at in foods if piece.kind == ADD or not telling.is_told(at))
            elif piece.kind == DO and self._takes_up(telling, piece, [*shown, *page.waiting]):
                self._take_up(telling, piece, [*shown, *page.waiting], page)
                shown = []
            else:
                # `the pork, two peppers, cut the tops off and set them`: not the pork.
                shown = [] if piece.kind == DO else shown
                self._list(telling, page)
                self._piece(telling, piece, page)
        if page.text.led:
            self._list(telling, page)
        page.settled = bool(pieces) and _settles(telling.hearing, pieces[-1])

    def _holds(self, telling: Telling, pieces: Sequence[Instruction], number: int, page: Page) -> bool:
        """Whether `when it is hot` stands beside an order: before the next, or else right after the last."""
        piece = pieces[number]
        before = pieces[number - 1] if number else None
        leads = number + 1 < len(pieces) and pieces[number + 1].start - piece.end <= _NEAR
        anew = telling.hearing.speech.words[piece.start - 1] in self._joins
        follows = before is not None and before.kind in _TELLING and before.end == piece.start and not anew
        page.opens = leads and (not follows or pieces[number + 1].start == piece.end)
        return page.opens or follows

    def _piece(self, telling: Telling, piece: Instruction, page: Page) -> None:
        if piece.kind == DO:
            foods = telling.foods(piece)
            lists = any(telling.hearing.foods[at].end == piece.end for at in foods)
            page.text.order(self._order(telling, piece), lists=lists)
        elif piece.kind == PUT:
            page.text.order(self._put(telling, piece))
        elif piece.kind == SHORT:
            page.text.order(piece.written, closed=True)
        elif piece.kind == SETTING:
            self._set(telling, piece, page)
        else:
            words = self._wording.write(replace(telling, named={}, going=frozenset()), piece.start, piece.end)
            page.text.condition(words, leads=piece.kind == WHEN and page.opens)

    def _put(self, telling: Telling, piece: Instruction) -> str:
        """`put in the oven`; `keep in the fridge for 3 days`."""
        words = self._wording.write(telling, piece.start, piece.end)
        sentence = telling.hearing.clauses.sentence(piece.start)
        days = [time for time in telling.hearing.times.within(*sentence) if time.unit == "day"]
        if not days:
            return f"put {words}"
        inside = piece.start <= days[0].start < piece.end
        return f"keep {words}" if inside else f"keep {words} for {self._wording.time(days[0])}"

    def _set(self, telling: Telling, piece: Instruction, page: Page) -> None:
        """How long: after what is done, or as an order of its own after foods that went in and where it was said apart
        from what is done."""
        for time in telling.hearing.times.within(piece.start, piece.end):
            label = self._labels.of(telling.hearing, time)
            if time.kind != "planned" or label == "store":
                continue
            words = self._wording.time(time)
            if piece.written:
                page.text.lasting(piece.written, words)
                continue
            page.text.time("cook" if label == "heat" else label, words)

    def _takes_up(self, telling: Telling, piece: Instruction, waiting: Sequence[int]) -> bool:
        """Whether an order is about the foods just named, by their number: `two carrots, peel them`."""
        words = telling.hearing.speech.words[piece.start : piece.end]
        if not waiting or telling.foods(piece):
            return False
        units = {said.quantity.unit for at in waiting for said in telling.named[at].said}
        if self._poured.intersection(units) and piece.actions[0].kind in _OF_SOLIDS:
            return False
        if self._is_open(words, piece):
            return True
        if len(words) < 2:
            return False
        one = len({id(telling.named[at]) for at in waiting}) == 1 or "together" in words
        action = piece.actions[0]
        fits = words[1] in self._several or (one and words[1] in self._single)
        return fits and action.verb not in self._mixing and (action.cooks or action.verb in self._placing)

    def _is_open(self, words: Sequence[str], piece: Instruction) -> bool:
        """Whether an order to cut or wash says not what: `two carrots, cut in cubes`."""
        return piece.actions[0].kind in {"cut", "wash"} and (len(words) < 2 or words[1] in _CUT_INTO)

    def _take_up(self, telling: Telling, piece: Instruction, foods: Sequence[int], page: Page) -> None:
        items = joined(self._wording.items(telling, foods))
        said = telling.hearing.speech.words[piece.start : piece.end]
        after = piece.start + (1 if self._is_open(said, piece) else 2)
        rest = self._wording.write(telling, after, piece.end, piece.actions[1:])
        page.waiting = []
        page.text.order(f"{piece.actions[0].verb} {items} {rest}".rstrip(), lists=not rest)

    def _list(self, telling: Telling, page: Page) -> None:
        """Foods named without a verb go on the list before them, or are added."""
        if page.waiting:
            page.text.add(self._wording.items(telling, page.waiting))
            page.waiting = []

    def _order(self, telling: Telling, piece: Instruction) -> str:
        heats = telling.hearing.heats.within(piece.start, piece.end)
        if piece.actions[0].verb in self._reading and heats:
            return f"check for {self._wording.write(telling, heats[0].start, piece.end)}"
        return self._wording.write(telling, piece.start, piece.end, piece.actions)


def _settles(hearing: Hearing, piece: Instruction) -> bool:
    """Whether a piece ends a step: it says how long, how hot or until when."""
    spans = (*hearing.times.within(piece.start, piece.end), *hearing.heats.within(piece.start, piece.end))
    return piece.kind in {UNTIL, SETTING} or bool(spans)


def _shown_at_last(telling: Telling, sentences: Sequence[Sentence]) -> list[Sentence]:
    """Foods that are shown, and that no order speaks of, go in where they are shown with an amount."""
    working = [piece for sentence in sentences for piece in sentence.pieces if piece.kind in {ADD, DO, LIST}]
    used = {id(telling.named[at]) for piece in working for at in telling.foods(piece)}
    return [
        replace(sentence, pieces=tuple(_listed(telling, used, piece) for piece in sentence.pieces))
        if any(piece.kind == SHOWN for piece in sentence.pieces)
        else sentence
        for sentence in sentences
    ]


def _after_opening(telling: Telling, sentences: Sequence[Sentence]) -> list[Sentence]:
    """The sentences without what is told to do before any food, heat or time is spoken of: a greeting, or what the
    programme is going to do. A dish of few foods may be begun before they are named."""
    foods = [telling.hearing.foods[at].start for at in telling.going]
    if len({id(line) for line in telling.named.values()}) <= _FEW:
        return list(sentences)
    first = min(foods, default=0)
    return [
        sentence
        for sentence in sentences
        if sentence.end > first or any(_is_cooking(telling, piece) for piece in sentence.pieces)
    ]


def _is_cooking(telling: Telling, piece: Instruction) -> bool:
    heats = telling.hearing.heats.within(piece.start, piece.end)
    vessel = not _VESSELS.isdisjoint(telling.hearing.speech.words[piece.start : piece.end])
    return bool(telling.foods(piece) or heats) or piece.kind in {PUT, SHORT, SETTING} or vessel


def _listed(telling: Telling, used: set[int], piece: Instruction) -> Instruction:
    lines = [telling.named[at] for at in telling.foods(piece)] if piece.kind == SHOWN else []
    return replace(piece, kind=LIST) if any(line.said and id(line) not in used for line in lines) else piece
