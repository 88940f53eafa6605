"""Each file of files/ has its answer beside it: the lines, the times of words and the problems, as notation.py says."""

from pathlib import Path

import pytest

from pipeline.read import read_bytes, read_file

from .notation import written

FILES = Path(__file__).parent / "files"
SAMPLES = sorted(path for path in FILES.iterdir() if path.suffix != ".lines")


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)
def test_a_file_is_read_as_its_answer_says(path):
    assert written(read_file(path)) == path.with_name(path.name + ".lines").read_text(encoding="utf-8")


@pytest.mark.parametrize("ending", ["\r\n", "\r"], ids=["CRLF", "CR"])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)
def test_any_line_end_gives_the_same_lines(path, ending):
    text = path.read_text(encoding="utf-8").replace("\n", ending)
    assert written(read_bytes(text.encode(), name=path.name)) == written(read_file(path))


@pytest.mark.parametrize("code", ["utf-8-sig", "utf-16", "utf-16-be with mark"])
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)
def test_any_unicode_encoding_gives_the_same_lines(path, code):
    text = path.read_text(encoding="utf-8")
    raw = ("\ufeff" + text).encode("utf-16-be") if code.endswith("mark") else text.encode(code)
    assert written(read_bytes(raw, name=path.name)) == written(read_file(path))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)
def test_the_format_is_known_without_the_file_ending(path):
    assert read_bytes(path.read_bytes(), name="standard input").lines == read_file(path).lines


def test_every_answer_belongs_to_a_file():
    answers = {path.name.removesuffix(".lines") for path in FILES.glob("*.lines")}
    assert answers == {path.name for path in SAMPLES}
