"""Words by which a presenter calls a dish or a component: where the talk turns to it, or looks in on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, Row, load_dish_words, load_phrases, load_rows
from pipeline.phrases import Match
from pipeline.split.dishes import MAIN, Dish, Topic, aside, ends_in, stem, where
from pipeline.split.kind_words import KindWords
from pipeline.split.remembered import Remembered, RememberedAt

_LEAD = 9
_TAIL_LEAD = 5
_FRAME = 8
_INTRODUCTION = 150
_MADE_FOR = 4
_MEANT_FOR = 3
_OTHER_NAME = 2
_SOME = ("a", "little")


@dataclass(frozen=True, slots=True)
class Call:
    """The talk turns to `topic` at word `start`, called by word `key`; `framed` says that words of turning stand before
    the name."""

    start: int
    key: int
    topic: Topic
    framed: bool = False


class Caller:
    """Compiled words of turning."""

    def __init__(self, classes: Classes, kinds: KindWords) -> None:
        self._kinds = kinds
        self._glue = frozenset(classes["topic-glue"])
        self._clause_lead = frozenset(classes["clause-lead"])
        self._turning = frozenset(classes["turning"])
        self._unnamed = frozenset(classes["title-part"])
        self._uses = load_phrases("part_uses.csv", ("id", "place", "pattern"), classes)
        self._whereto = frozenset(classes["whereto"])
        self._det = frozenset(classes["det"])
        self._upper = frozenset(classes["upper-part"])
        self._insides = frozenset(classes["inner-part"])
        self._purpose = frozenset(classes["purpose-lead"])
        self._speakers = frozenset(classes["speaking-pronoun"])
        self._being = frozenset(classes["being"])
        self._reasons = frozenset(classes["reason-lead"])
        self._grounds = self._reasons & {"because", "cause", "cuz", "since"}
        self._owned = frozenset(classes["own-article"])
        self._tail = frozenset(classes["topic-tail"])
        self._made_from = frozenset(classes["made-from-food"])
        self._order = frozenset(classes["topic-order"])
        self._holders = frozenset(classes["vessel"]) | frozenset(classes["title-vessel"])
        self._within = frozenset(classes["within-lead"])
        self._forms = frozenset(row["form"] for row in load_rows("verbs.csv", ("form", "verb", "kind", "time_label")))
        self._verbs = frozenset(form for form in self._forms if form[-1] == "s")
        self._handled = frozenset(classes["object-pronoun"]) | frozenset(classes["definite"])
        self._shares = frozenset(classes["share-of-part"])
        self._layer_on = frozenset(classes["layer-told-on"])
        self._meant_for = frozenset(classes["group-word"]) | frozenset(classes["vessel"])
        self._sizes = frozenset(classes["size"])
        self._pronouns = frozenset(classes["pronoun"])
        rows = load_dish_words()
        self._dish_words = frozenset(stem(row["words"]) for row in rows)
        self._part_words = frozenset(stem(row["words"]) for row in rows if row["kind"] not in {"dish", "weak"})
        self._framed_at = Remembered(self._frames_by_end)
        self._headed = RememberedAt(self._heads)
        self._led = RememberedAt(self._leads)
        self._spoken = Remembered(lambda hearing: self._dish_words.intersection(map(stem, hearing.speech.places)))
        self._frames = load_phrases("topic_frames.csv", ("id", "kind", "pattern"), classes)

    def heads(self, hearing: Hearing, place: int) -> bool:
        """Whether a food stands where a speaker turns to it: `okay the fish`, and not `and the fish`."""
        return self._headed(hearing, place)

    def leads(self, hearing: Hearing, place: int) -> bool:
        """Whether a clause is about the food at `place`: it is turned to, looked at (`check the fish`), or is what
        something is told of (`fish is out now`)."""
        return self._led(hearing, place)

    def keywords(self, hearing: Hearing, dishes: Sequence[Dish]) -> Mapping[str, Topic]:
        """Word -> the topic it calls to mind, a compound too (hoecake for cakes); words that call two are left out."""
        calls: dict[str, list[Topic]] = {}
        for at, dish in enumerate(dishes):
            named = (part for part in dish.parts if " " not in part or part.split()[-1] not in self._unnamed)
            heads = {stem(part.split()[-1]): part for part in named}
            heads = self._aliases(dish, heads) | heads
            for name, part in heads.items():
                calls.setdefault(name, []).append(Topic(at, part))
            for word in sorted((dish.keywords | self._ends(dish.head)) - heads.keys()):
                calls.setdefault(word, []).append(Topic(at, MAIN))
        chosen: dict[str, Topic] = {}
        for word, topics in calls.items():
            own = [topic for topic in topics if dishes[topic.dish].head == word and topic.part == MAIN]
            if len(topics) == 1 or len(own) == 1:
                chosen[word] = (own or topics)[0]
        for word in sorted(self._spoken(hearing) - chosen.keys()):
            owners = [Topic(at) for at, dish in enumerate(dishes) if ends_in(word, dish.head)]
            if len(owners) == 1:
                chosen[word] = owners[0]
        return chosen

    def _aliases(self, dish: Dish, heads: Mapping[str, str]) -> dict[str, str]:
        """Other words for a component: the crumbs for a crumb topping; the fruit for a filling that no word names."""
        upper = next((part for part in dish.parts if stem(part.split()[-1]) in self._upper), None)
        found = dict.fromkeys(self._upper - self._unnamed, upper) if upper is not None else {}
        if dish.main_part not in {dish.head, *heads}:
            found |= dict.fromkeys(self._insides, MAIN)
        return {word: part for word, part in found.items() if word not in dish.keywords}

    def mentions(self, hearing: Hearing, dishes: Sequence[Dish]) -> dict[int, Topic]:
        """Place of every word that is the noun of a dish or component -> that topic; not of one that is only shared
        out, `half the glaze`."""
        keywords = self.keywords(hearing, dishes)
        heads, within = self._nouns(dishes, keywords), self._within_names(hearing)
        words = hearing.speech.words
        found = {place: keywords[stem(words[place])] for place in where(hearing, heads & keywords.keys())}
        found |= self._kinds.find(hearing, dishes)
        return {
            place: topic
            for place, topic in found.items()
            if place not in within
            and not self._is_verb(hearing, place)
            and (topic.part == MAIN or not self._is_shared(hearing, place))
        }

    def _within_names(self, hearing: Hearing) -> set[int]:
        """The rice of `rice vinegar`: a food that is only what another is made from."""
        words = hearing.speech.words
        return {food.end - 2 for food in hearing.foods if words[food.end - 1] in self._made_from}

    def _is_verb(self, hearing: Hearing, place: int) -> bool:
        """`chop them up`, `now glaze the carrots`: what is done, not the chop or the glaze."""
        words = hearing.speech.words
        if words[place] not in self._forms or place + 1 == hearing.clauses.sentence(place)[1]:
            return False
        return words[place + 1] in self._handled and (not place or words[place - 1] not in self._det)

    def _is_shared(self, hearing: Hearing, place: int) -> bool:
        """`a spoonful of the sauce`, `half the glaze`: some of what is made already."""
        words = hearing.speech.words[max(0, place - 2) : place]
        return bool(words) and words[-1 - (words[-1] in self._det and len(words) > 1)] in self._shares

    def _nouns(self, dishes: Sequence[Dish], keywords: Mapping[str, Topic]) -> set[str]:
        """The nouns of dishes and components, the compounds of them that were spoken, and the words they end in."""
        nouns = {word for dish in dishes for word in {dish.head, *self._ends(dish.head)}}
        nouns |= {stem(part.split()[-1]) for dish in dishes for part in dish.parts}
        nouns |= (self._upper | self._insides) & keywords.keys()
        return nouns | {word for word in keywords if any(ends_in(word, dish.head) for dish in dishes)}

    def _ends(self, head: str) -> set[str]:
        """The words for dishes in which a compound ends: bread of flatbread, cake of pancake."""
        return {
            word for word in (head[at:] for at in range(len(head))) if word in self._dish_words and ends_in(head, word)
        }

    def opens(self, hearing: Hearing, place: int) -> bool:
        """Whether a word stands where the talk turns to a new thing: only words of turning since the clause began."""
        sentence, clause = hearing.clauses.sentence(place)[0], hearing.clauses.clause(place)[0]
        words = hearing.speech.words
        leads = (words[first:place] for first in (sentence, clause) if place - first <= _LEAD)
        if any(lead and self._glue.issuperset(lead) for lead in leads):
            return True
        return any(match.payload["kind"] == "switch" for match in self._framed_at(hearing).get(place, ()))

    def _heads(self, hearing: Hearing, place: int) -> bool:
        speech, sentence = hearing.speech, hearing.clauses.sentence(place)[0]
        broken = place > sentence and speech.line[place] != speech.line[place - 1]
        if broken and speech.words[place + 1 : place + 2]:
            return speech.words[place + 1] in self._tail
        if place - sentence > _LEAD:
            return False
        lead = speech.words[sentence:place]
        tailed = not self._order.isdisjoint(speech.words[place + 1 : place + 2])
        return self._glue.issuperset(lead) and (not lead or tailed or bool(self._turning.intersection(lead)))

    def _leads(self, hearing: Hearing, place: int) -> bool:
        words, clause = hearing.speech.words, hearing.clauses.clause(place)[0]
        frame = self._frame_before(hearing, place)
        if frame is not None and (frame.payload["kind"] != "glance" or frame.start == clause):
            return True
        lead = words[clause:place]
        told = any(match.payload["kind"] == "tail" for match in self._frames.at(words, place + 1))
        return self._headed(hearing, place) or (told and len(lead) <= _TAIL_LEAD and self._glue.issuperset(lead))

    def looks(self, hearing: Hearing, place: int) -> bool:
        """Whether a thing of the kitchen is turned to or looked at: `now my dough`, `let me see this pot`."""
        frame = self._frame_before(hearing, place)
        return self._headed(hearing, place) or (frame is not None and frame.payload["kind"] == "visit")

    def turns(self, hearing: Hearing, place: int) -> bool:
        """Whether a speaker turns to a food: `okay the rice`, or with words of turning before it, `we do the rice`, or
        is asked for it, `what's in the rice`."""
        frame = self._frame_before(hearing, place)
        return self._headed(hearing, place) or (frame is not None and frame.payload["kind"] in {"switch", "question"})

    @staticmethod
    def titles(dishes: Sequence[Dish], announced: Sequence[tuple[int, int]]) -> set[int]:
        """The words with which the introduction announces the dishes."""
        first = {dish.start for dish in dishes if dish.start < _INTRODUCTION}
        return {place for start, end in announced if start in first for place in range(start, end)}

    def calls(self, hearing: Hearing, dishes: Sequence[Dish], announced: Sequence[tuple[int, int]]) -> list[Call]:
        """Every call, in order of the words that call."""
        keywords = self.keywords(hearing, dishes)
        heads = self._nouns(dishes, keywords)
        foods = {
            place
            for food in hearing.foods
            for place in range(food.head, food.end)
            if food.end - food.head == 1 or stem(hearing.speech.words[food.end - 1]) not in self._part_words
        }
        within = self._within_names(hearing)
        titles = self.titles(dishes, announced)
        kinds = self._kinds.find(hearing, dishes)
        found = [*self._food_calls(hearing, dishes, titles), *self._layer_calls(hearing, dishes, titles)]
        for place in sorted({*kinds, *where(hearing, keywords.keys())}):
            word = stem(hearing.speech.words[place])
            named = place in titles and hearing.clauses.sentence(place)[0] != place
            called = not named and place not in within and (word in heads or place not in foods or place in kinds)
            if not called or self._is_verb(hearing, place):
                continue
            call = self._called(hearing, dishes, place, kinds[place] if place in kinds else keywords[word])
            if call is not None:
                found.append(call)
        for at, dish in enumerate(dishes):
            if dish.start > _INTRODUCTION and at:
                found.append(Call(hearing.clauses.sentence(dish.start)[0], dish.start, Topic(at)))
        return sorted(found, key=lambda call: call.key)

    @staticmethod
    def _aside(hearing: Hearing, place: int, opened: int) -> bool:
        """Whether a thing is only spoken of, by a cue of its own sentence; the words of turning at `opened` end what
        was said before them."""
        if not aside(hearing, place):
            return False
        start, end = hearing.clauses.sentence(place)
        scopes = hearing.over[place]
        if opened >= start:
            return any(opened <= scope.cue_start < end for scope in scopes)
        return not scopes or any(scope.kind == "elsewhere" or start < scope.cue_end <= end for scope in scopes)

    def _called(self, hearing: Hearing, dishes: Sequence[Dish], place: int, topic: Topic) -> Call | None:
        """The call of the word at `place`; a finished component that goes over or into its dish calls the dish."""
        words = hearing.speech.words
        if topic.part != MAIN and stem(words[place]) in self._dish_words:
            following = any(match.payload["place"] == "after" for match in self._uses.at(words, place + 1))
            if following or self._is_poured(words, place):
                return Call(hearing.clauses.clause(place)[0], place, Topic(topic.dish))
        return self._call(hearing, dishes, place, topic)

    def _is_poured(self, words: Sequence[str], place: int) -> bool:
        """`pour the sauce over`: a verb of pouring within the words before, and where to after it."""
        poured = any(
            match.payload["place"] == "before" and match.end in {place, place - 1}
            for start in range(max(0, place - _FRAME), place)
            for match in self._uses.at(words, start)
        )
        return poured and words[place + 1 : place + 2] != () and words[place + 1] in self._whereto

    def _call(self, hearing: Hearing, dishes: Sequence[Dish], place: int, topic: Topic) -> Call | None:
        words = hearing.speech.words
        sentence, clause = hearing.clauses.sentence(place)[0], hearing.clauses.clause(place)[0]
        own = {stem(word) for word in f"{dishes[topic.dish].title} {topic.part}".split()} - self._glue
        begin = place
        while begin > sentence and stem(words[begin - 1]) in own:
            begin -= 1
        begin = self._over_praise(words, begin, sentence)
        begin = self._over_making(words, self._over_other_name(words, begin, sentence), sentence)
        frame = self._frame_before(hearing, begin)
        if self._aside(hearing, place, frame.start if frame is not None and frame.payload["kind"] == "switch" else -1):
            return None
        if frame is not None:
            return self._framed(hearing, frame, clause, place, topic)
        start = sentence if place - sentence <= _LEAD else clause
        if self._is_no_name(words, sentence, begin, place) or words[clause] in self._reasons:
            return None
        for first in {sentence, clause}:
            if 0 <= begin - first <= _LEAD and self._glue.issuperset(words[first:begin]):
                return Call(start if first == sentence else clause, place, topic)
        following = words[place + 1] if place + 1 < len(words) else ""
        tailed = following in self._tail and begin - clause <= _TAIL_LEAD and not self._is_purpose(words, begin)
        if tailed or self._is_called_otherwise(words, sentence, begin):
            return Call(start, place, topic)
        return None

    def is_kept_for(self, hearing: Hearing, place: int) -> bool:
        """Whether a thing is only what another is kept for, not what the talk is about: `a quarter for the beans`."""
        words, clause = hearing.speech.words, hearing.clauses.clause(place)[0]
        lead = place - (words[place - 1] in self._det)
        return lead - 1 > clause and words[lead - 1] == "for"

    def _is_purpose(self, words: Sequence[str], begin: int) -> bool:
        """`the little one is for the sauce`."""
        return "for" in words[max(0, begin - 2) : begin]

    def _is_called_otherwise(self, words: Sequence[str], sentence: int, begin: int) -> bool:
        """`now the jolly off rice`: words of turning, an article and a word or two, as of a name heard wrongly."""
        for first in range(begin - 1, max(sentence, begin - 1 - _OTHER_NAME) - 1, -1):
            lead = words[sentence:first]
            if words[first] in self._owned:
                return first < begin - 1 and self._glue.issuperset(lead) and bool(self._turning.intersection(lead))
        return False

    def _frame_before(self, hearing: Hearing, begin: int) -> Match[Row] | None:
        """The words of turning that end right before word `begin`; a question about a dish opens its sentence."""
        words, sentence = hearing.speech.words, hearing.clauses.sentence(begin)[0]
        for match in self._framed_at(hearing).get(begin, ()):
            asks = match.payload["kind"] in {"ask", "question"}
            asked = not asks or self._clause_lead.issuperset(words[sentence : match.start])
            if asked:
                return match
        return None

    def _frames_by_end(self, hearing: Hearing) -> Mapping[int, Sequence[Match[Row]]]:
        """Where words of turning end -> those words, in the order in which they begin."""
        found: dict[int, list[Match[Row]]] = {}
        for match in self._frames.every(hearing.speech.words, hearing.speech.places):
            if match.payload["kind"] != "tail":
                found.setdefault(match.end, []).append(match)
        return found

    def _is_no_name(self, words: Sequence[str], sentence: int, begin: int, place: int) -> bool:
        """`in a small bowl`, `that bakes`, `it's filling`, `we dip`: what only sounds like the name of the dish."""
        if words[place].endswith("ing") and begin == place and words[max(0, place - 1)] in self._being:
            return True
        if begin == place and words[max(0, place - 1)] in self._speakers:
            return True
        if words[place] in self._holders and self._within.intersection(words[max(sentence, begin - 3) : begin]):
            return True
        return words[place] in self._verbs and words[max(0, place - 1)] in self._pronouns

    def _over_praise(self, words: Sequence[str], begin: int, sentence: int) -> int:
        """Back to the article over `a nice quick`; `a little` says how much."""
        first = begin
        while first - 1 > sentence and words[first - 1] in self._sizes:
            first -= 1
        articled = first > sentence and words[first - 1] in self._det
        return first if articled and words[first - 1 : first + 1] != _SOME else begin

    def _over_other_name(self, words: Sequence[str], begin: int, sentence: int) -> int:
        """Back over another word for the same component: `the topping, the gremolata`."""
        named = begin - 2 > sentence and words[begin - 1] in self._det and stem(words[begin - 2]) in self._part_words
        return begin - 2 if named else begin

    def _over_making(self, words: Sequence[str], begin: int, sentence: int) -> int:
        """Back over `the dough for the`, in which a thing is made for the dish that follows; not `keep for the`."""
        if words[begin - 1] not in self._det or words[begin - 2] != "for" or begin - sentence < _MEANT_FOR:
            return begin
        if words[begin - 3] in self._meant_for:
            return begin - 3 - (words[begin - 4] in self._sizes)
        made_for = begin - sentence >= _MADE_FOR
        if made_for and words[begin - 3] not in self._purpose:
            return begin - _MADE_FOR + (words[begin - _MADE_FOR] not in self._det)
        return begin

    def _framed(self, hearing: Hearing, frame: Match[Row], clause: int, place: int, topic: Topic) -> Call | None:
        """`for the sauce` turns the talk only where it opens a clause; elsewhere it tells what a thing is kept for;
        not `because we do the sauce`."""
        kind = frame.payload["kind"]
        words = hearing.speech.words
        glanced = kind == "glance" and not self._clause_lead.issuperset(words[clause : frame.start])
        grounded = not self._grounds.isdisjoint(words[max(0, clause - 1) : clause + 1])
        return None if glanced or grounded else Call(clause, place, topic, True)

    def _layer_calls(self, hearing: Hearing, dishes: Sequence[Dish], titles: set[int]) -> Iterator[Call]:
        """`now the top`, `the soft top is`: a part that has only the word for a layer; not `now the lid goes on`."""
        words = hearing.speech.words
        layers = {
            part.split()[-1]: Topic(at, part)
            for at, dish in enumerate(dishes)
            for part in dish.parts
            if " " in part and part.split()[-1] in self._unnamed
        }
        for place in hearing.speech.where(layers.keys()):
            word = words[place]
            if place + 1 == len(words) or place in titles or words[place + 1] in self._layer_on:
                continue
            named = words[place - 1] in {*self._det, *layers[word].part.split()}
            call = self._call(hearing, dishes, place, layers[word]) if named else None
            if call is not None:
                yield call

    def _food_calls(self, hearing: Hearing, dishes: Sequence[Dish], titles: set[int]) -> list[Call]:
        """A food of two words or more that stands in one dish's title calls that dish as its noun does."""
        found: list[Call] = []
        named = [{stem(word) for word in dish.title.split()} for dish in dishes]
        for food in hearing.foods:
            name = {stem(word) for word in food.name.split()}
            owners = [at for at, title in enumerate(named) if len(name) > 1 and name <= title]
            if len(owners) == 1 and food.head not in titles and not aside(hearing, food.head):
                call = self._call(hearing, dishes, food.start, Topic(owners[0]))
                found.extend([call] if call is not None else [])
        return found
