import pytest

from pipeline.shelf.store import writing
from pipeline.shelf.vocabulary import refresh

from .kitchen import add, dish, episode, record_task, spoken_task


@pytest.fixture(scope="session")
def worded(tmp_path_factory):
    """An empty store with the words for food in it, to be copied."""
    path = tmp_path_factory.mktemp("worded") / "worded.shelf"
    with writing(path, make=True) as store:
        refresh(store)
    return path


@pytest.fixture
def place(tmp_path, worded):
    """The path of a store of its own, without episodes."""
    path = tmp_path / "test.shelf"
    path.write_bytes(worded.read_bytes())
    return path


@pytest.fixture
def shelf(place):
    """A store with three programmes."""
    with writing(place) as store:
        add(
            store,
            spoken_task("monday-2023-02-01.txt", "lemon stew of salmon and butter at 180 for 40", "we love our garden"),
            spoken_task("tuesday-2024-06-10.txt", "plain cake of egg and butter and salt at 200 for 90"),
            record_task(
                episode(
                    dish("apple sorbet of apple"),
                    dish("nut bites of peanut butter and milk", 900.0),
                    dish("odd broth of dragon root", 1800.0),
                    file="pilot.txt",
                    reviewed=True,
                )
            ),
        )
        yield store
