"""What holds of every text: figures read back, no figure where none was said, no fault, evidence in the talk."""

import csv
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.draft import draft
from pipeline.hear.ear import hear, load_ear
from pipeline.hear.numbers import NumberReader, NumberWords
from pipeline.hear.speech import listen
from pipeline.read.transcript import Line, Transcript
from pipeline.resources import models_path
from tests.hear.families import recipes
from tests.hear.spoken import transcript

load_ear()
WORDS = NumberWords.load()
READER = NumberReader(WORDS)
SMALL = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
PARTS = {
    "half": Fraction(1, 2), "a half": Fraction(1, 2), "a third": Fraction(1, 3), "two thirds": Fraction(2, 3),
    "a quarter": Fraction(1, 4), "one quarter": Fraction(1, 4), "three quarters": Fraction(3, 4),
    "an eighth": Fraction(1, 8), "three eighths": Fraction(3, 8), "five eighths": Fraction(5, 8),
    "seven eighths": Fraction(7, 8), "a fifth": Fraction(1, 5),
}  # fmt: skip
FRACTIONS = st.builds(Fraction, st.integers(1, 99), st.integers(2, 16)).filter(lambda value: value.denominator > 1)


def in_words(number: int) -> str:
    if number < 20:
        return SMALL[number]
    if number < 100:
        return TENS[number // 10 - 2] + (f" {SMALL[number % 10]}" if number % 10 else "")
    rest = number % 100
    return f"{SMALL[number // 100]} hundred" + (f" and {in_words(rest)}" if rest else "")


def words_of(text: str) -> tuple[str, ...]:
    return listen(transcript(text)).words


def read(text: str) -> list[tuple[Fraction, Fraction]]:
    return [(figure.low, figure.high) for figure in READER.everywhere(words_of(text))]


def vocabulary() -> list[str]:
    """Every word of the phrase tables, so that made-up talk meets the rules."""
    found: set[str] = set()
    for path in sorted(models_path("cues.csv").parent.rglob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file):
                found |= {word for value in row.values() for word in (value or "").replace("|", " ").split()}
    return sorted(word for word in found if word.replace("'", "").isalpha())


VOCABULARY = vocabulary()
COMMON = [
    "a", "an", "the", "of", "and", "or", "no", "not", "to", "two", "three", "half", "cup", "cups", "teaspoon", "pound",
    "onion", "rice", "butter", "add", "chop", "bake", "for", "minutes", "at", "degrees", "oven", "it", "sorry", "low",
    "actually", "make", "in", "potassium", "salt", "serves", "four", "each", "same", "today", "we're", "making", "with",
]  # fmt: skip
TALK = st.lists(st.sampled_from(COMMON) | st.sampled_from(VOCABULARY), max_size=40).map(" ".join)
ANY_TEXT = st.text(max_size=60).filter(lambda text: not any(raised(mark) for mark in text)) | TALK


def raised(mark: str) -> bool:
    """Digits that are no decimal ones, as in m²."""
    return mark.isdigit() and not mark.isdecimal()


def made(texts: list[str], speakers: list[str | None]) -> Transcript:
    lines = [
        Line(number, 3.0 * number, 3.0 * number + 2.5, text, speaker)
        for number, (text, speaker) in enumerate(zip(texts, speakers, strict=False), 1)
    ]
    return Transcript("invented.txt", "0" * 64, "plain", tuple(lines))


SPEAKERS = st.lists(st.sampled_from([None, "A", "B"]), min_size=4, max_size=4)
TRANSCRIPTS = st.builds(made, st.lists(ANY_TEXT, max_size=4), SPEAKERS)
WITH_WORDS = TRANSCRIPTS.filter(lambda said: bool(listen(said).words))


@given(st.integers(0, 999))
def test_a_whole_number_in_words_reads_back(number):
    assert read(in_words(number)) == [(number, number)]


@given(st.integers(1, 99), st.sampled_from(sorted(PARTS)))
def test_a_number_and_a_part_in_words_read_back(number, part):
    value = number + PARTS[part]
    assert read(f"{in_words(number)} and {part}") == [(value, value)]


@given(st.sampled_from(sorted(PARTS)))
def test_a_part_in_words_reads_back(part):
    assert read(part) == [(PARTS[part], PARTS[part])]


@given(FRACTIONS)
def test_a_fraction_in_digits_reads_back(value):
    whole, rest = divmod(value, 1)
    mixed = f"{whole} {rest}" if whole else str(rest)
    assert read(mixed) == read(str(value)) == [(value, value)]


@given(st.integers(0, 9999), st.integers(1, 999))
def test_a_decimal_in_digits_reads_back(whole, thousandths):
    text = f"{whole}.{thousandths:03}"
    assert read(text) == [(Fraction(text), Fraction(text))]


@given(st.integers(1, 60), st.integers(1, 60), st.sampled_from(["{} to {}", "{} or {}", "between {} and {}"]))
def test_a_range_reads_back_where_it_rises(low, more, form):
    assert read(form.format(low, low + more)) == [(low, low + more)]
    assert read(form.format(in_words(low), in_words(low + more))) == [(low, low + more)]


@given(st.text(), st.lists(st.sampled_from(VOCABULARY), max_size=20))
def test_a_text_without_a_number_word_holds_no_figure(text, listed):
    spoken = [word for word in (*words_of(text), *listed) if not WORDS.kind(word) and not word[0].isdigit()]
    assert READER.everywhere(spoken) == ()


@given(st.lists(st.lists(st.sampled_from([*SMALL, *TENS, "a", "half", "and", "to"]), max_size=8), max_size=4))
def test_a_reader_that_has_read_other_talk_reads_as_a_new_one_does(talks):
    spoken = [tuple(words) for words in talks]
    for words in (*spoken, *spoken):
        assert READER.everywhere(words) == NumberReader(WORDS).everywhere(words)


@settings(max_examples=60)
@given(TRANSCRIPTS)
def test_whatever_is_said_hearing_finishes_and_its_mentions_lie_in_the_speech(said):
    hearing = hear(said)
    length = len(hearing.speech)
    spans = [*hearing.foods, *hearing.quantities, *hearing.times, *hearing.heats, *hearing.claims, *hearing.servings]
    assert all(0 <= span.start < span.end <= length and span.rule for span in spans)
    assert len(hearing.usages) == len(hearing.foods)
    assert all(usage.rule for usage in hearing.usages)
    assert all(0 <= item.food < len(hearing.foods) for item in hearing.measured)
    assert {taken.by for taken in hearing.heats_taken_back} <= set(hearing.heats)


@settings(max_examples=60)
@given(TRANSCRIPTS)
def test_foods_do_not_overlap_nor_do_amounts(said):
    hearing = hear(said)
    for spans in (hearing.foods, hearing.quantities, hearing.times, hearing.heats):
        starts = [span.start for span in spans]
        assert starts == sorted(starts)
    for before, after in pairwise(hearing.quantities):
        assert before.end <= after.start
    for before, after in pairwise(hearing.foods):
        assert before.end <= after.head


@settings(max_examples=40)
@given(WITH_WORDS)
def test_the_evidence_of_everything_drafted_is_a_slice_of_the_talk(said):
    speech = listen(said)
    talk = f" {' '.join(speech.raw)} "
    for recipe in draft(said).recipes:
        held = [*recipe.ingredients, *recipe.mentions, *recipe.method, *recipe.temperatures, *recipe.times]
        for item in [*held, *recipe.claims, *([recipe.servings] if recipe.servings else [])]:
            assert item.evidence
            for evidence in item.evidence:
                assert f" {evidence.words} " in talk
                assert evidence.rule
                assert 0 <= evidence.start <= evidence.end <= said.duration


@settings(max_examples=20)
@given(WITH_WORDS)
def test_drafting_twice_gives_the_same_bytes(said):
    assert draft(said).to_json() == draft(said).to_json()


@given(st.integers(1, 40), st.sampled_from(["cup", "tablespoon", "teaspoon", "pound", "ounce"]))
def test_a_plain_amount_is_kept_as_said(count, unit):
    (recipe,) = recipes(f"today we're making a casserole // so add {in_words(count)} {unit}s of rice")
    (line,) = recipe.ingredients
    assert (line.amount.low, line.amount.high, line.amount.unit) == (count, count, unit)


@pytest.mark.parametrize("text", ["leave it out if you like", "that's optional", "you can skip it or swap it"])
def test_a_choice_in_a_talk_that_names_no_food_is_no_fault(text):
    (recipe,) = recipes(text)
    assert recipe.ingredients == ()


@pytest.mark.parametrize("text", ["²", "a tray of ² litres", "① chop the onion"])
def test_a_raised_digit_is_no_fault(text):
    hear(transcript(text))


@pytest.mark.parametrize("texts", [[], [""], ["♪ ♪"]])
def test_a_transcript_without_words_is_no_fault(texts):
    draft(made(texts, [None]))
