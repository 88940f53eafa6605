"""What happens to the text of a line, and to bytes that are not quite text."""

import hashlib

import pytest

from pipeline.read import Line, Word, read_bytes, timed_words


def only_text(text: str) -> str:
    (line,) = read_bytes(f"[0:01] {text}\n".encode(), name="kitchen.txt").lines
    return line.text


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("salt &amp; pepper", "salt & pepper"),
        ("1&frac12; cups", "1½ cups"),
        ("caf&#233; caf&#xe9;", "café café"),
        ("two&nbsp;eggs", "two eggs"),
        ("&lt;b&gt; is a tag", "<b> is a tag"),
        ("R&not known; R&D", "R&not known; R&D"),
        ("<i>gently</i> now", "gently now"),
        ("salt<br/>pepper", "salt pepper"),
        ("2 < 3 and 5 > 4", "2 < 3 and 5 > 4"),
        ("a <3 for you", "a <3 for you"),
        ("wide \t  space ", "wide space"),
        ("bell\x07 and escape\x1b[31m", "bell and escape [31m"),
        ("crème brûlée, “so-so” …", "crème brûlée, “so-so” …"),
        ("- 2 cups [of 3:00] #1", "- 2 cups [of 3:00] #1"),
    ],
)
def test_markup_and_references_go_and_nothing_else(written, read):
    assert only_text(written) == read


def test_windows_1252_is_read_and_told():
    transcript = read_bytes("[0:01] leeks\n[0:04] ½ cup of crème “fraîche”\n".encode("cp1252"), name="kitchen.txt")
    assert transcript.lines[1].text == "½ cup of crème “fraîche”"
    assert [(problem.code, problem.line) for problem in transcript.problems] == [("not-utf-8", 2)]


def test_utf_8_cut_off_within_a_letter_stays_utf_8_and_is_told():
    raw = "[0:01] ½ cup\n[0:04] crème\n[0:07] ½".encode()[:-1]
    transcript = read_bytes(raw, name="kitchen.txt")
    assert [line.text for line in transcript.lines] == ["½ cup", "crème", "\N{REPLACEMENT CHARACTER}"]
    assert [(problem.code, problem.line) for problem in transcript.problems] == [("text.damaged", 3)]


def test_utf_16_cut_off_within_a_letter_is_read_and_told():
    transcript = read_bytes("[0:01] leeks\n[0:04] salt!".encode("utf-16")[:-1], name="kitchen.txt")
    assert [line.text for line in transcript.lines] == ["leeks", "salt\N{REPLACEMENT CHARACTER}"]
    assert [(problem.code, problem.line) for problem in transcript.problems] == [("text.damaged", 2)]


def test_a_transcript_carries_its_name_format_and_the_hash_of_its_bytes():
    raw = b"\xef\xbb\xbf[0:01] leeks\r\n"
    transcript = read_bytes(raw, name="kitchen.txt")
    assert (transcript.file, transcript.format) == ("kitchen.txt", "stamped")
    assert transcript.sha256 == hashlib.sha256(raw).hexdigest()


@pytest.mark.parametrize("length", [9_999, 10_000, 100_000])
def test_a_very_long_line_is_kept_and_told(length):
    transcript = read_bytes(b"[0:01] " + b"x" * length, name="kitchen.txt")
    assert transcript.lines[0].text == "x" * length
    assert [problem.code for problem in transcript.problems] == (["line.long"] if length >= 10_000 else [])


def test_half_a_character_in_json_is_replaced_so_that_it_can_be_written():
    raw = b'{"segments": [{"start": 0, "end": 1, "text": "a \\ud83c pie"}]}'
    assert read_bytes(raw, name="kitchen.json").lines[0].text == "a \N{REPLACEMENT CHARACTER} pie"


def test_words_without_times_share_those_of_the_line_by_their_characters():
    assert timed_words(Line(1, 10.0, 20.0, "ab abcdef ab")) == (
        Word("ab", 10.0, 12.0),
        Word("abcdef", 12.0, 18.0),
        Word("ab", 18.0, 20.0),
    )


def test_words_with_times_keep_them():
    words = (Word("ab", 10.0, 11.0), Word("c", 15.0, 16.0))
    assert timed_words(Line(1, 10.0, 20.0, "ab c", None, words)) == words


def test_one_wrong_time_gives_way_and_not_all_that_follow_it():
    stamps = ["0:05", "0:10", "21:15", "0:20", "0:25"]
    raw = "".join(f"[{stamp}] stir\n" for stamp in stamps).encode()
    transcript = read_bytes(raw, name="kitchen.txt")
    assert [line.start for line in transcript.lines] == [5.0, 10.0, 10.0, 20.0, 25.0]
    assert [(problem.code, problem.line) for problem in transcript.problems] == [("time.backwards", 3)]


def test_of_two_times_in_the_wrong_order_the_later_gives_way():
    transcript = read_bytes(b"[0:10] stir\n[0:05] taste\n[0:20] serve\n", name="kitchen.txt")
    assert [line.start for line in transcript.lines] == [10.0, 10.0, 20.0]


def test_lines_that_share_a_time_are_in_order():
    transcript = read_bytes(b"[0:10] stir\n[0:10] taste\n[0:12] serve\n", name="kitchen.txt")
    assert [(line.start, line.end) for line in transcript.lines] == [(10.0, 12.0), (10.0, 12.0), (12.0, 12.4)]
    assert transcript.problems == ()


def test_words_of_a_line_whose_time_gave_way_lose_their_times():
    segments = [
        '{"start": 50, "end": 52, "text": "stir"}',
        '{"start": 5, "end": 6, "text": "and taste", "words": [{"word": "and", "start": 5}, {"word": "taste"}]}',
        '{"start": 60, "end": 62, "text": "serve"}',
    ]
    raw = '{"segments": [' + ",\n".join(segments) + "]}"
    line = read_bytes(raw.encode(), name="kitchen.json").lines[1]
    assert (line.start, line.end, line.words) == (50.0, 60.0, ())
