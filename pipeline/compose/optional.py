"""Marks the lines that may be left out."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import marked_rules, phrase_class
from pipeline.hear.scopes import Scope
from pipeline.hear.usage import ALTERNATIVE

if TYPE_CHECKING:
    from pipeline.compose.line_draft import LineDraft

_OPTION_BACK = 26
_OPTION_ON = 9
_CONDITION = marked_rules("condition")
_IF_HAD = marked_rules("if-had")
_TAKES = phrase_class("option-verb")
_POINTS = phrase_class("option-pointing")


def mark_optional(hearing: Hearing, lines: Sequence[LineDraft]) -> None:
    """Marks the line that `you can leave it out` is about: the food spoken of last, or the next one."""
    owner = {mention: line for line in lines for mention in line.mentions}
    for scope in hearing.scopes:
        if scope.rule in _IF_HAD:
            _mark_if_had(hearing, owner, scope)
            continue
        if scope.kind != "optional" or _chooses(hearing, scope):
            continue
        before = [at for at in owner if 0 <= scope.cue_start - hearing.foods[at].end <= _OPTION_BACK]
        after = [at for at in owner if 0 <= hearing.foods[at].start - scope.cue_end <= _OPTION_ON]
        same = [
            at
            for at in after
            if hearing.clauses.sentence_of[hearing.foods[at].head] == hearing.clauses.sentence_of[scope.cue_start]
        ]
        leads = scope.rule in _CONDITION
        chosen = min(same) if same and leads else max(before) if before else min(same) if same else None
        if chosen is not None:
            owner[chosen].optional = True
            owner[chosen].option_at = scope.cue_start


def _mark_if_had(hearing: Hearing, owner: Mapping[int, LineDraft], scope: Scope) -> None:
    """`if you have a little cress throw it on`: what is spoken of there alone may be left out."""
    for at, line in owner.items():
        if scope.start <= hearing.foods[at].head < scope.end and len(line.mentions) == 1:
            line.optional = True
            line.option_at = scope.cue_start


def _chooses(hearing: Hearing, scope: Scope) -> bool:
    """`a turnip or a swede, it's up to you`, `if you like swede use swede`: which of the two it is to be, not whether
    there is any."""
    at = bisect_right(hearing.foods, scope.cue_start, key=lambda food: food.end) - 1
    lead = hearing.speech.words[max(0, scope.cue_start - 2) : scope.cue_start]
    if lead[1:] == ("or",):
        return True
    wanted = at + 1 < len(hearing.foods) and hearing.foods[at + 1].start == scope.cue_end
    if wanted and hearing.usages[at + 1].status == ALTERNATIVE:
        return True
    if at < 0:
        return False
    gap = scope.cue_start - hearing.foods[at].end
    pointed = lead[:1] in _TAKES and lead[1:] in _POINTS and gap <= _OPTION_BACK
    leads = hearing.usages[at].rule == "alternative.or" or scope.rule in _CONDITION
    return (pointed or gap <= 1) and leads and hearing.usages[at].status == ALTERNATIVE
