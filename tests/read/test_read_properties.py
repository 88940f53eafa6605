"""What holds for every input: no crash, no text lost, times in order, and what is written is read back."""

import json
from itertools import pairwise

import pysubs2
from hypothesis import assume, example, given
from hypothesis import strategies as st

from pipeline.errors import TranscriptError
from pipeline.read import Transcript, read_bytes, timed_words

FRAGMENTS = [
    *("WEBVTT", "NOTE", "STYLE", "\n", "\n\n", "\r", " ", "-->", "00:00:01,000 --> 00:00:02,000\n", "00:05.000 --> \n"),
    *(
        "00:00:09,000 --> 00:00:01,000\n",
        "x --> 1\n",
        "1\n",
        "7\n",
        "[0:01] ",
        "[9:99] ",
        "0:03\n",
        "0:04 ",
        "(1:00:00)",
    ),
    *("- leeks", "two leeks\n", "salt. - No.", ">>", "<v Ada>", "</v>", "<00:00:01.500>", "<c>", "<i", "&amp;", "&#0;"),
    *("[Script Info]\n", "[Events]\n", "Format: Text, Start, End\n", "Dialogue: 0,0:00:01.00,0:00:02.00,D,,0,0,0,,a{b"),
    *(
        "\nDialogue: x",
        "{\\p1}",
        "}",
        "{",
        '{"segments": [',
        '{"start": 1, "text": "a"}',
        '"words": [',
        "]",
        ",",
        "# a\n",
    ),
    *("\x0b", "\x1c", "\x85", "\u2028", "½", "\ufeff", "١:٢٣ ", "-0:00:01,0 --> 0:00:02,0\n", "\\N", "0:00:01.00"),
]
PLAIN = "abcdefghij klmnop qrs tuvwxyz'½é"
SPEECH = st.text(PLAIN, min_size=1, max_size=40).map(lambda text: " ".join(text.split())).filter(bool)
WORDS = st.lists(st.text("abcdeé½'", min_size=1, max_size=6), min_size=1, max_size=6)


def attempt(raw: bytes) -> Transcript | None:
    try:
        return read_bytes(raw, name="any")
    except TranscriptError as fault:
        assert fault.file == "any"
        return None


def check(transcript: Transcript) -> None:
    assert transcript.lines
    for before, after in pairwise(transcript.lines):
        assert before.start <= after.start
    for line in transcript.lines:
        assert 0 <= line.start <= line.end
        assert line.text == " ".join(line.text.split()) != ""
        line.text.encode("utf-8")
        words = timed_words(line)
        assert [word.text for word in words] == line.text.split()
        times = [time for word in words for time in (word.start, word.end)]
        assert times == sorted(times)
    assert list(transcript.problems) == sorted(transcript.problems, key=lambda problem: problem.line or 0)


@given(st.binary(max_size=200))
def test_any_bytes_give_a_transcript_or_a_refusal(raw):
    transcript = attempt(raw)
    if transcript:
        check(transcript)


@given(st.lists(st.sampled_from(FRAGMENTS), max_size=30).map("".join))
@example("00:05.000 --> \n<00:00:01.500>WEBVTT<v Ada>WEBVTT")
def test_any_pieces_of_the_formats_give_a_transcript_or_a_refusal(text):
    transcript = attempt(text.encode())
    if transcript:
        check(transcript)
        assert transcript == read_bytes(text.encode(), name="any")


STAMPS = st.sampled_from(["", "[0:05] ", "[1:02:03] ", "0:07 ", "0:09", "[2:75] ", "(0:11)", "# "])


@given(st.lists(st.tuples(STAMPS, st.one_of(st.just(""), SPEECH)), min_size=1, max_size=12))
def test_no_line_of_stamped_text_is_lost(rows):
    transcript = attempt("\n".join(stamp + text for stamp, text in rows).encode())
    if transcript:
        kept = [line.text for line in transcript.lines] + [problem.message for problem in transcript.problems]
        assert [text for _, text in rows if not any(text in place for place in kept)] == []


@st.composite
def spoken_lines(draw, unit: float):
    """Lines as (start, end, text), one after another; times are whole multiples of `unit` seconds.

    No line begins with the one before: that is what captions that roll do, which come out once.
    """
    texts = draw(st.lists(SPEECH, min_size=1, max_size=8, unique=True))
    assume(not any(f"{after} ".startswith(f"{before} ") for before, after in pairwise(texts)))
    steps = st.integers(1, 5000)
    at, lines = draw(st.integers(0, 5000)), []
    for text in texts:
        end = at + draw(steps)
        lines.append((round(at * unit, 3), round(end * unit, 3), text))
        at = end + draw(st.integers(0, 300))
    return lines


