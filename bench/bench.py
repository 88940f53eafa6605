"""Speed and memory as ratios, each of two things measured in one run on one machine: `make bench`.

A ratio means the same on a slow machine as on a fast one. The best of several rounds counts, because whatever else
the machine does can only add to a time.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from time import perf_counter

import spacy

from pipeline import draft_episode, read_file
from pipeline.read.transcript import Transcript

SAMPLES = Path(__file__).parents[1] / "samples"
SAMPLE, OF_TWO_DISHES = SAMPLES / "swede-and-chicken-pie.srt", SAMPLES / "pork-chops-rice-pudding.md"
STILLROOM = Path(sys.executable).with_name("stillroom")
ROUNDS = 5
LENGTHS = (1, 10, 50)
LOAD_FOODS = "from pipeline.foods.table import FoodTable\nfrom pipeline.foods.names import FoodNames\n"
LOAD_FOODS += "FoodTable.load()\nFoodNames.load()"
# Not ru_maxrss: a fresh process inherits the peak of the one that started it.
PEAK = "print(next(row.split()[1] for row in open('/proc/self/status') if row.startswith('VmHWM')))"
DRAFT_PEAK = (
    "import sys\nsys.path.insert(0, {folder!r})\nimport bench\nbench.draft_episode(bench.transcript({times}))\n"
)


def transcript(times: int, sample: Path = SAMPLE) -> Transcript:
    """A sample `times` over, one after the other, as a recording of that length."""
    once = read_file(sample)
    lines = tuple(
        replace(
            line,
            number=line.number + turn * len(once.lines),
            start=line.start + turn * once.duration,
            end=line.end + turn * once.duration,
        )
        for turn in range(times)
        for line in once.lines
    )
    return replace(once, lines=lines)


def best(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Seconds of the quickest of `rounds` runs."""

    def once() -> float:
        start = perf_counter()
        work()
        return perf_counter() - start

    return min(once() for _ in range(rounds))


def python(code: str) -> Callable[[], str]:
    """A fresh interpreter that runs `code` and hands back what it prints."""
    return lambda: subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout


def draft_speed(sample: Path = SAMPLE) -> str:
    """Words a second of the whole draft against those of a bare tokeniser, on the same text."""
    spoken = transcript(10, sample)
    text = "\n".join(line.text for line in spoken.lines)
    words = len(text.split())
    tokenise = spacy.blank("en")
    draft_episode(spoken)
    drafted, tokenised = best(lambda: draft_episode(spoken), 3), best(lambda: tokenise(text), 3)
    rates = f"{words / drafted:,.0f} words a second, tokeniser {words / tokenised:,.0f}"
    return f"{drafted / tokenised:.1f} times the time of the tokeniser ({rates})"


def linearity() -> str:
    """Time a word on longer transcripts against time a word on the short one; 1 is linear."""
    costs = {}
    for times in LENGTHS:
        spoken = transcript(times)
        costs[times] = best(lambda spoken=spoken: draft_episode(spoken), 3 if times < LENGTHS[-1] else 1) / times
    return ", ".join(f"{times}x: {cost / costs[LENGTHS[0]]:.2f}" for times, cost in costs.items())


def start_up() -> str:
    """`stillroom --version` against an interpreter that does nothing."""
    version = best(lambda: subprocess.run([STILLROOM, "--version"], check=True, capture_output=True))
    nothing = best(python("pass"))
    return f"{version / nothing:.1f} times `python -c pass` ({version * 1000:.0f} ms, {nothing * 1000:.0f} ms)"


def food_loading() -> str:
    """Loading the food table and the names against importing spaCy."""
    nothing = best(python("pass"))
    foods, engine = best(python(LOAD_FOODS)) - nothing, best(python("import spacy")) - nothing
    return f"{foods / engine:.2f} times `import spacy` ({foods * 1000:.0f} ms, {engine * 1000:.0f} ms)"


def peak_memory() -> str:
    """Peak memory of a draft of the sample, short and long, against an interpreter with spaCy."""
    engine = int(python(f"import spacy\nspacy.blank('en')\n{PEAK}")())
    folder = str(Path(__file__).parent)
    drafts = {times: int(python(DRAFT_PEAK.format(folder=folder, times=times) + PEAK)()) for times in (1, LENGTHS[-1])}
    figures = ", ".join(f"{times}x: {size / engine:.2f} ({size / 1024:.0f} MiB)" for times, size in drafts.items())
    return f"times a bare spaCy ({engine / 1024:.0f} MiB): {figures}"


def main() -> None:
    """Print every ratio as it is measured."""
    for name, measure in (
        ("start-up", start_up),
        ("food loading", food_loading),
        ("draft", draft_speed),
        ("two dishes", lambda: draft_speed(OF_TWO_DISHES)),
        ("time a word", linearity),
        ("peak memory", peak_memory),
    ):
        print(f"{name:<13} {measure()}", flush=True)


if __name__ == "__main__":
    main()
