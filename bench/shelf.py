"""The shelf with 100,000 recipes, measured as ratios of things done in one run: `make bench-shelf`.

The store is kept between runs where SHELF_BENCH names a folder; RECIPES sets another size.
"""

from __future__ import annotations

import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from random import Random
from time import perf_counter

import records

from pipeline import draft_episode, read_bytes
from pipeline.shelf.adding import Crew, files_in, keep_all, tasks_of
from pipeline.shelf.executors import cores, executor_of
from pipeline.shelf.finding import find
from pipeline.shelf.keeping import put
from pipeline.shelf.question import Question, query_of
from pipeline.shelf.store import Store, reading, writing
from pipeline.shelf.vocabulary import refresh
from pipeline.shelf.words import foods_of, nutrients_of, parse_bound, parse_heat, parse_nutrient, parse_time

RECIPES = int(os.environ.get("RECIPES", "100000"))
TRANSCRIPTS = int(os.environ.get("TRANSCRIPTS", "400"))
ASKED = 60
SHOWN = 20
BATCH = 200
AHEAD = 800
ROUNDS = 5
STILLROOM = Path(sys.executable).with_name("stillroom")
EPISODES = Path(__file__).parents[1] / "tests" / "episodes"
FACTS = (
    "SELECT r.id, r.slug, r.title, e.file, e.date, r.start, r.stop, r.reviewed, l.nutrient, l.low, l.best, l.high"
    " FROM recipe r JOIN episode e ON e.id = r.episode LEFT JOIN recipe_load l ON l.recipe = r.id AND l.per = 1"
    " AND l.nutrient IN (SELECT id FROM nutrient WHERE name IN ('sodium_mg', 'potassium_mg', 'phosphorus_mg'))"
    " WHERE r.id IN ({})"
)


