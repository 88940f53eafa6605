"""What a time is for: the verb beside it, the oven it is spent in, or the last thing done."""

from __future__ import annotations

from pipeline.hear.durations import TimeSpan
from pipeline.hear.hearing import Hearing
from pipeline.hear.lexicon import Classes, load_phrases, load_rows
from pipeline.split.remembered import Remembered

UNTOLD = "cook"
_BACK = 30
_NEAR = 4
_KEPT = "store"
_LONG = "day"


class TimeLabels:
    """Compiled labels of verbs and of places."""

    def __init__(self, classes: Classes) -> None:
        rows = load_rows("verbs.csv", ("form", "verb", "kind", "time_label"))
        self._labels = {row["form"]: row["time_label"] for row in rows if row["time_label"]}
        self._slow = frozenset(classes["slow-label"])
        places = load_phrases("places.csv", ("id", "pattern", "time_label"), classes)
        self._told = Remembered(self._all)
        self._places = Remembered(lambda hearing: places.by_start(hearing.speech.words, hearing.speech.places))

    def of(self, hearing: Hearing, time: TimeSpan) -> str:
        """The label of a time, such as bake, simmer, rest or store; `cook` where nothing tells. What takes
        days is how long it keeps, unless it is soaked, cured or fermented."""
        label = self._told(hearing)[time.start]
        return _KEPT if time.unit == _LONG and label not in self._slow else label

    def _all(self, hearing: Hearing) -> dict[int, str]:
        """The start of every time -> what tells of it near by."""
        return {time.start: self._near(hearing, time) for time in hearing.times}

    def _near(self, hearing: Hearing, time: TimeSpan) -> str:
        start, end = hearing.clauses.clause(time.start)
        first, last = hearing.clauses.sentence(time.start)
        return (
            self._verb(hearing, time.start, min(start, max(0, time.start - _NEAR)))
            or self._place(hearing, start, end)
            or self._verb(hearing, start, first)
            or self._after(hearing, time.end, end)
            or self._place(hearing, first, last)
            or self._verb(hearing, first, max(0, time.start - _BACK))
            or UNTOLD
        )

    def _verb(self, hearing: Hearing, place: int, back_to: int) -> str:
        words = hearing.speech.words
        labels = (self._labels[words[at]] for at in range(place - 1, back_to - 1, -1) if words[at] in self._labels)
        return next(labels, "")

    def _after(self, hearing: Hearing, place: int, end: int) -> str:
        words = hearing.speech.words
        return next((self._labels[words[at]] for at in range(place, end) if words[at] in self._labels), "")

    def _place(self, hearing: Hearing, start: int, end: int) -> str:
        places = self._places(hearing)
        return next((places[at].payload["time_label"] for at in range(start, end) if at in places), "")
