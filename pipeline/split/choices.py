"""All that may be a dish of the episode, with the points of its signs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from pipeline.foods.table import FoodTable
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes
from pipeline.split.calls import Caller
from pipeline.split.candidates import Candidate, CandidateFinder
from pipeline.split.dishes import stem
from pipeline.split.menu_signs import MenuSigns
from pipeline.split.nouns import Noun
from pipeline.split.outcomes import OutcomeReader
from pipeline.split.titles import Announcement, TitleReader
from pipeline.split.ways import SAUCE, DishWays

_DIGITS = 6
_PIECE = "piece"
_AGAIN = 2
_ROW_OF_FOODS = 4


@dataclass(frozen=True, slots=True)
class Choice:
    """A candidate with its points; `plain` is a food or weak noun of which nothing more is said, `introduced` one that
    is named early or before the first amount, `told` one that the opening names and does not measure out; `signs` are
    all that were found, `sentences` how many sentences name it, `foods` how many foods its name holds before its
    noun."""

    candidate: Candidate
    item: Announcement
    points: float
    plain: bool
    introduced: bool
    told: bool
    signs: frozenset[str]
    sentences: int
    foods: int


class ChoiceReader:
    """Compiled signs and what each of them is worth."""

    def __init__(
        self,
        titles: TitleReader,
        classes: Classes,
        table: FoodTable,
        caller: Caller,
        weights: Mapping[str, float],
    ) -> None:
        self._titles = titles
        outcomes = OutcomeReader(classes)
        self._candidates = CandidateFinder(titles, classes, table, outcomes)
        self._signs = MenuSigns(titles, classes, table, caller, outcomes)
        self._ways = DishWays(table)
        self._poured = frozenset(classes["poured-part"])
        self._sizes = frozenset(classes["size"])
        self._no_dishes = frozenset((*classes["flavour-food"], *classes["title-vessel"], *classes["vessel"]))
        self._weights = weights

    def candidates(self, hearing: Hearing) -> tuple[Candidate, ...]:
        """In order of first mention."""
        return self._candidates.find(hearing)

    def ranked(self, hearing: Hearing, candidates: Sequence[Candidate], later: Sequence[Announcement]) -> list[Choice]:
        """The candidates with their points, the likeliest first; what seasons every dish is none, nor is
        a row of foods."""
        told = self.told(hearing, candidates, later)
        told = (one for one in told if not (one[0].name in self._poured and "within" in one[1]))
        choices = (self._choice(hearing, candidate, signs, later) for candidate, signs in told)
        choices = (choice for choice in choices if choice.foods < _ROW_OF_FOODS)
        may_be = (choice for choice in choices if not (choice.plain and choice.candidate.name in self._no_dishes))
        return sorted(may_be, key=lambda choice: (-choice.points, choice.item.start))

    def told(
        self, hearing: Hearing, candidates: Sequence[Candidate], later: Sequence[Announcement]
    ) -> Iterator[tuple[Candidate, Mapping[str, float]]]:
        """Each candidate with the signs for and against it; `later` is announced after the opening."""
        talk = self._signs.talk(hearing, candidates)
        heads = {stem(item.head) for item in later if item.kind in {"dish", "weak"}}
        for candidate in candidates:
            said = {"announced": 1.0} if candidate.name in heads else {}
            yield candidate, self._signs.find(hearing, talk, candidate) | said

    def _choice(
        self, hearing: Hearing, candidate: Candidate, signs: Mapping[str, float], later: Sequence[Announcement]
    ) -> Choice:
        points = round(sum(self._weights[sign] * value for sign, value in signs.items()), _DIGITS)
        announced = [item for item in later if stem(item.head) == candidate.name and not candidate.phrases]
        item = announced[0] if announced else self._item(hearing, candidate)
        if self._stands_alone(candidate, signs):
            item = replace(item, listed=True)
        introduced = not {"early", "introduced"}.isdisjoint(signs)
        told = bool(candidate.phrases) and "measured" not in signs
        sentences = len({hearing.clauses.sentence(noun.end - 1) for noun in candidate.nouns})
        noun = item.start + len(item.title.split(" with ")[0].split()) - 1
        foods = len({hearing.foods[at].name for at in hearing.foods_in(item.start, noun)})
        return Choice(candidate, item, points, "plain" in signs, introduced, told, frozenset(signs), sentences, foods)

    def _stands_alone(self, candidate: Candidate, signs: Mapping[str, float]) -> bool:
        """A mash or a slaw that is named in a row of dishes is one of them; a sauce or a filling is a component."""
        ways = self._ways.of_words([candidate.name])
        told = "listed" in signs and not {"article", "starts"}.isdisjoint(signs)
        return candidate.kind == "part" and told and bool(ways) and SAUCE not in ways

    def _item(self, hearing: Hearing, candidate: Candidate) -> Announcement:
        """How the candidate is announced: by the phrase of the opening that says most, best by one that is not measured
        out (two cups of white rice), else by the longest name that comes again, or the longest of all."""
        if candidate.phrases:
            told = [item for item in hearing.measured if not item.quantity.article and item.quantity.unit != _PIECE]
            measured = {hearing.foods[item.food].end for item in told}
            phrases = [phrase for phrase in candidate.phrases if phrase.noun.end not in measured] or candidate.phrases
            return max(phrases, key=lambda phrase: (len(phrase.item.title.split()), -phrase.item.start)).item
        nouns = [noun for noun in candidate.nouns if noun.kind == candidate.kind]
        called = [self._called(hearing, noun) for noun in nouns]
        often = Counter(item.title for item in called)
        again = [item for item in called if often[item.title] >= _AGAIN and " " in item.title]
        named = again or [self._titles.named_by(hearing, noun.start, noun.end, noun.kind) for noun in nouns]
        return self._unsized(max(named, key=lambda item: (len(item.title.split()), -item.start)))

    def _unsized(self, item: Announcement) -> Announcement:
        """A name without the size before it: not a small cabbage."""
        words = item.title.split()
        first = next((at for at, word in enumerate(words[:-1]) if word not in self._sizes), len(words) - 1)
        return replace(item, start=item.start + first, title=" ".join(words[first:]))

    def _called(self, hearing: Hearing, noun: Noun) -> Announcement:
        """The noun with all that is said of it before: soured cabbage."""
        item = self._titles.named_by(hearing, noun.start, noun.end, noun.kind)
        start = self._titles.noun_phrase_start(hearing, noun.start)
        return replace(item, start=start, title=" ".join(hearing.speech.words[start : noun.end]))
