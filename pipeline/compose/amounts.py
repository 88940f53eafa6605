"""One amount from all that was said of a food: corrections win, additions add up, two forms of one amount pair."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache

from pipeline.hear.lexicon import word_class
from pipeline.hear.measured import Measured
from pipeline.hear.quantity import Quantity
from pipeline.hear.shares import likely
from pipeline.hear.unit_sizes import times_as_much
from pipeline.record import Amount
from pipeline.resources import models_path, read_rows

_NEAR_FIGURE = 2
_LEAST_FIGURE = 10
_AT_ONCE = 4
_ANEW = 40
_SPICE = word_class("clove-word")
_MORE = word_class("more-or-extra")
_LENGTH = "inch"
TAKEN = "amount.taken"
_PIECES = frozenset({"piece", "slice"})
_OPENED = frozenset({"bunch", "can", "head", "package"})


@dataclass(frozen=True, slots=True)
class Said:
    """An amount said of a line's food at word `at`; `shown` where it only tells what stands on the table; `plural`
    where the food was named in the plural; `served` where it is what comes on a plate, `of_it` where it
    is told of what was named before."""

    measured: Measured
    at: int
    shown: bool
    plural: bool
    served: bool = False

    of_it: bool = False

    @property
    def quantity(self) -> Quantity:
        """The amount as it was heard."""
        return self.measured.quantity


@dataclass(frozen=True, slots=True)
class Resolved:
    """The amount, its second form, and the statements it rests on."""

    amount: Amount
    second: Amount | None
    from_: tuple[Said, ...]


@dataclass(slots=True)
class _State:
    low: Fraction | None
    high: Fraction | None
    unit: str | None
    said: list[Said]
    shown: bool
    second: tuple[Fraction, Fraction, str, str] | None = None
    whole: tuple[Fraction, Fraction] | None = None
    # As it was before something was put on top.
    before: _State | None = None


class AmountResolver:
    """Weighs what was said of one food against what was said before."""

    def resolve(self, statements: Sequence[Said], name: str) -> Resolved:
        """Statements in order of speech to one amount; unsaid where there are none."""
        plain = [said for said in statements if not said.quantity.article]
        state = self._first([said for said in plain if not said.quantity.vague or said.quantity.kind == "vague"], name)
        if state is None:
            articles = [said for said in statements if said.quantity.article]
            if not articles:
                return Resolved(Amount(basis="unsaid"), None, ())
            first = articles[0]
            return Resolved(
                _amount(Fraction(1), Fraction(1), unit_of(first.quantity, name), first.quantity.words), None, (first,)
            )
        if state.low is None or state.high is None:
            words = state.said[-1].quantity.words
            return Resolved(Amount(basis="vague", words=words), None, tuple(state.said))
        words = "; ".join(dict.fromkeys(said.quantity.words for said in state.said))
        second = _amount(*state.second) if state.second else None
        held = next((said.quantity.holds for said in state.said if said.quantity.holds), None)
        if held is not None and state.unit == "package":
            weight, unit = held
            second = second or _amount(state.low, state.high, state.unit, words)
            return Resolved(_amount(state.low * weight, state.high * weight, unit, words), second, tuple(state.said))
        return Resolved(_amount(state.low, state.high, state.unit or "each", words), second, tuple(state.said))

    def _first(self, statements: Sequence[Said], name: str) -> _State | None:
        state: _State | None = None
        for said in statements:
            state = self._next(state, said, name)
        return state

    def _next(self, state: _State | None, said: Said, name: str) -> _State:
        quantity = said.quantity
        unit = unit_of(quantity, name)
        low, high = quantity.low, quantity.high
        if state is None:
            parted = quantity.share or (unit == "each" and low is not None and low < 1)
            whole = (Fraction(1), Fraction(1)) if parted else None
            return _State(low, high, unit, [said], said.shown, whole=whole)
        if low is None or high is None:
            used = state.shown and not said.shown and _kind(state.unit or "each") != "measure"
            if used or (said.of_it and unit_kinds().get(state.unit or "") == "container"):
                return _State(None, None, None, [said], False)
            return state
        if (said.served and state.low is not None) or (_bare_part(quantity) and state.low is None):
            return state
        if quantity.share and not (said.measured.more and unit == state.unit and quantity.unit):
            return self._share(state, said, unit)
        if quantity.rule == "amount.whole" and state.low is not None and not said.shown:
            return _State(*(state.whole or (state.low, state.high)), state.unit, [*state.said, said], False)
        if self._only_tells(state, said) or self._one_of_them(state, said):
            return state
        if state.low is None or state.high is None or said.measured.total:
            return _State(low, high, unit, [said], said.shown)
        if not said.measured.more and (self._corrects(state, said) or self._left_out_unit(state, quantity)):
            return self._replace(state, said, unit)
        if state.shown and not said.shown and not said.measured.more:
            return self._from_table(state, said, unit)
        if self._stands_by(state, said):
            return state
        return self._again(state, said, unit)

    def _stands_by(self, state: _State, said: Said) -> bool:
        """`two onions go in // i've got five onions in the bag`: what is only there does not change what is used."""
        counts = {_kind(state.unit or "each"), _kind(unit_of(said.quantity, ""))} == {"count"}
        anew = said.measured.more or said.measured.sums_up or self._corrects(state, said)
        return said.shown and not state.shown and counts and not anew

    def _only_tells(self, state: _State, said: Said) -> bool:
        """`a cup of the flour`: a part of what was measured already, unless it is a correction or comes on top."""
        taken = state.unit in _OPENED and said.quantity.unit not in {None, state.unit}
        anew = self._at_once(said) or said.measured.more or taken or _cut_off(said)
        return said.measured.part and state.low is not None and not state.shown and not anew

    @staticmethod
    def _one_of_them(state: _State, said: Said) -> bool:
        """`four shallots // drop in a piece of shallot and see`: a piece of what was measured whole."""
        sticks = said.quantity.unit == "stick" and state.unit == "each" and not state.shown
        piece = sticks or (said.quantity.unit in _PIECES and said.quantity.rule.startswith("amount.article"))
        anew = said.measured.more or said.measured.corrected_at >= said.quantity.start - _AT_ONCE
        return piece and not anew and state.low is not None and state.unit not in {*_OPENED, *_PIECES}

    @staticmethod
    def _corrects(state: _State, said: Said) -> bool:
        """Whether a correction was heard since the amount was last said."""
        return said.measured.corrected_at >= state.said[-1].quantity.end - 1

    @staticmethod
    def _at_once(said: Said) -> bool:
        """Whether the word of correction stands right before the amount."""
        return said.measured.corrected_at >= max(0, said.quantity.start - _AT_ONCE)

    @staticmethod
    def _left_out_unit(state: _State, quantity: Quantity) -> bool:
        """`twenty five grams or maybe thirty, i use thirty`: a figure near the last one, its unit left out."""
        if (
            quantity.unit is not None
            or quantity.low is None
            or not state.low
            or _kind(state.unit or "each") != "measure"
        ):
            return False
        return 1 / _NEAR_FIGURE <= quantity.low / state.low <= _NEAR_FIGURE and quantity.low >= _LEAST_FIGURE

    def _replace(self, state: _State, said: Said, unit: str) -> _State:
        """A correction; one of what was put on top leaves what was there before, unless it tells the sum."""
        if state.before is not None and said.quantity.low is not None and not said.measured.sums_up:
            return self._sum(state.before, said, unit if said.quantity.unit is not None else state.unit or unit)
        if said.quantity.unit is None and state.unit is not None:
            if state.low is not None and not likely(said.quantity, replace(said.quantity, low=state.low)):
                return state
            unit = state.unit
        return _State(
            said.quantity.low,
            said.quantity.high,
            unit,
            [said],
            said.shown,
            None if unit == state.unit else state.second,
        )

    def _share(self, state: _State, said: Said, unit: str) -> _State:
        """A part of what was said before: half a bunch, two of four peppers; of a thing shown only, a part of one."""
        low, high = said.quantity.low, said.quantity.high
        if low is None or high is None:
            return state
        if state.low is None or state.high is None or said.quantity.unit is not None:
            return _State(low, high, unit, [said], said.shown)
        whole = state.whole or (state.low, state.high)
        if said.measured.rest:
            return _State(*whole, state.unit, [*state.said, said], False, None, whole)
        if state.unit == "each" and not said.plural:
            whole = min(whole, (Fraction(1), Fraction(1)))
        return _State(low * whole[0], high * whole[1], state.unit, [*state.said, said], False, None, whole)

    def _from_table(self, state: _State, said: Said, unit: str) -> _State:
        """What is used, where only what was on the table had been said: another form of it, or less of it."""
        low, high = said.quantity.low, said.quantity.high
        if low is None or high is None:
            return state
        return _State(low, high, unit, [said], False, self._paired(state, unit))

    def _paired(self, state: _State, unit: str) -> tuple[Fraction, Fraction, str, str] | None:
        if state.unit is None or state.low is None or state.high is None or _kind(state.unit) == _kind(unit):
            return None
        if state.unit in {"bunch", "package", "can"}:
            return None
        return state.low, state.high, state.unit, state.said[-1].quantity.words

    def _again(self, state: _State, said: Said, unit: str) -> _State:
        low, high = said.quantity.low, said.quantity.high
        assert low is not None and high is not None and state.low is not None and state.high is not None
        if (low, high, unit) == (state.low, state.high, state.unit) and not said.measured.more:
            state.said.append(said)
            return state
        if _kind(unit) != _kind(state.unit or "each"):
            return self._pair(state, said, unit)
        if not said.measured.sums_up and (said.measured.more or self._separate(state, said)):
            return self._sum(state, said, unit)
        return _State(low, high, unit, [said], said.shown, state.second)

    @staticmethod
    def _separate(state: _State, said: Said) -> bool:
        """Whether the same food is measured anew a good while after: water for the paste, then water for the pot;
        an onion for the base, then half an onion for the top."""
        named = all(item.measured.rule == "amount.before-food" for item in (*state.said, said))
        measures = said.quantity.kind == "measure" and _kind(state.unit or "each") == "measure"
        part = said.quantity.rule == "amount.part.count" and state.unit == "each" and (state.low or 0) >= 1
        return named and (measures or part) and said.at - state.said[-1].at > _ANEW

    @staticmethod
    def _sum(state: _State, said: Said, unit: str) -> _State:
        """Both together, in the smaller unit; the second alone where the units do not compare."""
        low, high = said.quantity.low, said.quantity.high
        assert low is not None and high is not None and state.low is not None and state.high is not None
        ratio = Fraction(1) if unit == state.unit else times_as_much(state.unit or "each", unit)
        if ratio is None:
            return _State(low, high, unit, [said], said.shown, state.second)
        if ratio >= 1:
            low, high = state.low * ratio + low, state.high * ratio + high
        else:
            low, high, unit = state.low + low / ratio, state.high + high / ratio, state.unit or unit
        before = state if said.measured.more and not _MORE.isdisjoint(said.quantity.words.split()) else None
        return _State(low, high, unit, [*state.said, said], state.shown and said.shown, state.second, before=before)

    def _pair(self, state: _State, said: Said, unit: str) -> _State:
        """Two forms of one amount: the measure counts and the count stands beside it; `an inch thick` tells no amount
        of what is counted or weighed."""
        low, high = said.quantity.low, said.quantity.high
        assert low is not None and high is not None and state.low is not None and state.high is not None
        words = said.quantity.words
        if unit == _LENGTH and state.unit == "piece":
            return _State(low, high, unit, [*state.said, said], said.shown)
        if _LENGTH in {unit, state.unit} and not _cut_off(said):
            return state if unit == _LENGTH else _State(low, high, unit, [said], said.shown)
        if _kind(unit) == "count" and _kind(state.unit or "each") != "count":
            state.second = (low, high, unit, words)
            return state
        second = (state.low, state.high, state.unit or "each", state.said[-1].quantity.words)
        if said.quantity.each and _kind(unit) == "measure" and state.unit in {"each", "piece"}:
            low, high = low * state.low, high * state.high
        return _State(low, high, unit, [*state.said, said], said.shown, second)


def _cut_off(said: Said) -> bool:
    """`a big hand of ginger, i break off two inches`: a length that tells how much is taken."""
    return said.quantity.unit == _LENGTH and said.measured.rule == TAKEN


def _bare_part(quantity: Quantity) -> bool:
    """`a dab of jam, only on half of them`: no part can be told of what was only said vaguely."""
    return quantity.share and quantity.unit is None and quantity.low is not None and quantity.low < 1


def _kind(unit: str) -> str:
    """Units that count things, against units that measure, against pinches and sprigs."""
    kind = unit_kinds().get(unit, "count")
    return {"container": "count", "length": "measure"}.get(kind, kind)


@cache
def unit_kinds() -> Mapping[str, str]:
    """Unit of the record -> its kind, from models/units.csv."""
    rows = read_rows(models_path("units.csv"), ("word", "unit", "kind"))
    return {row["unit"]: row["kind"] for _, row in rows}


def unit_of(quantity: Quantity, name: str) -> str:
    """The unit of the record for a quantity of a food: bay leaves count in leaves, celery in stalks."""
    last = name.split()[-1] if name else ""
    if quantity.unit is None or quantity.unit == "each":
        whole = name.startswith("ground ") or (last in _SPICE and "garlic" not in name)
        return "each" if whole else counted_in().get(last, "each")
    if quantity.unit == "stick" and last == "celery":
        return "stalk"
    return quantity.unit


@cache
def counted_in() -> Mapping[str, str]:
    """Last word of a food's name -> the unit in which such things are counted, from models/count_units.csv."""
    rows = read_rows(models_path("count_units.csv"), ("word", "unit"))
    return {row["word"]: row["unit"] for _, row in rows}


def amount_of(said: Said, name: str) -> Amount:
    """One statement as an amount of the record."""
    quantity = said.quantity
    if quantity.low is None or quantity.high is None:
        return Amount(basis="vague", words=quantity.words)
    return _amount(quantity.low, quantity.high, unit_of(quantity, name), quantity.words)


def _amount(low: Fraction, high: Fraction, unit: str, words: str) -> Amount:
    return Amount(
        low=_number(low), best=_number((low + high) / 2), high=_number(high), unit=unit, basis="said", words=words
    )


def _number(value: Fraction) -> float:
    return round(float(value), 4)
