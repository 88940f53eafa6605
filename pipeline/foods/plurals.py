"""Singular and plural of the words foods are named with: regular ones by rule, the others from models/plurals.csv."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from pipeline.foods.faults import Faults, rows
from pipeline.resources import models_path

_SIBILANT = re.compile(r"(s|x|z|ch|sh)$")
_CONSONANT_Y = re.compile(r"[^aeiou]y$")
_SIBILANT_ES = re.compile(r"(ss|x|zz|ch|sh)es$")
_IES = re.compile(r"[^aeiou]ies$")
_NOT_PLURAL = re.compile(r"(ss|us|is)$")


class Plurals:
    """Number of nouns. `irregular` maps a singular to its plurals, the usual one first; a word that is its own
    plural (fish, rice) maps to itself."""

    def __init__(self, irregular: dict[str, tuple[str, ...]]) -> None:
        self._plural = irregular
        self._singular = {form: word for word, forms in irregular.items() for form in forms}

    @classmethod
    def load(cls, path: Path | None = None) -> Plurals:
        """Read a `word,plural` file; a word may have several rows. Raises RulesError."""
        path = path or models_path("plurals.csv")
        faults = Faults()
        irregular: dict[str, tuple[str, ...]] = {}
        for line, (word, plural) in rows(path, ("word", "plural"), faults):
            for column, text in (("word", word), ("plural", plural)):
                if not text or text != text.lower() or " " in text:
                    faults.add(path.name, line, column, f"{text!r} is not one word in lower case")
            if plural in irregular.get(word, ()):
                faults.add(path.name, line, "plural", f"{plural!r} stands here twice for {word!r}")
            irregular[word] = (*irregular.get(word, ()), plural)
        faults.raise_any()
        return cls(irregular)

    def plurals(self, word: str) -> tuple[str, ...]:
        """All plural forms, the usual one first; the word itself where it has no other plural."""
        if word in self._plural:
            return self._plural[word]
        if word in self._singular or not word[-1:].isalpha():
            return (word,)
        if _CONSONANT_Y.search(word):
            return (word[:-1] + "ies",)
        return (word + ("es" if _SIBILANT.search(word) else "s"),)

    def plural(self, word: str) -> str:
        """The usual plural of a word."""
        return self.plurals(word)[0]

    def singular(self, word: str) -> str:
        """The singular; a word that is no plural comes back as it is."""
        if word in self._plural:
            return word
        if word in self._singular:
            return self._singular[word]
        if len(word) < 4 or not word.endswith("s") or _NOT_PLURAL.search(word):
            return word
        if _IES.search(word) and len(word) > 4:
            return word[:-3] + "y"
        if _SIBILANT_ES.search(word) or (word.endswith("oes") and len(word) > 4):
            return word[:-2]
        return word[:-1]


@cache
def default_plurals() -> Plurals:
    """The plurals of models/plurals.csv, read once."""
    return Plurals.load()
