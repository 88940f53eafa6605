from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pipeline.cli import main
from pipeline.cli.drafting import Tools
from pipeline.errors import TranscriptError
from pipeline.read.transcript import Line, Problem, Transcript
from pipeline.record import Episode

SAMPLE = Path(__file__).parents[1] / "publish" / "golden" / "episode.json"


class Kitchen:
    """Stands in for reading and drafting: a file that holds `bad` is no transcript, any other is the sample."""

    def __init__(self) -> None:
        self.measures: list[str | None] = []
        self.problems: tuple[Problem, ...] = ()

    def read(self, path: Path) -> Transcript:
        if not path.is_file():
            raise TranscriptError("there is no such file", file=path.name)
        return self.read_bytes(path.read_bytes(), path.name)

    def read_bytes(self, content: bytes, file: str) -> Transcript:
        if b"bad" in content:
            raise TranscriptError("is no transcript:\nno line carries a time", file=file, line=3, time=62)
        return Transcript(file, "00", "srt", (Line(1, 0, 2, content.decode()),), self.problems)

    def draft(self, transcript: Transcript, *, measures: str | None) -> Episode:
        self.measures.append(measures)
        episode = Episode.model_validate_json(SAMPLE.read_bytes())
        source = episode.source.model_copy(update={"file": transcript.file})
        fresh = {"source": source, "rules": transcript.lines[0].text, "decisions": ()}
        return episode.model_copy(update=fresh)


@pytest.fixture
def kitchen() -> Kitchen:
    return Kitchen()


@pytest.fixture
def stillroom(kitchen, tmp_path, monkeypatch):
    """Run the command line in an empty folder, with the stand-in in place of the library."""
    monkeypatch.chdir(tmp_path)
    tools = Tools(read=kitchen.read, read_bytes=kitchen.read_bytes, draft=kitchen.draft)

    def run(*arguments: str, input: str | bytes | None = None) -> Result:
        return CliRunner().invoke(main, arguments, obj=tools, input=input, catch_exceptions=False)

    return run


@pytest.fixture
def write(tmp_path):
    """Write a transcript into the folder of the test."""

    def write_file(name: str, text: str = "first version") -> Path:
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path

    return write_file
