"""What every clause tells of the dish that the talk is of, as signs."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from functools import cached_property

from pipeline.hear.hearing import Hearing
from pipeline.split.calls import Call
from pipeline.split.company import Company, Traits
from pipeline.split.dishes import FEW_WORDS, Topic
from pipeline.split.signs import Mind, Signs, by_clause

_MOST_TIMES = 2
_MOST_COOKED = 2.0
_USED = frozenset({"used", "shown"})
_SPOKEN_OF = frozenset({"called", "named", "titled", "made"})
_SOON = 4
_HOW_SOON = ("to.now", "to.next", "to.soon")
_WAITED = 2
_LEAD = 4
_FIRST_WORDS = 6
# A single word tells little: so much of it is weighed.
_A_WORD = 0.5


@dataclass(frozen=True)
class Followed:
    """A talk as it was followed: where its clauses begin, the calls by the clause they open, what calls topics to mind,
    the topics by their number, the word after which foods are told, where each dish is first named, and the topic of
    every word."""

    starts: Sequence[int]
    calls: Mapping[int, Call]
    mind: Mind
    topics: Sequence[Topic]
    first: int
    named: Sequence[int]
    told: Sequence[Topic]

    @property
    def dishes(self) -> range:
        """The dishes by their number."""
        return range(len(self.named))

    @property
    def at_first(self) -> list[int]:
        """The dish that each clause was told of."""
        return [self.told[start].dish for start in self.starts]

    @cached_property
    def first_calls(self) -> Set[int]:
        """Where each dish is called first."""
        return set({self.calls[start].topic.dish: start for start in sorted(self.calls, reverse=True)}.values())

    @cached_property
    def topics_of(self) -> Sequence[Sequence[int]]:
        """For each dish its topics."""
        return [[at for at, topic in enumerate(self.topics) if topic.dish == dish] for dish in self.dishes]


@dataclass(frozen=True, slots=True)
class ClauseSigns:
    """What one clause tells: signs with their strengths, for each dish that the talk is of it, and that it turns to it
    there, and for its turning to another dish, whichever it is."""

    dishes: Sequence[Mapping[str, float]]
    turned_to: Sequence[Mapping[str, float]]
    turning: Mapping[str, float]


class DishSigns:
    """Reads the signs of all clauses."""

    def __init__(self, company: Company, signs: Signs) -> None:
        self._company = company
        self._signs = signs

    def of(self, hearing: Hearing, followed: Followed) -> list[ClauseSigns]:
        """The signs of every clause."""
        telling = by_clause(followed.mind.telling, followed.starts)
        kept = self._kept(hearing, followed)
        ends = [*followed.starts[1:], len(hearing.speech)]
        told = [
            _told(followed, start, end, places, foods)
            for start, end, places, foods in zip(followed.starts, ends, telling, kept, strict=True)
        ]
        first = max(0, bisect_right(followed.starts, followed.first) - 1)
        told[first][followed.at_first[first]]["begun-with"] = 1
        turned_to, turning = _turned_to(followed, told), self._turning(hearing, followed)
        return [ClauseSigns(*signs) for signs in zip(told, turned_to, turning, strict=True)]

    def _turning(self, hearing: Hearing, followed: Followed) -> Iterator[dict[str, float]]:
        """For every clause what tells that the talk turns: how it begins and what is called, a time told in it or just
        before it, the words of the clause before it, and the first of its own."""
        timed = {bisect_right(followed.starts, span.start) - 1 for span in hearing.times}
        words = hearing.speech.words
        ends = [*followed.starts[1:], len(hearing.speech)]
        a_word = _A_WORD if len(words) >= FEW_WORDS else 0.0
        before: dict[str, float] = {}
        for at, (start, end) in enumerate(zip(followed.starts, ends, strict=True)):
            signs: dict[str, float] = self._turn(hearing, followed, start)
            signs["turn.after-time"] = not timed.isdisjoint(range(at - _WAITED, at))
            signs["turn.with-time"] = at in timed
            first = {f"turn.word.{word}": a_word for word in words[start : min(end, start + _FIRST_WORDS)]}
            yield signs | first | before
            before = {f"turn.after.{word}": a_word for word in words[start:end]}

    def _turn(self, hearing: Hearing, followed: Followed, start: int) -> dict[str, float]:
        call = followed.calls.get(start)
        sentence, _ = hearing.clauses.sentence(start)
        begins = sentence if call is not None and start - sentence <= _LEAD else start
        return {
            self._signs.turning(hearing, begins): 1,
            "turn.pause": hearing.speech.pause_before[begins],
            "turn.called": call is not None,
            "turn.framed": call is not None and call.framed,
            "turn.first-call": start in followed.first_calls,
            "turn.followed": start > 0 and followed.told[start].dish != followed.told[start - 1].dish,
        }

    def _kept(self, hearing: Hearing, followed: Followed) -> list[list[tuple[str, Sequence[float]]]]:
        """For every clause its foods, by whether they go in or are only spoken of, and how well each goes with the
        foods that were told of each dish."""
        traits = [self._company.traits(food) for food in hearing.foods]
        goes_in = [usage.status in _USED for usage in hearing.usages]
        dishes: list[set[Traits]] = [set() for _ in followed.dishes]
        for at, food in enumerate(hearing.foods):
            if goes_in[at]:
                dishes[followed.told[food.head].dish].add(traits[at])
        worth = self._company.kept(set(traits), dishes)
        found: list[list[tuple[str, Sequence[float]]]] = [[] for _ in followed.starts]
        for at, food in enumerate(hearing.foods):
            clause = bisect_right(followed.starts, food.head) - 1
            found[clause].append(("company" if goes_in[at] else "company.spoken", worth[traits[at]]))
        return found


def _told(
    followed: Followed, start: int, end: int, places: Sequence[int], foods: Sequence[tuple[str, Sequence[float]]]
) -> list[dict[str, float]]:
    """For each dish the signs of the clause from word `start` to `end`, in which `places` tell something."""
    signs: list[dict[str, float]] = [{} for _ in followed.dishes]
    for dish, first in enumerate(followed.named):
        if end <= first:
            signs[dish]["unnamed"] = 1
    call = followed.calls.get(start)
    if call is not None:
        signs[call.topic.dish] |= {"called": 1, "called.framed": call.framed}
    if start < followed.first:
        return signs
    for sign, worth in foods:
        for dish in followed.dishes:
            signs[dish][sign] = signs[dish].get(sign, 0.0) + worth[dish]
    if places:
        spoken = Counter((sign, followed.topics[topic].dish) for sign, topic in _spoken(followed.mind, places))
        for (sign, dish), times in spoken.items():
            signs[dish][sign] = min(_MOST_TIMES, times)
            signs[dish][f"{sign}.only"] = all((sign, other) not in spoken for other in followed.dishes if other != dish)
        for dish, value in _cooked(followed, places).items():
            signs[dish]["cooked"] = value
    return signs


def _turned_to(followed: Followed, told: Sequence[Sequence[Mapping[str, float]]]) -> list[list[dict[str, float]]]:
    """For every clause and dish what tells that the talk turns to it there: how soon it is spoken of."""
    waits = [_SOON] * len(followed.dishes)
    found: list[list[dict[str, float]]] = []
    for clause in reversed(told):
        waits = [0 if _SPOKEN_OF & signs.keys() else wait + 1 for wait, signs in zip(waits, clause, strict=True)]
        found.append([{_HOW_SOON[min(wait, 2)]: 1.0} if wait <= _SOON else {} for wait in waits])
    return found[::-1]


def _spoken(mind: Mind, places: Sequence[int]) -> Iterator[tuple[str, int]]:
    """Names of topics, and foods that topics are named after or known to be made of, each with the topic."""
    for place in places:
        name, titled, made = mind.names.get(place), mind.foods.get(place, ())[:1], mind.made.get(place)
        if name is not None:
            yield "named", name
        for topic in titled:
            yield "titled", topic
            if place in mind.measured:
                yield "measured", topic
        if made is not None:
            yield "made", made
        if place in mind.headed:
            yield from (("leads", topic) for topic in (name, *titled) if topic is not None)


def _cooked(followed: Followed, places: Sequence[int]) -> dict[int, float]:
    """How strongly words of cooking speak for each dish, by its component for which they speak most, more or less than
    for all dishes on average."""
    told = [followed.mind.signs[place] for place in places if place in followed.mind.signs]
    if not told:
        return {}
    most = [sum(max(strengths[topic] for topic in topics) for strengths in told) for topics in followed.topics_of]
    mean = sum(most) / len(most)
    return {dish: max(-_MOST_COOKED, min(_MOST_COOKED, (value - mean) / 2)) for dish, value in enumerate(most)}
