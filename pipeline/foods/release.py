"""A standard release of food composition in its ASCII form: FOOD_DES.txt, ABBREV.txt and WEIGHT.txt in one folder.

Fields are parted by `^`, text is enclosed in `~`, an empty field is not known.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from pipeline.foods.faults import Faults, number, rows
from pipeline.resources import data_path

DESCRIPTIONS, FIGURES, WEIGHTS = "FOOD_DES.txt", "ABBREV.txt", "WEIGHT.txt"
_FIELDS = {DESCRIPTIONS: 14, FIGURES: 53, WEIGHTS: 7}


@dataclass(frozen=True, slots=True)
class Weight:
    """A household weight: `amount` of the measure described weigh `grams`."""

    ndb: str
    seq: str
    amount: float
    description: str
    grams: float


@dataclass(frozen=True, slots=True)
class Release:
    """`figures` holds the cells as published, by NDB number and name of the figure (NUTRIENTS and refuse_pct)."""

    descriptions: Mapping[str, str]
    figures: Mapping[str, Mapping[str, str]]
    weights: tuple[Weight, ...]


def is_release(folder: Path) -> bool:
    """Whether the folder holds a standard release in ASCII form."""
    return all((folder / name).is_file() for name in _FIELDS)


def read_release(folder: Path) -> Release:
    """Read the three files. Raises RulesError that lists all faults with file, line and field."""
    faults = Faults()
    positions = _positions(faults)
    descriptions = {cells[0]: cells[2] for _, cells in _lines(folder / DESCRIPTIONS, faults)}
    figures: dict[str, dict[str, str]] = {}
    for line, cells in _lines(folder / FIGURES, faults):
        figures[cells[0]] = {name: cells[place - 1] for name, place in positions.items()}
        for name, text in figures[cells[0]].items():
            number(text, file=FIGURES, line=line, column=name, faults=faults)
    weights = tuple(_weights(folder / WEIGHTS, faults))
    faults.raise_any()
    return Release(descriptions, figures, weights)


def _positions(faults: Faults) -> dict[str, int]:
    path = data_path("foods", "abbrev_fields.csv")
    return {name: int(place) for _, (name, place) in rows(path, ("nutrient", "position"), faults)}


def _lines(path: Path, faults: Faults) -> Iterator[tuple[int, list[str]]]:
    try:
        text = path.read_bytes().decode("cp1252")
    except OSError as fault:
        faults.add(path.name, 0, "", f"cannot be read: {(fault.strerror or 'unknown fault').lower()}")
        return
    except UnicodeDecodeError as fault:
        faults.add(path.name, 0, "", f"is not text in the release's encoding (byte {fault.start})")
        return
    expected = _FIELDS[path.name]
    for place, line in enumerate(text.splitlines(), 1):
        cells = [cell.strip().strip("~").strip() for cell in line.split("^")]
        if len(cells) == expected:
            yield place, cells
        elif line.strip():
            faults.add(path.name, place, "", f"{len(cells)} fields, expected {expected}")


def _weights(path: Path, faults: Faults) -> Iterator[Weight]:
    for line, cells in _lines(path, faults):
        ndb, seq, amount_text, description, grams_text = cells[:5]
        amount = number(amount_text, file=path.name, line=line, column="amount", faults=faults)
        grams = number(grams_text, file=path.name, line=line, column="grams", faults=faults)
        if amount and grams:
            yield Weight(ndb, seq, amount, description, grams)
