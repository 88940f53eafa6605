"""Short talks with answers: what is cooked, and which dish every line is about."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pipeline.read import Transcript, read_bytes, read_file

HERE = Path(__file__).parent
EPISODES = HERE.parent / "episodes"
_LAST_LINE = 5.0


@dataclass(frozen=True)
class Talk:
    """A transcript with its name and the file it is from, the accepted titles of each of its dishes, and for every line
    the dishes it is about."""

    name: str
    file: str
    transcript: Transcript
    titles: tuple[tuple[str, ...], ...]
    lines: tuple[frozenset[int], ...] = ()


def short_talks() -> Iterator[Talk]:
    """The talks of this folder."""
    for path in sorted(HERE.glob("talks-*.jsonl")):
        for text in path.read_text(encoding="utf-8").splitlines():
            yield _talk(path.stem, json.loads(text))


def episodes() -> Iterator[Talk]:
    """The episodes with answers, without what is known of their lines."""
    for path in sorted(EPISODES.glob("*.gold.json")):
        answer = json.loads(path.read_text(encoding="utf-8"))
        titles = tuple((dish["title"], *dish.get("also", [])) for dish in answer["dishes"])
        yield Talk(path.name.split(".")[0], path.stem, read_file(path.parent / answer["transcript"]), titles)


def _talk(file: str, answer: dict[str, list[dict[str, object]]]) -> Talk:
    lines = answer["lines"]
    ends = [line["t"] for line in lines[1:]] + [float(str(lines[-1]["t"])) + _LAST_LINE]
    segments = [
        {"id": at, "start": line["t"], "end": end, "text": line["text"]}
        for at, (line, end) in enumerate(zip(lines, ends, strict=True))
    ]
    content = json.dumps({"language": "en", "segments": segments}).encode()
    titles = tuple((str(dish["title"]), *map(str, dish.get("also", []))) for dish in answer["dishes"])
    name = str(answer["id"])
    return Talk(name, file, read_bytes(content, f"{name}.json"), titles, tuple(_about(line["dish"]) for line in lines))


def _about(dish: object) -> frozenset[int]:
    if dish is None:
        return frozenset()
    return frozenset(dish) if isinstance(dish, list) else frozenset({int(str(dish))})
