"""Many floors stated at once: what facts tell of others, what is refused, set aside, as `facts.case.say` has it."""

from __future__ import annotations

from collections.abc import Container, Mapping

import numpy as np

from advisor.engines.columns import ChoiceColumn, Column, Columns, Flags, Floats, NumberColumn
from advisor.engines.computed_columns import working_columns
from advisor.engines.many_cases import Tests, unpack
from advisor.facts.complaints import COMPLAINTS
from advisor.model.contradictions import Clash, End, clashes
from advisor.model.knowledge import RuleBase


def told_by_complaints(base: RuleBase, stated: Columns) -> Columns:
    """The floors, with what their complaints tell of other facts where nothing is known of those."""
    said = [each for name in COMPLAINTS if isinstance(each := stated.facts.get(name), ChoiceColumn)]
    told = dict(stated.facts)
    for fact, sign in base.signs.items() if said else ():
        kind, before = base.facts[fact], stated.facts.get(fact)
        codes = before.codes if isinstance(before, ChoiceColumn) else np.zeros(1, np.uint8)
        codes = np.broadcast_to(codes, stated.floors).copy()
        silent = codes == 0
        for column in reversed(said):  # the complaint that was named first tells
            for complaint, value in sign.told_by.items():
                codes[silent & column.has(complaint)] = kind.choices.index(value) + 1
        if codes.any():
            told[fact] = ChoiceColumn(codes, kind.choices)
    return Columns(stated.floors, told)


def with_implied(base: RuleBase, stated: Columns, asked: Container[str] = ()) -> Columns:
    """The floors, with what one fact implies of another where nothing is known of that, nor was said to be unknown.

    Args:
        base: for the vocabulary.
        stated: what is known.
        asked: the facts that were said to be unknown.
    """
    told = dict(stated.facts)
    for fact, kind in base.facts.items():
        for other, values in kind.implied_by.items() if fact not in asked else ():
            said, before = told.get(other), told.get(fact)
            if not isinstance(said, ChoiceColumn):
                continue
            codes = before.codes if isinstance(before, ChoiceColumn) else np.zeros(1, np.uint8)
            codes = np.broadcast_to(codes, stated.floors).copy()
            silent = codes == 0
            for value, implied in values.items():
                codes[silent & said.has(value)] = kind.choices.index(implied) + 1
            if codes.any():
                told[fact] = ChoiceColumn(codes, kind.choices)
    return Columns(stated.floors, told)


def refused(base: RuleBase, stated: Columns) -> dict[str, Flags]:
    """By hard contradiction, the floors that state it; those that none does left out."""
    tests = Tests(stated)
    met = {name: _met(clash, stated, tests) for name, clash in clashes(base, soft=False).items()}
    return {name: flags for name, flags in met.items() if flags.any()}


def in_doubt(base: RuleBase, stated: Columns) -> dict[str, Flags]:
    """By stated fact, the floors on which it is set aside, since it hardly goes together with the rest."""
    soft = clashes(base, soft=True)
    patterns = [pattern for clash in soft.values() for pattern in clash.patterns]
    bounds = {each.fact: [c.bound for p in patterns if p.fact == each.fact for c in p.comparisons] for each in patterns}
    working = working_columns(base, stated, bounds, {name for clash in soft.values() for name in clash.facts})
    tests, found = Tests(working), dict[str, Flags]()

    def set_aside(name: str, here: Flags) -> None:
        if name in stated.facts and (given := here & stated.facts[name].known).any():
            found[name] = found[name] | given if name in found else given

    for clash in soft.values():
        met = _met(clash, working, tests)
        for name in clash.asserted if met.any() else ():
            set_aside(name, met)
            computed = base.facts[name].computed
            if computed:  # what it was worked out from, where it was
                worked_out = met & working.facts[name].known & ~_given(stated.facts.get(name))
                for each in computed.inputs:
                    set_aside(each, worked_out)
    return found


def _given(column: Column | None) -> Flags:
    return np.zeros(1, np.bool) if column is None else column.known


def _met(clash: Clash, columns: Columns, tests: Tests) -> Flags:
    """Where a contradiction surely holds; nowhere if it needs a fact that no floor states."""
    if not columns.facts.keys() >= set(clash.facts):
        return np.zeros(columns.floors, np.bool)
    met = np.ones(columns.floors, np.bool)
    for pattern in clash.patterns:
        met &= unpack(tests.pattern(pattern), columns.floors)
    for each in clash.between:
        met &= each.met_by(lambda name, end: _end(columns.facts, name, end))
    return met


def _end(facts: Mapping[str, Column], name: str, end: End) -> Floats:
    column = facts[name]
    assert isinstance(column, NumberColumn)
    return column.low if end == "low" else column.high
