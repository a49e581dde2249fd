"""One case and many variants of it that differ in a few facts, judged at once by the many-cases reading.

A variant is a row of places in a list of changes. Computed facts are worked out once for each different set of
changes to what they are computed from, not once for each variant.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisor.answer.many_answers import Answers, ManyAnswers
from advisor.engines.columns import (
    ChoiceColumn,
    Column,
    Columns,
    NumberColumn,
    columns_of,
    completed,
    unstated,
)
from advisor.engines.computed_columns import working_columns
from advisor.engines.many_cases import bounds_of
from advisor.model.grounding import Conclusion, Program, unbound
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value

Rows: TypeAlias = NDArray[np.int64]  # one a variant: places of its changes, -1 for none


@dataclass(frozen=True)
class Changed:
    """One fact with another value."""

    fact: str
    value: Value


class Variants:
    """A program made ready to judge variants of cases."""

    def __init__(self, base: RuleBase, program: Program) -> None:
        self.base, self.program = base, program
        self.finishes = list(base.finishes)
        self.bounds = bounds_of(program)
        self._many = ManyAnswers(base, program)
        self._upstream = {name for name, kind in base.facts.items() if kind.computed}
        for kind in base.facts.values():
            self._upstream |= set(kind.computed.inputs) if kind.computed else set()

    def concluded(self, given: Mapping[str, Value]) -> list[Conclusion]:
        """What the rules that fire conclude of the case as it stands."""
        fired = self._many.cases.infer(self.memory(given, (), np.full((1, 1), -1))).rules_at(0)
        return [each for rule in self.program.rules if rule.name in fired for each in rule.conclusions]

    def memory(self, given: Mapping[str, Value], changes: Sequence[Changed], rows: Rows) -> Columns:
        """The working memory of the variants.

        Args:
            given: the facts that the case states.
            changes: all changes that some variant makes.
            rows: one variant a row; no fact is changed twice in one.
        """
        upstream = np.array([each.fact in self._upstream for each in changes] + [False])  # the last is for -1
        narrow = np.sort(np.where(upstream[rows], rows, -1), axis=1)
        distinct, which = np.unique(narrow, axis=0, return_inverse=True)
        small = working_columns(self.base, self.stated(given, changes, distinct), self.bounds)
        stated = self.stated(given, changes, rows)
        facts: dict[str, Column] = {}
        for name, column in small.facts.items():
            if unbound(name)[0] in self._upstream:
                facts[name] = _gathered(column, which.ravel())
            elif name in stated.facts:
                facts[name] = completed(stated.facts[name], unstated(self.base.facts[name]))
            else:
                facts[name] = column
        return Columns(len(rows), facts)

    def stated(self, given: Mapping[str, Value], changes: Sequence[Changed], rows: Rows) -> Columns:
        """The facts that the variants state; a change to unknown takes one back."""
        known = {name: value for name, value in given.items() if value.known}
        facts = dict(columns_of(self.base, [known]).facts)
        names = [each.fact for each in changes]
        for name in dict.fromkeys(names[place] for place in np.unique(rows[rows >= 0])):
            kind = self.base.facts[name]
            column = _repeated(facts.get(name) or _blank(unstated(kind)), len(rows))
            for place in (at for at, fact in enumerate(names) if fact == name):
                here = (rows == place).any(axis=1)
                value = changes[place].value
                if isinstance(column, ChoiceColumn):
                    column.codes[here] = kind.choices.index(value.choice) + 1 if value.known else 0
                else:
                    assert value.interval is not None
                    column.low[here], column.high[here] = value.interval.low, value.interval.high
                    column.known[here] = value.known
            facts[name] = column
        return Columns(len(rows), facts)

    def judge(self, memory: Columns) -> Answers:
        """What the variants come to.

        Args:
            memory: their working memory, from `memory`.
        """
        return self._many.conclude(memory, self._many.cases.infer(memory))


def _blank(column: Column) -> Column:
    """A column of the same kind that states nothing."""
    if isinstance(column, ChoiceColumn):
        return ChoiceColumn(np.zeros_like(column.codes), column.values)
    return NumberColumn(column.low, column.high, np.zeros_like(column.known))


def _repeated(column: Column, floors: int) -> Column:
    """A column of length one, written out for every floor."""
    if isinstance(column, ChoiceColumn):
        return ChoiceColumn(column.codes.repeat(floors), column.values)
    return NumberColumn(column.low.repeat(floors), column.high.repeat(floors), column.known.repeat(floors))


def _gathered(column: Column, which: Rows) -> Column:
    """The column of those floors; one of length one still stands for all."""
    if isinstance(column, ChoiceColumn):
        return column if len(column.codes) == 1 else ChoiceColumn(column.codes[which], column.values)
    if len(column.low) == 1:
        return column
    return NumberColumn(column.low[which], column.high[which], column.known[which])
