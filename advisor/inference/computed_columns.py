"""Computed facts of many floors at once: the same functions of `advisor.facts.computed`, over arrays.

The formulas over arrays are in `column_formulas`. A fact without an entry there is worked out floor by floor through
`advisor.facts.computed` itself, each distinct floor once: slow, but never wrong.

For arrays the saturation curve is a table (within 1e-6 of the one-case reading). So that no conclusion can differ,
every floor whose value comes near a bound that some rule compares it with is worked out again by
`advisor.facts.computed`.
"""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence

import numpy as np

from advisor.facts.computed import Subject, compute
from advisor.inference.column_formulas import BY_FINISH, BY_FLOOR, BY_SATURATION_TABLE, OF_PERMEANCE, Facts, sheet
from advisor.inference.columns import (
    ChoiceColumn,
    Column,
    Columns,
    Flags,
    Floats,
    NumberColumn,
    completed,
    keep_all,
    unstated,
    value_at,
)
from advisor.inference.grounding import bound
from advisor.rulebase.knowledge import FactKind, Finish, RuleBase

NEAR = 1e-4  # in the fact's unit, and relative: a hundred times what the table of the saturation curve is off


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
            # The two formulas of vapour know of a finish only its permeance: finishes alike share the column.
            alike: dict[object, Column] = {}
            for finish in base.finishes.values():
                about = bound(name, finish.id)
                if needed is not None and about not in needed:
                    facts[about] = unstated(kind)
                    continue
                limits = tuple(bounds.get(about, ()))
                span = finish.properties["permeance"].interval
                key = (span, limits) if kind.computed.by in OF_PERMEANCE else finish.id
                if key not in alike:
                    alike[key] = _computed(base, name, facts, finish, limits)
                facts[about] = alike[key]
    return Columns(stated.floors, facts)


def _computed(
    base: RuleBase, name: str, facts: Facts, finish: Finish | None, limits: Sequence[float]
) -> NumberColumn:
    kind = base.facts[name]
    assert kind.computed is not None
    if finish is not None and kind.computed.by in BY_FINISH:
        low, high = BY_FINISH[kind.computed.by](facts, Subject(base, finish))
    elif finish is None and kind.computed.by in BY_FLOOR:
        low, high = BY_FLOOR[kind.computed.by](facts, Subject(base, None))
    else:
        return _floor_by_floor(base, name, facts, finish)
    known = _known(kind, facts)
    low, high, known = (np.array(each) for each in np.broadcast_arrays(low, high, known))
    by_table = kind.computed.by in BY_SATURATION_TABLE
    near = _near(low, limits) | _near(high, limits) if by_table else np.zeros(1, np.bool)
    ends = [np.clip(keep_all(end), kind.plausible.low, kind.plausible.high) for end in (low, high)]
    if near.any():
        for floor in np.flatnonzero(near):
            value = _one(base, name, facts, finish, int(floor))
            ends[0][floor], ends[1][floor] = value
    return NumberColumn(ends[0], ends[1], known)


def _near(values: Floats, limits: Sequence[float]) -> Flags:
    found = np.zeros(values.shape, np.bool)
    for limit in limits:
        found |= np.abs(values - limit) < NEAR * max(1.0, abs(limit))
    return found


def _known(kind: FactKind, facts: Facts) -> Flags:
    """Whether every input is known; where there is no sheet, its permeance is not missing."""
    assert kind.computed is not None
    known: Flags = np.array([True])
    for name in kind.computed.inputs:
        here = facts[name].known
        if name == "retarder_permeance":
            here = here | sheet(facts).has("absent")
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


def _floor_by_floor(base: RuleBase, name: str, facts: Facts, finish: Finish | None) -> NumberColumn:
    kind = base.facts[name]
    assert kind.computed is not None
    inputs = [facts[each] for each in kind.computed.inputs]
    arrays = [a for c in inputs for a in ((c.codes,) if isinstance(c, ChoiceColumn) else (c.low, c.high, c.known))]
    rows = np.stack(np.broadcast_arrays(*(array.astype(np.float64) for array in arrays)), axis=1)
    distinct, first, which = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    values = []
    for floor in first:
        here = {each: value_at(base.facts[each], facts[each], int(floor)) for each in kind.computed.inputs}
        value = compute(base, name, here, finish)
        assert value.interval is not None
        values.append((value.interval.low, value.interval.high, value.known))
    assert len(values) == len(distinct)
    low, high, known = (np.array(each)[which.ravel()] for each in zip(*values, strict=True))
    return NumberColumn(low, high, known)
