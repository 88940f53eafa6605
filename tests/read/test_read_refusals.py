"""What is no transcript is refused with the place, the fault and the formats that can be read."""

import pytest

from pipeline.errors import TranscriptError
from pipeline.read import read_bytes, read_file

SEGMENT = '{"start": 0, "end": 1, "text": "leeks"}'


def refusal(raw: bytes) -> TranscriptError:
    with pytest.raises(TranscriptError) as caught:
        read_bytes(raw, name="kitchen.txt")
    assert caught.value.file == "kitchen.txt"
    for format_name in ("[4:05]", "SubRip", "WebVTT", "SubStation Alpha", "speech recogniser"):
        assert format_name in caught.value.message
    return caught.value


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (b"", "empty"),
        (b"\xef\xbb\xbf \r\n\t\n", "empty"),
        (b"a leek pie\nand how to make it\n", "no times found"),
        (b"{0}{25}frames and no times", "no times found"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "not a text file"),
        (b"[0:01] leeks \x81\x8d", "not a text file"),
        ("[0:01] leeks".encode("utf-16-le"), "not a text file"),
        (b"WEBVTT\n\nNOTE nothing else\n", "no line of speech found"),
        (b"[0:01]\n[0:02]\n", "no line of speech found"),
        (b"1\n00:00:01,000 --> 00:00:02,000\n\n", "no line of speech found"),
        (b'{"segments": []}', "no line of speech found"),
        (b"[0:01] leeks\n" * 4_000_000, "larger than 50 MB"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_is_no_transcript_is_refused(raw, said):
    assert said in refusal(raw).message


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ('["leeks"]', 1, "the top level is a list"),
        ('{"text": "leeks"}', 1, 'no "segments"'),
        ('\n{"segments":\n "leeks"}', 3, "segments is text, not a list"),
        ('{"segments": [\nSEGMENT,\n7]}', 3, "segments[1] is a number, not an object"),
        ('{"segments": [{"end": 1, "text": "leeks"}]}', 1, "segments[0].start is missing"),
        ('{"segments": [{"start": "0:01", "text": "leeks"}]}', 1, "segments[0].start is text, expected seconds"),
        ('{"segments": [{"start": true, "text": "leeks"}]}', 1, "segments[0].start is true or false"),
        ('{"segments": [{"start": NaN, "text": "leeks"}]}', 1, "segments[0].start is no time"),
        ('{"segments": [{"start": 1e999, "text": "leeks"}]}', 1, "segments[0].start is no time"),
        ('{"segments": [{"start": 0, "end": [], "text": "leeks"}]}', 1, "segments[0].end is a list"),
        ('{"segments": [{"start": 0, "text": ["leeks"]}]}', 1, "segments[0].text is a list"),
        ('{"segments": [{"start": 0, "text": "a", "words": {}}]}', 1, "segments[0].words is an object"),
        ('{"segments": [{"start": 0, "text": "a", "words": [1]}]}', 1, "segments[0].words[0] is a number"),
        ('{"segments": [{"start": 0, "text": "a", "words": [{}]}]}', 1, "segments[0].words[0].word is missing"),
    ],
)
def test_json_of_another_shape_is_refused_with_the_path_of_the_field(text, line, said):
    fault = refusal(text.replace("SEGMENT", SEGMENT).encode())
    assert said in fault.message
    assert fault.line == line


@pytest.mark.parametrize(
    ("text", "line", "column"),
    [
        ('{"segments": [\n  {"start": 0,, "text": "leeks"}]}', 2, 15),
        ('{"segments": [SEGMENT', 1, 54),
        ('{"segments": [SEGMENT]} and more', 1, 57),
        ('{"segments": [SEGMENT,]}', 1, 55),
        ('{"segments" [SEGMENT]}', 1, 13),
        ('{\n"segments": [{"start": 0, "text": "le\neks"}]}', 2, 38),
        ("{", 1, 2),
    ],
)
def test_malformed_json_is_refused_with_line_and_column(text, line, column):
    fault = refusal(text.replace("SEGMENT", SEGMENT).encode())
    assert f"malformed JSON at column {column}:" in fault.message
    assert fault.line == line


@pytest.mark.parametrize(
    "text", ['{"a": ' + "[" * 100_000, '{"a": ' + "9" * 5_000 + "}"], ids=["nested", "long number"]
)
def test_json_beyond_all_measure_is_refused(text):
    assert "number too long or lists nested too deep" in refusal(text.encode()).message


def test_a_folder_is_refused(tmp_path):
    with pytest.raises(TranscriptError, match="is a folder; expected a timed transcript"):
        read_file(tmp_path)


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(TranscriptError, match=r"missing\.srt: cannot be read: No such file"):
        read_file(tmp_path / "missing.srt")


def test_a_file_in_a_folder_that_may_not_be_searched_is_refused(tmp_path, monkeypatch):
    def refuse(*_args, **_options):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(tmp_path), "stat", refuse)
    monkeypatch.setattr(type(tmp_path), "open", refuse)
    with pytest.raises(TranscriptError, match=r"locked\.srt: cannot be read: Permission denied"):
        read_file(tmp_path / "locked.srt")


def test_an_unreadable_file_is_refused(tmp_path, monkeypatch):
    path = tmp_path / "locked.srt"
    path.write_text("[0:01] leeks")

    def refuse(*_args, **_options):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "open", refuse)
    with pytest.raises(TranscriptError, match=r"locked\.srt: cannot be read: Permission denied"):
        read_file(path)
