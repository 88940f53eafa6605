"""A decision or a review kept beside a record, and the record and its cards written anew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline.cli.dishes import read_record
from pipeline.errors import OutputError, RecordError
from pipeline.files import compare, write_text

if TYPE_CHECKING:
    from pipeline.record import Episode
    from pipeline.review.decisions import Decision, ReviewGiven

SUFFIX = ".record.json"
KITCHENS = ("us", "british", "metric", "australian")


def amended(path: Path, *, decision: Decision | None = None, review: ReviewGiven | None = None) -> Episode:
    """Add a decision or a review to the file beside the record `path`, and write the record and its cards anew.

    Nothing is written where the decision has no place in the record. A card that a person edited is left as it is.
    Raises RecordError or OutputError.
    """
    from pipeline.foods.table import FoodTable
    from pipeline.review.amending import amend
    from pipeline.review.amendments import add_to, amendments_path, read_amendments

    beside = amendments_path(path)
    before = read_record(path)
    held = read_amendments(beside)
    more = held.model_copy(
        update={
            "decision": held.decision + ((decision,) if decision else ()),
            "review": held.review + ((review,) if review else ()),
        }
    )
    after = amend(before, more, table=FoodTable.load())
    if decision and after.decisions[-1].unplaced:
        raise RecordError(after.decisions[-1].unplaced, file=str(path))
    cards = tuple(_cards(path, before, after))
    add_to(beside, decision=decision, review=review)
    write_text(path, after.to_json(), force=True)
    for card, text in cards:
        write_text(card, text, force=True)
    return after


def not_carried_out(episode: Episode, *, file: str = "") -> Iterator[str]:
    """One line for each decision that has no place in the episode, `file` in front of it."""
    from pipeline.review.amending import unplaced

    for decided in unplaced(episode):
        yield f"{f'{file}: n' if file else 'N'}ot carried out: {decided.text}: {decided.unplaced}"


def edited_cards(path: Path, episode: Episode) -> tuple[Path, ...]:
    """The cards beside the record `path` that are not the ones of `episode`."""
    return tuple(card for card, text in _texts(path, episode) if compare(card, text) == "different")


def _cards(path: Path, before: Episode, after: Episode) -> Iterable[tuple[Path, str]]:
    """The cards to write: those beside the record that are as the program wrote them."""
    new = dict(_texts(path, after))
    for card, text in _texts(path, before):
        if compare(card, text) == "same":
            yield card, new[card]


def _texts(path: Path, episode: Episode) -> Iterable[tuple[Path, str]]:
    from pipeline.publish import card_html, card_markdown

    if not path.name.endswith(SUFFIX):
        raise OutputError(f"is not named NAME{SUFFIX}, so its cards cannot be told", file=str(path))
    name = path.name.removesuffix(SUFFIX)
    yield path.with_name(f"{name}.md"), card_markdown(episode)
    yield path.with_name(f"{name}.html"), card_html(episode)
