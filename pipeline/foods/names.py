"""The spoken names of foods (models/foods/*.csv): found in running speech, or matched one at a time.

Nothing here reads the table of figures; a name points to a food by its id.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from pipeline.errors import RulesError
from pipeline.foods.faults import Faults, rows
from pipeline.foods.plurals import Plurals, default_plurals
from pipeline.resources import models_path

COLUMNS = ("name", "food", "kind", "editor", "needs")
KINDS = frozenset({"name", "variant", "generic", "misheard"})
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_RUNNERS_UP = 12
_HELD = 0.5
_NOTHING: frozenset[str] = frozenset()


class FoodName(NamedTuple):
    """One spoken name. `food` is an id of the food table; `editor` what is printed for it, empty for the name itself;
    `needs` holds words of which one must stand near by for the reading to count, empty where none has to."""

    name: str
    food: str
    kind: str
    editor: str
    needs: frozenset[str]


@dataclass(frozen=True, slots=True)
class FoodMatch:
    """A food matched to a text: `score` 1.0 for a listed name, less where words were left out or respelt.

    `name` is the listed name it was matched by, `runner_up` the id of the next likeliest other food, where there is
    one and the score is below 1.0.
    """

    food: str
    name: str
    score: float
    runner_up: str | None = None


@dataclass(frozen=True, slots=True)
class Matching:
    """The settings of models/matching.toml; scores and likeness 0..1, length in letters."""

    threshold: float
    word_likeness: float
    word_length: int
    asked_likeness: float
    left_out_score: float
    reordered_score: float
    ignorable: frozenset[str]

    @classmethod
    def load(cls, path: Path | None = None) -> Matching:
        """Read the settings. Raises RulesError where one is missing, unknown or of another kind."""
        path = path or models_path("matching.toml")
        try:
            settings: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
            raise RulesError(f"cannot be read: {fault}", file=path.name) from fault
        faults = Faults()
        expected = set(cls.__slots__)
        for key in sorted(expected.symmetric_difference(settings)):
            faults.add(path.name, 0, "", f"{key} is {'missing' if key in expected else 'not a setting'}")
        for key in sorted((expected & set(settings)) - {"ignorable"}):
            if isinstance(settings[key], bool) or not isinstance(settings[key], int | float):
                faults.add(path.name, 0, "", f"{key} is {settings[key]!r}, expected a number")
        words = settings.get("ignorable", [])
        if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
            faults.add(path.name, 0, "", "ignorable is no list of words")
        faults.raise_any()
        return cls(**{**settings, "ignorable": frozenset(words)})


class FoodNames:
    """All spoken names, compiled for look-up. Immutable after it is made; safe to share between threads."""

    def __init__(self, entries: Iterable[FoodName], plurals: Plurals, matching: Matching) -> None:
        self._entries = tuple(sorted(entries, key=lambda entry: entry.name))
        self._plurals = plurals
        self._matching = matching
        self._forms: dict[str, FoodName] = {entry.name: entry for entry in self._entries}
        endings: dict[str, tuple[str, ...]] = {}
        for entry in self._entries:
            first, space, last = entry.name.rpartition(" ")
            if last not in endings:
                endings[last] = self._more_forms(last)
            for ending in endings[last]:
                self._forms.setdefault(f"{first}{space}{ending}", entry)
        self._openings: dict[str, dict[str, int]] = {}
        for form in self._forms:
            first, *others = form.split(" ")
            lengths = self._openings.setdefault(first, {})
            second = others[0] if others else ""
            lengths[second] = max(lengths.get(second, 0), 1 + len(others))

    @classmethod
    def load(cls, folder: Path | None = None, *, own: Path | None = None) -> FoodNames:
        """Read every CSV file of a folder (default models/foods); names.csv of the folder `own`, as `foods import`
        writes it, comes on top. Raises RulesError that lists all faults."""
        folder = folder or models_path("foods")
        paths = sorted(folder.glob("*.csv"))
        if not paths:
            raise RulesError("holds no list of names (*.csv)", file=folder.name)
        entries = _read(paths)
        if own is not None and (own / "names.csv").is_file():
            entries |= _read([own / "names.csv"])
        return cls(entries.values(), default_plurals(), Matching.load())

    def __iter__(self) -> Iterator[FoodName]:
        """The listed names, sorted."""
        return iter(self._entries)

    def __len__(self) -> int:
        return len(self._entries)

    def openers(self, words: Iterable[str]) -> set[str]:
        """Those of some different words with which a name may begin."""
        return {word for word in words if word in self._openings}

    def longest(self, words: Sequence[str], at: int) -> tuple[FoodName, int] | None:
        """The longest name that begins with word `at`, and its length in words; None where no name does.

        `words` are lower-case tokens of speech. The plural of a name's last word counts as the name. `needs` is not
        looked at: that is the caller's.
        """
        lengths = self._openings.get(words[at])
        if lengths is None:
            return None
        second = words[at + 1] if at + 1 < len(words) else ""
        reach = lengths.get(second) or lengths.get("", 0)
        for length in range(min(reach, len(words) - at), 0, -1):
            entry = self._forms.get(" ".join(words[at : at + length]))
            if entry is not None:
                return entry, length
        return None

    def lookup(self, text: str) -> FoodName | None:
        """The listed name that is `text`, in singular or plural, whatever its case and spacing; else None."""
        words = text.lower().split()
        if not words:
            return None
        *first, last = words
        for form in (last, self._plurals.singular(last), *self._plurals.plurals(last)):
            entry = self._forms.get(" ".join((*first, form)))
            if entry is not None:
                return entry
        return None

    def best(self, text: str) -> FoodMatch | None:
        """The food meant by `text`: a listed name, else one after leaving out words that do not change a food, after
        reordering, or after respelling words no name contains. None rather than a near miss.

        The last word stays the last word, so a flour is never taken for what it was milled from.
        """
        exact = self.lookup(text)
        if exact is not None:
            return FoodMatch(exact.food, exact.name, 1.0)
        words = text.lower().replace(",", " ").replace("-", " ").split()
        respelt = self._respell(words)
        if respelt is None:
            return None
        words, likeness = respelt
        entry, score = self._by_words(words)
        score *= likeness
        if entry is None or score < self._matching.threshold:
            return None
        return FoodMatch(entry.food, entry.name, round(score, 3), self._runner_up(words, entry.food))

    def near(self, text: str, limit: int) -> list[FoodMatch]:
        """Foods whose names hold all words of `text`, or are spelt much like it: a list for a person to choose from,
        best first, one match a food."""
        from rapidfuzz import fuzz

        sought = [self._plurals.singular(word) for word in text.lower().split()]
        plain = " ".join(sought)
        found: dict[str, FoodMatch] = {}
        for entry in self._entries:
            words = [self._plurals.singular(word) for word in entry.name.split()]
            score = fuzz.ratio(plain, " ".join(words)) / 100
            held = all(any(word.startswith(part) for word in words) for part in sought)
            score = max(score, _HELD) if held else score
            if entry.kind == "misheard" and entry.name != plain:
                continue
            if score >= self._matching.word_likeness or (held and sought):
                standing = found.get(entry.food)
                if standing is None or score > standing.score:
                    found[entry.food] = FoodMatch(entry.food, entry.name, round(score, 3))
        return sorted(found.values(), key=lambda match: (-match.score, len(match.name), match.name))[:limit]

    def alike(self, heard: str, limit: int) -> tuple[str, ...]:
        """Listed names that are written almost as `heard` is, spaces aside: what a recogniser may have been told.

        Best first, one name a food. To be asked about, never to be taken for it.
        """
        from rapidfuzz import fuzz, process

        letters = {entry.name.replace(" ", ""): entry for entry in self._entries if entry.kind != "misheard"}
        least = self._matching.asked_likeness * 100
        found = process.extract(
            heard.lower().replace(" ", ""),
            {key: key for key in letters},
            scorer=fuzz.ratio,
            score_cutoff=least,
            limit=None,
        )
        names: dict[str, str] = {}
        for _, _, key in found:
            names.setdefault(letters[key].food, letters[key].name)
        return tuple(names.values())[:limit]

    def singular(self, word: str) -> str:
        """The singular of a word; a word that is no plural comes back as it is."""
        return self._plurals.singular(word)

    def plural(self, word: str) -> str:
        """The usual plural of a word; the word itself where it has none (rice, fish)."""
        return self._plurals.plural(word)

    def _more_forms(self, word: str) -> tuple[str, ...]:
        """The plurals of a word that is none itself."""
        return self._plurals.plurals(word) if self._plurals.singular(word) == word else ()

    def _by_words(self, words: list[str]) -> tuple[FoodName | None, float]:
        """The name made of `words`, without those that may be left out, in their order or another."""
        whole = " ".join(words)
        if (entry := self.lookup(whole)) is not None:
            return entry, 1.0
        kept = [word for word in words if word not in self._matching.ignorable]
        if not kept or kept[-1] != words[-1]:
            return None, 0.0
        score = self._matching.left_out_score if len(kept) < len(words) else 1.0
        if (entry := self.lookup(" ".join(kept))) is not None:
            return entry, score
        return self._reordered(kept), score * self._matching.reordered_score

    def _reordered(self, words: list[str]) -> FoodName | None:
        *first, last = words
        sought = sorted(first)
        last = self._plurals.singular(last)
        for entry in self._entries:
            if len(entry.name) > len(" ".join(words)) + 1:
                continue
            *others, head = entry.name.split()
            if self._plurals.singular(head) == last and sorted(others) == sought and entry.kind != "misheard":
                return entry
        return None

    def _respell(self, words: list[str]) -> tuple[list[str], float] | None:
        """`words` with those that no name contains replaced by the likeliest one, and the likeness of the whole; None
        where a word has no such replacement, or two as likely."""
        from rapidfuzz import fuzz, process

        known = {word for form, entry in self._forms.items() if entry.kind != "misheard" for word in form.split()}
        known |= self._matching.ignorable
        respelt: list[str] = []
        likeness = 1.0
        for word in words:
            if word in known:
                respelt.append(word)
                continue
            if len(word) < self._matching.word_length:
                return None
            hits = process.extract(
                word, sorted(known), scorer=fuzz.ratio, limit=3, score_cutoff=100 * self._matching.word_likeness
            )
            others = [hit for hit in hits[1:] if self.singular(hit[0]) != self.singular(hits[0][0])]
            if not hits or (others and others[0][1] == hits[0][1]):
                return None
            respelt.append(hits[0][0])
            likeness *= hits[0][1] / 100
        return respelt, likeness

    def _runner_up(self, words: list[str], food: str) -> str | None:
        from rapidfuzz import fuzz, process

        head = self.singular(words[-1])
        names = [
            entry.name
            for entry in self._entries
            if entry.food != food and entry.kind != "misheard" and self.singular(entry.name.split()[-1]) == head
        ]
        hits = process.extract(" ".join(words), names, scorer=fuzz.token_sort_ratio, limit=_RUNNERS_UP)
        return self._forms[min(hits, key=lambda hit: (-hit[1], hit[0]))[0]].food if hits else None


def _read(paths: Iterable[Path]) -> dict[str, FoodName]:
    """Entries by name, each name once over all files. Raises RulesError that lists all faults."""
    faults = Faults()
    entries: dict[str, FoodName] = {}
    places: dict[str, str] = {}
    for path in paths:
        for line, cells in rows(path, COLUMNS, faults):
            entry = _entry(cells, path.name, line, faults)
            if entry.name in entries:
                faults.add(path.name, line, "name", f"{entry.name!r} stands already in {places[entry.name]}")
            entries[entry.name] = entry
            places[entry.name] = f"{path.name}, line {line}"
    faults.raise_any()
    return entries


def _entry(cells: list[str], file: str, line: int, faults: Faults) -> FoodName:
    name, food, kind, editor, needs = cells
    if not name or name != " ".join(name.lower().split()):
        faults.add(file, line, "name", f"{name!r} is not lower-case words parted by single spaces")
    if not _ID.fullmatch(food):
        faults.add(file, line, "food", f"{food!r} is not an id such as bell-pepper-red-raw")
    if kind not in KINDS:
        faults.add(file, line, "kind", f"{kind!r}, expected one of {', '.join(sorted(KINDS))}")
    if needs != needs.lower():
        faults.add(file, line, "needs", f"{needs!r} is not in lower case")
    return FoodName(name, food, kind, editor, frozenset(needs.split()) if needs else _NOTHING)


@cache
def spoken_names() -> FoodNames:
    """The names of models/foods, read once a process."""
    return FoodNames.load()
