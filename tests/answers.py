"""Which foods of a talk the names of the answers mean, and the nouns of their dishes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set

from pipeline.split.dishes import stem

SAME, SAME_HEAD, WITHIN, LIKE = 1.0, 0.8, 0.6, 0.6


def called(names: Mapping[str, Set[str]], accepted: Sequence[str]) -> set[str]:
    """The foods whose names stand best for any of those accepted; none where none is like them."""
    close = {food: max(closeness(one, name) for one in named for name in accepted) for food, named in names.items()}
    best = max(close.values(), default=0.0)
    return {food for food, value in close.items() if value == best >= LIKE}


def noun_of(title: str) -> str:
    """The noun of a dish's title in the singular: `pie` of `leek pie with a crumb top`."""
    main = title.lower()
    for word in (" with ", " in ", " over ", " on ", " ("):
        main = main.split(word)[0]
    return stem(main.split()[-1])


def closeness(name: str, other: str) -> float:
    """1 for the same words, less where one has fewer words than the other, most where their nouns are the same."""
    one, two = ([stem(word) for word in text.lower().replace("-", " ").split()] for text in (name, other))
    if not one or not two or not (set(one) <= set(two) or set(two) <= set(one)):
        return 0.0
    if sorted(one) == sorted(two):
        return SAME
    return SAME_HEAD if one[-1] == two[-1] else WITHIN