def fill(path: Path) -> str:
    """The store with all recipes, made where it is not there yet."""
    if path.exists():
        return "kept from an earlier run"
    start = perf_counter()
    part = path.with_suffix(".part")
    with writing(part, make=True) as store, ProcessPoolExecutor() as pool:
        refresh(store)
        episodes = RECIPES // records.DISHES_EACH + 1
        for first in range(0, episodes, AHEAD):
            made = list(pool.map(records.entry, range(first, min(first + AHEAD, episodes)), chunksize=BATCH // 4))
            for place in range(0, len(made), BATCH):
                keep(store, made[place : place + BATCH])
    part.rename(path)
    return f"{RECIPES / (perf_counter() - start):,.0f} recipes a second, generated, indexed and stored"


def keep(store: Store, batch: list) -> None:
    """Put entries into the store in one transaction."""
    with store.transaction():
        for entry in batch:
            put(store, entry)


def size(path: Path) -> str:
    """Bytes on disk against those of the records, and of records, transcripts and speech together."""
    with reading(path) as store:
        records_, kept, count = store.all(
            "SELECT sum(length(CAST(record AS BLOB))), sum(length(transcript)), count(*) FROM episode"
        )[0]
        spoken, recipes = store.all("SELECT sum(length(CAST(spoken AS BLOB))), count(*) FROM recipe_text")[0]
    disk = path.stat().st_size
    return (
        f"{disk / records_:.2f} times the records ({disk / 2**20:,.0f} MiB for {recipes:,} recipes of"
        f" {count:,} episodes:"
        f" records {records_ / 2**20:,.0f}, transcripts {kept / 2**20:,.0f}, speech {spoken / 2**20:,.0f})"
    )


def questions(store: Store, random: Random) -> dict[str, Callable[[], Question]]:
    """Seven kinds of question, each made anew from the words a person would type."""
    known = nutrients_of(store)
    foods, weights = records.foods()

    def food() -> str:
        return random.choices(foods, weights)[0].name.split(",")[0]

    def named() -> str:
        while True:
            word = food()
            if store.one("SELECT 1 FROM food_word WHERE word = ?", (word,)):
                return word

    def group() -> str:
        return random.choice(("dairy", "nuts", "fish", "eggs", "meat", "soy"))

    return {
        "one word": lambda: Question(words=(random.choice(records.KINDS),)),
        "words": lambda: Question(words=(food().split()[-1], random.choice(records.KINDS))),
        "foods": lambda: Question(having=(foods_of(store, named()),), lacking=(foods_of(store, group()),)),
        "limits": lambda: Question(
            under=(parse_bound(f"phosphorus={random.randint(30, 300)}", known),),
            over=(parse_bound(f"protein={random.randint(2, 15)}", known),),
            lacking=(foods_of(store, group()),),
            reviewed=True,
        ),
        "settings": lambda: Question(
            heat=parse_heat(f"{random.randint(100, 180)}..{random.randint(181, 230)}C"),
            time=parse_time(f"..{random.randint(15, 60)}min"),
            since=f"{random.randint(2006, 2024)}",
        ),
        "order": lambda: Question(
            sort=parse_nutrient("potassium", known),
            under=(parse_bound(f"sodium={random.randint(50, 600)}", known),),
            having=(foods_of(store, named()),),
        ),
        "all": lambda: Question(
            words=(random.choice(records.KINDS),),
            having=(foods_of(store, named()),),
            lacking=(foods_of(store, group()),),
            under=(parse_bound(f"potassium={random.randint(100, 800)}", known),),
            time=parse_time("..60min"),
        ),
    }


def latency(path: Path) -> Iterator[str]:
    """Milliseconds of an answer, from words to hits, and against the SQL it rests on."""
    with reading(path) as store:
        for kind, make in questions(store, Random(7)).items():
            whole, bare, hits = [], [], 0
            for _ in range(ASKED):
                start = perf_counter()
                question = make()
                answer = find(store, question, limit=SHOWN)
                whole.append(perf_counter() - start)
                bare.append(bare_sql(store, question))
                hits += len(answer.hits)
            yield (
                f"{kind}: median {ms(statistics.median(whole))}, p95 {ms(p95(whole))}; bare SQL median"
                f" {ms(statistics.median(bare))}, p95 {ms(p95(bare))}; ratio of medians"
                f" {statistics.median(whole) / statistics.median(bare):.2f}, of p95 {p95(whole) / p95(bare):.2f}"
                f" ({hits / ASKED:.1f} hits)"
            )


def bare_sql(store: Store, question: Question) -> float:
    """Seconds of the question's SQL, and of the rows that are shown of it in one plain query."""
    query = query_of(store, question, limit=SHOWN + 1)
    start = perf_counter()
    ids = [number for (number,) in store.all(query.sql, query.values)]
    store.all(FACTS.format(", ".join("?" * len(ids))), tuple(ids))
    return perf_counter() - start


def p95(times: list[float]) -> float:
    """The time that 95 of 100 do not exceed."""
    return sorted(times)[int(len(times) * 0.95) - 1]


def ms(seconds: float) -> str:
    """Seconds as milliseconds."""
    return f"{seconds * 1000:.1f} ms"


def cold(path: Path) -> str:
    """A question from the command line against an interpreter with the two libraries it cannot do without."""
    ask = [STILLROOM, "shelf", "find", "stew", "--without", "dairy", "--under", "potassium=300", "--shelf", path]
    bare, asked = best([sys.executable, "-c", "import sqlite3, click"]), best(ask)
    return f"{asked / bare:.2f} times `import sqlite3, click` ({ms(asked)}, {ms(bare)})"


def best(command: list) -> float:
    """Seconds of the quickest of some runs of a command."""

    def once() -> float:
        start = perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        return perf_counter() - start

    return min(once() for _ in range(ROUNDS))


def transcripts(folder: Path, count: int) -> Path:
    """Invented transcripts, each episode of the tests many times with another last line."""
    folder.mkdir()
    sources = sorted(file for file in EPISODES.glob("ep-*") if file.suffix in {".srt", ".vtt", ".txt", ".md"})
    for number in range(count):
        source = sources[number % len(sources)]
        content = source.read_bytes().rstrip() + f" take {number}\n".encode()
        (folder / f"{source.stem}-{number}{source.suffix}").write_bytes(content)
    return folder


def add_seconds(folder: Path, store_path: Path, workers: int) -> float:
    """Seconds to add a folder to a new store."""
    start = perf_counter()
    with writing(store_path, make=True) as store, executor_of(workers=workers) as (pool, count):
        outcomes = list(keep_all(store, tasks_of(store, files_in([folder])), Crew(pool, count)))
    seconds = perf_counter() - start
    assert all(outcome.kept == "added" for outcome in outcomes), outcomes
    return seconds


def adding(folder: Path) -> Iterator[str]:
    """Adding with one worker and with all, against drafting alone."""
    many = transcripts(folder / "transcripts", TRANSCRIPTS)
    files = files_in([many])
    draft_episode(read_bytes(files[0].read_bytes(), file="first"))
    start = perf_counter()
    for file in files:
        draft_episode(read_bytes(file.read_bytes(), file=file.name))
    drafted = TRANSCRIPTS / (perf_counter() - start)
    one = TRANSCRIPTS / add_seconds(many, folder / "one.shelf", 1)
    two = TRANSCRIPTS / add_seconds(many, folder / "two.shelf", 2)
    yield f"{TRANSCRIPTS} transcripts, 2 workers: {two / one:.2f} times 1 worker ({two:.1f} and {one:.1f} a second)"
    yield f"{two / (drafted * min(2, cores())):.2f} of the bare draft rate times 2 cores ({drafted:.1f} a second each)"


def memory(path: Path) -> str:
    """Peak memory of this process, and of one that asks all the questions, against a bare interpreter."""
    peak = "print(open('/proc/self/status').read().split('VmHWM:')[1].split()[0])"
    asking = f"import sys\nsys.path.insert(0, {str(Path(__file__).parent)!r})\nimport shelf\n"
    asking += f"print(sum(1 for _ in shelf.latency(shelf.Path({str(path)!r}))))\n"
    bare, asked = (
        int(subprocess.run([sys.executable, "-c", text], check=True, capture_output=True, text=True).stdout.split()[-1])
        for text in (f"import sqlite3, click, pydantic\n{peak}", asking + peak)
    )
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return f"asking {asked / 1024:,.0f} MiB, this process {own / 1024:,.0f} MiB; a bare one {bare / 1024:,.0f} MiB"


def main() -> None:
    """Print every figure as it is measured."""
    folder = Path(os.environ.get("SHELF_BENCH") or tempfile.mkdtemp(prefix="shelf-bench-"))
    folder.mkdir(exist_ok=True)
    path = folder / f"{RECIPES}.shelf"
    try:
        print("fill        ", fill(path), flush=True)
        print("size        ", size(path), flush=True)
        for text in latency(path):
            print("find        ", text, flush=True)
        print("memory      ", memory(path), flush=True)
        print("cold find   ", cold(path), flush=True)
        with tempfile.TemporaryDirectory() as scratch:
            for text in adding(Path(scratch)):
                print("add         ", text, flush=True)
    finally:
        if not os.environ.get("SHELF_BENCH"):
            shutil.rmtree(folder)


if __name__ == "__main__":
    main()
