"""Names of dishes that no list has."""

from pipeline.draft import hear
from pipeline.hear.lexicon import load_classes
from pipeline.read import read_bytes
from pipeline.split.outcomes import OutcomeReader
from pipeline.split.strange_names import StrangeNames
from pipeline.split.titles import TitleReader

NAMES = StrangeNames(TitleReader(load_classes()), load_classes(), OutcomeReader(load_classes()))


def found(text: str) -> dict[str, int]:
    hearing = hear(read_bytes(f"[0:00] {text}\n".encode(), "talk.md"))
    return {name: len(nouns) for name, nouns in NAMES.find(hearing).items()}


def test_a_word_of_no_list_that_is_named_often_and_said_to_keep_is_a_dish():
    assert found("my wonkle is next so flour in the wonkle bowl and stir and the wonkle keeps for two days") == {
        "wonkle": 3
    }


def test_a_word_that_is_named_once_or_twice_is_none():
    assert found("flour goes in and the wonkle keeps for two days") == {}


def test_a_food_a_known_dish_a_vessel_and_a_person_are_none():
    assert (
        found("the soup the soup the soup feeds four and the pot the pot feeds four and the rice the rice keeps") == {}
    )
    assert found("my husband my husband and your husband feeds four") == {}


def test_a_word_that_only_describes_is_none():
    assert found("keep it cold and serve it cold and the cold keeps two days") == {}
