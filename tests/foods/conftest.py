"""What the tests of the food table share: the table and the names, read once."""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest

from pipeline.foods.names import FoodNames
from pipeline.foods.table import FoodTable

HERE = Path(__file__).parent


@pytest.fixture(scope="session")
def table() -> FoodTable:
    return FoodTable.load()


@pytest.fixture(scope="session")
def names() -> FoodNames:
    return FoodNames.load()


@pytest.fixture(scope="session")
def release_folder() -> Path:
    """The standard release the table was made from, where it is at hand."""
    folder = Path(os.environ.get("STILLROOM_SR") or HERE.parents[2] / "shared" / "reference" / "usda-sr26")
    if not (folder / "ABBREV.txt").is_file():
        pytest.skip("no standard release at hand (STILLROOM_SR)")
    return folder


def read(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))
