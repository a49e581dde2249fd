"""Computed facts of many floors at once: the formulas of `advisor.facts.formulas` over arrays.

For arrays the saturation curve is a table (within 1e-6 of the one-case reading). So that no conclusion can differ,
every floor whose value comes near a bound that some rule compares it with is worked out again as one floor.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from advisor.engines.columns import (
    ChoiceColumn,
    Column,
    Columns,
    Flags,
    Floats,
    NumberColumn,
    columns_of,
    completed,
    keep_all,
    unstated,
    value_at,
)
from advisor.facts.computing import compute, needless_where
from advisor.facts.formula import Subject, Work
from advisor.facts.formulas import FORMULAS
from advisor.model.finishes import Finish
from advisor.model.knowledge import RuleBase
from advisor.model.program import bound
from advisor.model.values import Value
from advisor.physics.bounds import Span

FEW = 8  # floors that are quicker one by one
NEAR = 1e-4  # in the fact's unit, and relative: a hundred times what the table of the saturation curve is off


class Facts(dict[str, Column]):
    """The columns of all facts as formulas read them, and what several formulas work out alike."""

    def __init__(self) -> None:
        super().__init__()
        self._worked_out: dict[object, Any] = {}

    def span(self, name: str, scale: float = 1.0) -> Span:
        """Least and most of a number on every floor, in the vocabulary's unit times a scale."""
        column = self[name]
        assert isinstance(column, NumberColumn)
        return Span(column.low, column.high) if scale == 1.0 else Span(column.low * scale, column.high * scale)

    def has(self, name: str, value: str) -> Flags:
        """Where a choice is known to have a value."""
        return self.choice(name).has(value)

    def choice(self, name: str) -> ChoiceColumn:
        """The column of a choice."""
        column = self[name]
        assert isinstance(column, ChoiceColumn)
        return column

    def once(self, key: object, work: Callable[[], Work], /) -> Work:
        """Worked out for the first formula that asks."""
        if key not in self._worked_out:
            self._worked_out[key] = work()
        return self._worked_out[key]  # type: ignore[no-any-return]


def working_columns(
    base: RuleBase,
    stated: Columns,
    bounds: Mapping[str, Sequence[float]],
    needed: Container[str] | None = None,
) -> Columns:
    """All facts of the floors, and of each finish on them: given, assumed, computed or unknown.

    Args:
        base: the rule base, for the vocabulary and the finishes.
        stated: the facts that the floors state.
        bounds: by fact, the bounds that some rule compares it with.
        needed: the computed facts to work out, all if not given; the others are left unknown.
    """
    facts = Facts()
    for name, kind in base.facts.items():
        if kind.of == "floor":
            if name not in stated.facts:
                facts[name] = unstated(kind)
            else:  # where nothing is assumed, a cell that is not known is blank already
                there = stated.facts[name]
                facts[name] = completed(there, unstated(kind)) if kind.assume else there
    for name, kind in base.facts.items():
        if kind.computed is None:
            continue
        if kind.of == "floor":
            if needed is not None and name not in needed:
                continue
            worked_out = _computed(base, name, facts, None, bounds.get(name, ()))
            facts[name] = completed(stated.facts[name], worked_out) if name in stated.facts else worked_out
        else:
            alike: dict[object, Column] = {}  # finishes in which a formula reads the same properties share the column
            formula = FORMULAS[kind.computed.by]
            for finish in base.finishes.values():
                about = bound(name, finish.id)
                if needed is not None and about not in needed:
                    facts[about] = unstated(kind)
                    continue
                limits = tuple(bounds.get(about, ()))
                key = formula.reads(finish), limits
                if key not in alike:
                    alike[key] = _computed(base, name, facts, finish, limits)
                facts[about] = alike[key]
    return Columns(stated.floors, facts)


def compute_all(
    base: RuleBase, name: str, floors: Sequence[Mapping[str, Value]], finish: Finish | None, bounds: Sequence[float]
) -> list[Value]:
    """One fact of many floors, as `compute` works it out for each (origin and note aside).

    Args:
        base: for the fact's kind and unit.
        name: the fact.
        floors: of each, the facts it is computed from.
        finish: the finish it is about, if any.
        bounds: those that some rule compares it with.
    """
    if len(floors) < FEW:
        return [compute(base, name, each, finish) for each in floors]
    facts = Facts()
    facts.update(columns_of(base, floors).facts)
    column = _computed(base, name, facts, finish, bounds)
    return [value_at(base.facts[name], column, floor) for floor in range(len(floors))]


def _computed(base: RuleBase, name: str, facts: Facts, finish: Finish | None, limits: Sequence[float]) -> NumberColumn:
    kind = base.facts[name]
    assert kind.computed is not None
    formula = FORMULAS[kind.computed.by]
    ends = formula.function(facts, Subject(base, finish))
    low, high, known = (
        np.array(each) for each in np.broadcast_arrays(*ends, _known(base, kind.computed.inputs, facts))
    )
    near = _near(low, limits) | _near(high, limits) if formula.by_table else np.zeros(1, np.bool)
    low, high = (np.clip(keep_all(end), kind.plausible.low, kind.plausible.high) for end in (low, high))
    for floor in np.flatnonzero(near):
        low[floor], high[floor] = _one(base, name, facts, finish, int(floor))
    return NumberColumn(low, high, known)


def _near(values: Floats, limits: Sequence[float]) -> Flags:
    found = np.zeros(values.shape, np.bool)
    for limit in limits:
        found |= np.abs(values - limit) < NEAR * max(1.0, abs(limit))
    return found


def _known(base: RuleBase, inputs: Iterable[str], facts: Facts) -> Flags:
    """Whether every input is known, or not missing."""
    known: Flags = np.array([True])
    for name in inputs:
        here = facts[name].known
        if not here.all():
            for excuse in needless_where(base, name):
                here = here | facts.choice(excuse.fact).among(excuse.values or ())
        known = known & here
    return known


def _one(base: RuleBase, name: str, facts: Facts, finish: Finish | None, floor: int) -> tuple[float, float]:
    inputs = base.facts[name].computed
    assert inputs is not None
    value = compute(
        base, name, {each: value_at(base.facts[each], facts[each], floor) for each in inputs.inputs}, finish
    )
    assert value.interval is not None
    return value.interval.low, value.interval.high
