from pathlib import Path

import pytest

from pipeline.record import Episode

GOLDEN = Path(__file__).parent / "golden"


@pytest.fixture(scope="session")
def episode() -> Episode:
    return Episode.model_validate_json((GOLDEN / "episode.json").read_bytes())