def stamp(seconds: float, mark: str = ".", digits: int = 3) -> str:
    units = round(seconds * 10**digits)
    whole, fraction = divmod(units, 10**digits)
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}{mark}{fraction:0{digits}d}"


def lines_of(text: str, form: str) -> list[tuple[float, float, str]]:
    transcript = read_bytes(text.encode(), name="any")
    assert transcript.format == form
    assert transcript.problems == ()
    return [(line.start, line.end, line.text) for line in transcript.lines]


@given(spoken_lines(unit=1.0), st.sampled_from(["[{}] {}\n", "({}) {}\n\n", "{}\n{}\n", "{} {}\n"]))
def test_stamped_text_comes_back(lines, form):
    whole = "".join(form.format(stamp(start).partition(".")[0], text) for start, _, text in lines)
    expected = [(start, text) for start, _, text in lines]
    assert [(start, text) for start, _, text in lines_of(whole, "stamped")] == expected


@given(spoken_lines(unit=0.001))
def test_subrip_comes_back(lines):
    cues = [f"{n}\n{stamp(start, ',')} --> {stamp(end, ',')}\n{text}\n\n" for n, (start, end, text) in enumerate(lines)]
    assert lines_of("".join(cues), "subrip") == lines


@given(spoken_lines(unit=0.001))
def test_webvtt_comes_back(lines):
    cues = [f"\n{stamp(start)} --> {stamp(end)} align:start\n{text}\n" for start, end, text in lines]
    assert lines_of("WEBVTT\n" + "".join(cues), "webvtt") == lines


@given(spoken_lines(unit=0.01), st.sampled_from([("ass", "substation"), ("srt", "subrip"), ("vtt", "webvtt")]))
def test_what_pysubs2_writes_comes_back(lines, formats):
    subtitles = pysubs2.SSAFile()
    for start, end, text in lines:
        subtitles.append(pysubs2.SSAEvent(start=round(start * 1000), end=round(end * 1000), text=text))
    assert lines_of(subtitles.to_string(formats[0]), formats[1]) == lines


@given(spoken_lines(unit=0.001))
def test_recogniser_json_comes_back(lines):
    segments = [{"start": start, "end": end, "text": " " + text} for start, end, text in lines]
    assert lines_of(json.dumps({"segments": segments}), "recogniser") == lines


@given(WORDS, st.data())
def test_times_of_words_come_back_from_json_and_webvtt(words, data):
    steps = data.draw(st.lists(st.integers(1, 900), min_size=len(words), max_size=len(words)))
    times = [0.0]
    for step in steps:
        times.append(round(times[-1] + step / 1000, 3))
    timed = [(word, start, end) for word, (start, end) in zip(words, pairwise(times), strict=True)]
    items = [{"word": " " + word, "start": start, "end": end} for word, start, end in timed]
    segment = {"start": 0.0, "end": times[-1], "text": " ".join(words), "words": items}
    tagged = "".join(f"<{stamp(start)}><c> {word}</c>" for word, start, _ in timed)
    for text in (
        json.dumps({"segments": [segment]}),
        f"WEBVTT\n\n{stamp(0)} --> {stamp(times[-1])}\n{tagged}\n",
    ):
        (line,) = read_bytes(text.encode(), name="any").lines
        assert [(word.text, word.start, word.end) for word in line.words] == timed


@given(spoken_lines(unit=0.01).filter(lambda lines: len(lines) > 2), st.booleans())
def test_rolling_captions_come_out_once(lines, held):
    """Each cue repeats the line before; `held`: a cue of ten milliseconds that only repeats stands between them."""
    cues, before = [], ""
    for start, end, text in lines:
        cues.append((start, end, f"{before}{text}"))
        if held:
            cues.append((end, end + 0.01, text))
        before = f"{text}\n"
    written = "".join(f"\n{stamp(start)} --> {stamp(end)}\n{text}\n" for start, end, text in cues)
    transcript = read_bytes(f"WEBVTT\n{written}".encode(), name="any")
    assert [(line.start, line.end, line.text) for line in transcript.lines] == lines
