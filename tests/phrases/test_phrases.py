"""The net that phrases are compiled into says the same as the phrases written out."""

from hypothesis import given
from hypothesis import strategies as st

from pipeline.phrases import Names, Phrases, places_of

WORDS = st.sampled_from(["apple", "pear", "cup", "of", "and"])
PARTS = st.sampled_from(["<fruit>", "<fruit>?", "cup", "of?", "cup|<thing>", "<thing>", "*", "<all>"])
WIDE = {"fruit": ("apple", "pear"), "thing": ("pear", "cup"), "all": ("*", "of")}


def spelled(part):
    """A part with its classes written out."""
    optional = "?" if part.endswith("?") else ""
    forms = part.removesuffix("?").split("|")
    return "|".join(word for form in forms for word in WIDE.get(form.strip("<>"), (form,))) + optional


@given(st.lists(st.lists(PARTS, min_size=1, max_size=4), min_size=1, max_size=5), st.lists(WORDS, max_size=8))
def test_a_class_means_its_words_written_out(phrases, words):
    short = Phrases([(" ".join(parts), n) for n, parts in enumerate(phrases)], WIDE)
    long = Phrases([(" ".join(map(spelled, parts)), n) for n, parts in enumerate(phrases)])
    assert short.everywhere(words) == long.everywhere(words)
    assert short.scan(words) == long.scan(words)


def test_matches_of_one_length_come_in_the_order_they_were_added():
    phrases = Phrases([("<fruit> cup", 1), ("* cup", 2), ("pear cup", 3), ("<fruit> *", 4)], WIDE)
    assert [match.payload for match in phrases.at(["pear", "cup"], 0)] == [1, 2, 3, 4]


@given(st.lists(st.lists(WORDS, min_size=1, max_size=3), min_size=1, max_size=6), st.lists(WORDS, max_size=8))
def test_plain_names_are_found_as_the_same_phrases_are(names, words):
    entries = [(" ".join(name), n) for n, name in enumerate(names)]
    plain, phrases = Names(entries), Phrases(entries)
    assert [match for place in range(len(words)) if (match := plain.longest(words, place))] == [
        match for place in range(len(words)) if (match := phrases.longest(words, place))
    ]
    assert [(match.start, match.end) for match in plain.scan(words)] == [
        (match.start, match.end) for match in phrases.scan(words)
    ]


@given(
    st.lists(st.lists(PARTS | st.sampled_from(["'s", "'ll"]), min_size=1, max_size=4), min_size=1, max_size=5),
    st.lists(WORDS | st.sampled_from(["pear's", "cup'll", "plum's", "plum"]), max_size=8),
)
def test_looking_everywhere_is_looking_at_every_word(phrases, words):
    net = Phrases([(" ".join(parts), n) for n, parts in enumerate(phrases)], WIDE)
    found = [match for place in range(len(words)) for match in net.at(words, place)]
    assert net.every(words) == net.every(words, places_of(words, set(words))) == found
    backwards = {word: places[::-1] for word, places in places_of(words, set(words)).items()}
    assert net.every(words, backwards) == found


@given(st.lists(st.lists(WORDS, min_size=1, max_size=3), min_size=1, max_size=6), st.lists(WORDS, max_size=8))
def test_plain_names_are_found_alike_where_the_places_of_words_are_known(names, words):
    plain = Names([(" ".join(name), n) for n, name in enumerate(names)])
    assert plain.scan(words, places_of(words, set(words))) == plain.scan(words)
