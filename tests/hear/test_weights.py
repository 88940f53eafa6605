"""Weights of models/ are read whole or refused with the file and the key."""

import pytest

from pipeline.errors import RulesError
from pipeline.hear import lexicon


@pytest.fixture
def read(tmp_path, monkeypatch):
    """Reads a file of that content, of which the keys `most` and `turn.breath` are expected."""
    monkeypatch.setattr(lexicon, "models_path", lambda name: tmp_path / name)

    def read(content):
        (tmp_path / "turns.toml").write_text(content)
        return lexicon.load_weights("turns.toml", ["most", "turn.breath"])

    return read


def test_numbers_are_read_those_of_a_table_by_both_names(read):
    assert read("most = 2\n[turn]\nbreath = 0.5\n") == {"most": 2, "turn.breath": 0.5}


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        ("most = 2\n", "turns.toml: turn.breath is missing"),
        ("most = 2\nmore = 1\n[turn]\nbreath = 1\n", "turns.toml: more is unknown"),
        ("most = true\n[turn]\nbreath = 1\n", "turns.toml: most is True, expected a number"),
        ("most = two\n", "turns.toml: cannot be read: "),
    ],
)
def test_a_file_that_is_malformed_is_refused(read, content, fault):
    with pytest.raises(RulesError) as raised:
        read(content)
    assert str(raised.value).startswith(fault)


def test_a_sign_without_a_number_is_told_with_its_table(tmp_path, monkeypatch):
    (tmp_path / "signs.csv").write_text("id,weight\nearly,soon\n", encoding="utf-8")
    monkeypatch.setattr(lexicon, "models_path", lambda *parts: tmp_path.joinpath(*parts))
    with pytest.raises(RulesError, match="weight of early is 'soon', expected a number"):
        lexicon.load_sign_weights("signs.csv")
