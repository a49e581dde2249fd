"""Many floors as columns: each fact an array over floors, in the same meaning as the working memory of one floor.

A choice is a code: 0 is unknown, then 1, 2, ... for its values in the order of the vocabulary. A number is two
arrays, low and high, in the vocabulary's unit, and whether it is known. A column of length one stands for all floors.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import DECIMALS, read_quantity
from advisor.model.values import Value, choice, number, unknown
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval, Span

Floats: TypeAlias = NDArray[np.float64]
Codes: TypeAlias = NDArray[np.uint8]
Flags: TypeAlias = NDArray[np.bool]

CHUNK = 32_768  # floors at a time: the bits of all rules then stay in the processor's cache
_EXACT = 8.0e6  # from here on, nine decimals are finer than a float; rounding would only harm


@dataclass(frozen=True)
class ChoiceColumn:
    """Codes of a choice, and the values that they stand for from 1 on; 0 is unknown."""

    codes: Codes
    values: tuple[str, ...]

    def __getitem__(self, floors: slice) -> ChoiceColumn:
        """Some of the floors."""
        return self if len(self.codes) == 1 else ChoiceColumn(self.codes[floors], self.values)

    def has(self, value: str) -> Flags:
        """Where it is known to have a value."""
        flags: Flags = self.codes == self.values.index(value) + 1
        return flags

    def among(self, values: Iterable[str]) -> Flags:
        """Where it has one of these values, `unknown` included."""
        wanted = np.zeros(len(self.values) + 1, np.bool)
        wanted[[0 if value == UNKNOWN else self.values.index(value) + 1 for value in values]] = True
        flags: Flags = wanted[self.codes]
        return flags

    @property
    def known(self) -> Flags:
        """Where the value is known."""
        return self.codes > 0


@dataclass(frozen=True)
class NumberColumn:
    """Intervals of a number, and where it is known; else a stated one spans all that is plausible."""

    low: Floats
    high: Floats
    known: Flags

    def __getitem__(self, floors: slice) -> NumberColumn:
        """Some of the floors."""
        return self if len(self.low) == 1 else NumberColumn(self.low[floors], self.high[floors], self.known[floors])


Column: TypeAlias = ChoiceColumn | NumberColumn


@dataclass(frozen=True)
class Columns:
    """Facts of `floors` floors, by the names that the patterns use; a fact that is absent was not stated."""

    floors: int
    facts: Mapping[str, Column]

    def __getitem__(self, floors: slice) -> Columns:
        """Some of the floors."""
        start, stop, _ = floors.indices(self.floors)
        return Columns(stop - start, {name: column[floors] for name, column in self.facts.items()})

    def chunks(self, size: int = CHUNK) -> Iterator[Columns]:
        """The floors in pieces of bounded size."""
        for start in range(0, self.floors, size):
            yield self[start : start + size]


def keep_all(values: Floats) -> Floats:
    """The numbers as the working memory keeps them (`quantities.keep`), one by one."""
    kept = np.round(values, DECIMALS) + 0.0
    return kept if np.abs(values).max(initial=0.0) < _EXACT else np.where(np.abs(values) < _EXACT, kept, values)


def columns_of(base: RuleBase, floors: Sequence[Mapping[str, Value]]) -> Columns:
    """Stated facts of floors, given as values, turned into columns."""
    named = dict.fromkeys(name for facts in floors for name in facts)
    return Columns(len(floors), {name: _column(base.facts[name], [f.get(name) for f in floors]) for name in named})


def _column(kind: FactKind, values: Sequence[Value | None]) -> Column:
    blank = unknown(kind)
    filled = [value or blank for value in values]
    if kind.type != "number":
        codes = {value: code for code, value in enumerate((UNKNOWN, *kind.choices))}
        return ChoiceColumn(np.array([codes[value.choice] for value in filled], np.uint8), kind.choices)
    spans = np.array([_ends(value) for value in filled], np.float64).reshape(-1, 2)
    known = np.array([value.known for value in filled], np.bool)
    return NumberColumn(spans[:, 0].copy(), spans[:, 1].copy(), known)


def _ends(value: Value) -> tuple[float, float]:
    assert value.interval is not None
    return value.interval.low, value.interval.high


def value_at(kind: FactKind, column: Column, floor: int) -> Value:
    """The value of one floor, as the working memory of one case would have it (origin and note aside)."""
    if isinstance(column, ChoiceColumn):
        code = int(column.codes[floor if len(column.codes) > 1 else 0])
        return choice(column.values[code - 1]) if code else unknown(kind)
    at = floor if len(column.low) > 1 else 0
    interval = Interval(float(column.low[at]), float(column.high[at]))
    if column.known[at]:
        return number(interval, kind.unit)
    return replace(unknown(kind), interval=interval)


def floor_at(base: RuleBase, columns: Columns, floor: int) -> dict[str, Value]:
    """The known facts of one floor: what a case file would state."""
    values = {name: value_at(base.facts[name], column, floor) for name, column in columns.facts.items()}
    return {name: value for name, value in values.items() if value.known}


def unstated(kind: FactKind) -> Column:
    """The column of a fact that no floor states: what is assumed, else unknown."""
    given = kind.assume.given if kind.assume else ""
    if kind.type != "number":
        return ChoiceColumn(np.array([kind.choices.index(given) + 1 if given else 0], np.uint8), kind.choices)
    span = read_quantity(given, kind.unit, kind.plausible) if given else kind.plausible
    return NumberColumn(np.array([span.low]), np.array([span.high]), np.array([bool(given)]))


def completed(stated: Column, otherwise: Column) -> Column:
    """What is stated, and something else where it is not known."""
    known = stated.known
    if known.all():
        return stated
    if isinstance(stated, ChoiceColumn):
        assert isinstance(otherwise, ChoiceColumn)
        return ChoiceColumn(np.where(known, stated.codes, otherwise.codes), stated.values)
    assert isinstance(otherwise, NumberColumn)
    return NumberColumn(
        np.where(known, stated.low, otherwise.low),
        np.where(known, stated.high, otherwise.high),
        known | otherwise.known,
    )


def column_of(facts: Mapping[str, Column], fact: str) -> Column | None:
    """A fact's column; None where no floor states it."""
    try:
        return facts[fact]
    except KeyError:
        return None


def told_number(facts: Mapping[str, Column], fact: str) -> tuple[Any, Span]:
    """Where a number is known, and its ends."""
    column = column_of(facts, fact)
    if column is None:
        return False, Span(0.0, 0.0)
    assert isinstance(column, NumberColumn)
    return column.known, Span(column.low, column.high)
