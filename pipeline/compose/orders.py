"""Verbs that tell what the cook does: orders, and told deeds; not what food does, what is not done, or what is named.

Speech has no full stops, so a verb is judged by the words before it: adverbs and helping words, back to who does it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, Row, load_rows, word_class

NOT_DONE = frozenset({"elsewhere", "habit", "interrupted", "hypothetical", "negated", "comparison"})
_KIND = word_class("kind-or-sort")
_BEING = word_class("was-or-is")
# What a recogniser makes of `we'll`.
_WILL = ("will",)
_FARTHEST = 8
_CLEFT = 10
_WISH = 5


@dataclass(frozen=True, slots=True)
class Action:
    """The word `place` is a verb of doing, `verb` its base form, `kind` that of `models/verbs.csv`;
    `cooks` is false where it only moves or takes."""

    place: int
    verb: str
    kind: str
    cooks: bool


@dataclass(frozen=True, slots=True)
class _Lead:
    """What stands before a verb: the adverbs and helping words `passed`, from word `start` on, and the word before."""

    start: int
    passed: tuple[str, ...]
    before: str
    earlier: str


@dataclass(frozen=True, slots=True)
class _Verb:
    """A form of a verb at word `place` of the clause that begins at `start`, or its `last` word; `joined` to an order
    before it; in a `timed` clause food may do it by itself."""

    hearing: Hearing
    row: Row
    start: int
    place: int
    taken: frozenset[int]
    joined: bool
    timed: bool
    last: bool


class OrderReader:
    """Compiled verbs, helping words and who does something."""

    def __init__(self, classes: Classes) -> None:
        rows = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self.verbs: Mapping[str, Row] = {row["form"]: row for row in rows}
        self._handling = frozenset(classes["handling-kind"])
        self.cooking = frozenset(row["form"] for row in rows if row["kind"] not in self._handling)
        self._own = frozenset(classes["own-doing-kind"])
        lasting, kinds = frozenset(classes["lasting-verb"]), frozenset(classes["no-order-kind"])
        self._ordering = {row["form"]: row for row in rows if row["kind"] not in kinds and row["verb"] not in lasting}
        self._helping = frozenset(classes["helping-verb"])
        self._adverbs = frozenset(classes["verb-filler"])
        self._negating = frozenset(classes["negating"])
        self._passed = self._helping | self._adverbs | self._negating | frozenset(classes["to-be"])
        self._cooks = frozenset(classes["cook-subject"])
        self._being = frozenset(classes["cook-being"])
        self._having = frozenset(classes["past-lead"])
        self._things = frozenset(classes["thing-subject"])
        self._relative = frozenset(classes["relative-word"])
        self._before_that = frozenset(classes["before-that"])
        self._infinitive = frozenset(classes["infinitive-lead"])
        self._not_before = frozenset(classes["not-verb-before"])
        self._not_after = frozenset(classes["not-verb-after"])
        self._third_person = frozenset(classes["third-person"])
        self._modal = frozenset(classes["modal-verb"])
        self._starts = frozenset(classes["start-verb"])
        self._nouns = frozenset(classes["noun-too"])
        self._openings = frozenset(classes["object-opening"])
        self._like = frozenset(classes["plain-adjective"])
        self._determiners = frozenset(classes["determiner"])
        self._bare = frozenset(classes["bare-order"])
        self._cleft = frozenset(classes["cleft-noun"])
        self._objects = frozenset(classes["object-pronoun"])
        self._joins = frozenset(classes["order-joining"])
        self._wishing = frozenset({"want", "need"})

    def actions(
        self, hearing: Hearing, taken: frozenset[int], sentence: int, start: int, end: int, *, timed: bool
    ) -> list[Action]:
        """The verbs in words `start` to `end` that give orders; `taken` are words of amounts, foods and settings.
        Where the stretch is `timed`, what food does by itself counts: `it simmers`, `it is going to simmer`."""
        found: list[Action] = []
        refused = False
        words = hearing.speech.words
        for place in range(start, end):
            row = self._ordering.get(words[place])
            if row is None or place in taken or aside(hearing, place):
                continue
            following = words[place + 1 : place + 3]
            if self._not_before.intersection(following[:1]) or self._wishes(row, following):
                continue
            lead = self._lead(hearing, sentence, place)
            joined = lead.before in self._joins and not lead.passed and place > start
            if joined and refused and not found and not self._objects.intersection(following[:1]):
                continue
            own = timed and row["kind"] in self._own
            verb = _Verb(hearing, row, start, place, taken, bool(found), own, last=place + 1 == end)
            refused = not self._orders(lead, verb)
            if not refused:
                found.append(Action(place, row["verb"], row["kind"], row["kind"] not in self._handling))
        return found

    def _wishes(self, row: Row, following: Sequence[str]) -> bool:
        """`you want it to simmer` tells of what comes after `to`."""
        return row["verb"] in {"want", "need"} and following[1:] == ("to",) and following[0] in self._objects

    def _lead(self, hearing: Hearing, sentence: int, place: int) -> _Lead:
        """Back over adverbs and helping words, not past the start of the sentence."""
        words = hearing.speech.words
        floor = max(sentence, place - _FARTHEST)
        at = place
        while at > floor and not hearing.speech.stop_after[at - 1]:
            if words[at - 1] in self._passed:
                at -= 1
            elif at - 2 >= floor and words[at - 1] == "of" and words[at - 2] in _KIND:
                at -= 2
            else:
                break
        before = words[at - 1] if at > sentence else ""
        earlier = words[at - 2] if at - 1 > sentence else ""
        if earlier == "that" and (at - 2 == sentence or words[at - 3] in self._before_that):
            earlier = ""
        return _Lead(at, words[at:place], before, earlier)

    def _orders(self, lead: _Lead, verb: _Verb) -> bool:
        form, base = verb.row["form"], verb.row["verb"]
        if self._negating.intersection((*lead.passed, lead.before)):
            return False
        if form == base:
            return self._base(lead, verb)
        if form.endswith("ing"):
            return self._ing(lead, verb)
        if form == base + "s":
            own = verb.timed and lead.before not in self._not_after - self._things
            return (lead.before in self._third_person or own) and lead.earlier not in self._relative
        past = lead.before in self._having and lead.earlier not in self._relative
        joined = verb.joined or (lead.before == "and" and lead.earlier == "ahead")
        return past and (lead.before not in self._joins or joined) and not self._infinitive_fails(verb, lead)

    def _base(self, lead: _Lead, verb: _Verb) -> bool:
        if "to" in lead.passed and lead.before in self._objects and lead.earlier in self._wishing:
            return not self._unwanted(verb, lead)
        if self._is_cleft(verb, lead):
            return True
        if self._infinitive_fails(verb, lead):
            return False
        if lead.passed == _WILL and lead.before in self._joins and self._has_object(verb):
            return True
        if lead.before in self._cooks:
            return lead.earlier not in self._relative
        helped = bool((self._helping | {"to"}).intersection(lead.passed))
        if lead.before in self._things:
            return verb.timed or (not helped and lead.before in self._objects and self._has_object(verb))
        if lead.start > verb.start and helped:
            wanted = self._infinitive.union({"to"}).intersection(lead.passed)
            return verb.timed or bool(wanted and not (_BEING | self._modal).intersection(lead.passed))
        comma = verb.hearing.speech.comma_after[verb.place - 1]
        if lead.start > verb.start and not comma and lead.before in self._not_after:
            return False
        mixes = verb.row["kind"] == "combine" and verb.place == verb.start + 1
        if self._is_named(lead):
            return False
        goes_on = (verb.joined or mixes) and lead.before in self._joins
        if verb.last and verb.row["verb"] in self._bare:
            return True
        return goes_on or verb.row["form"] not in self._nouns or self._has_object(verb)

    def _unwanted(self, verb: _Verb, lead: _Lead) -> bool:
        """Of what is wished, `you want it to simmer`: `you don't want it to burn`."""
        since = verb.hearing.speech.words[max(0, lead.start - _WISH) : lead.start]
        return bool(self._negating.intersection(since))

    def _is_named(self, lead: _Lead) -> bool:
        """`the dry stuff`: the verb is the noun after an article and what it is like."""
        return lead.before in self._like and lead.earlier in self._determiners

    def _infinitive_fails(self, verb: _Verb, lead: _Lead) -> bool:
        """`to` that tells a purpose, `to thicken it`, and no intent, `going to`, `want to`."""
        if "to" not in lead.passed:
            return False
        at = lead.start + len(lead.passed) - 1 - lead.passed[::-1].index("to")
        return (verb.hearing.speech.words[at - 1] if at else "") not in self._infinitive

    def _is_cleft(self, verb: _Verb, lead: _Lead) -> bool:
        """`what I do is add`, `the next thing is to chop`."""
        since = verb.hearing.speech.words[max(0, lead.start - _CLEFT) : lead.start]
        return bool(_BEING.intersection(lead.passed) and self._cleft.intersection((*since, *lead.passed)))

    def _ing(self, lead: _Lead, verb: _Verb) -> bool:
        if {"be", "been"}.intersection(lead.passed):
            return lead.before in self._cooks and lead.earlier not in self._relative
        if self._starts.intersection(lead.passed) or lead.before in self._starts | {"by"}:
            return True
        if lead.before in self._being:
            return lead.earlier not in self._relative
        if lead.before == "and":
            return verb.joined
        return lead.start <= verb.start and verb.row["form"] not in self._nouns and self._has_object(verb)

    def _has_object(self, verb: _Verb) -> bool:
        """Whether what is acted on, or a word such as `in` or `until`, follows the verb."""
        words = verb.hearing.speech.words
        after = verb.place + 1
        while after < len(words) and words[after] in self._adverbs:
            after += 1
        if after >= len(words) or verb.hearing.speech.stop_after[after - 1]:
            return False
        return words[after] in self._openings or after in verb.taken or words[after][:1].isdigit()


def aside(hearing: Hearing, place: int) -> bool:
    """Whether a word stands in talk of what is not done here."""
    over = hearing.over[place]
    return bool(over) and any(scope.kind in NOT_DONE for scope in over)
