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

from advisor.engines.columns import (
    ChoiceColumn,
    Column,
    Columns,
    Flags,
    NumberColumn,
    columns_of,
    completed,
    unstated,
)
from advisor.engines.computed_columns import working_columns
from advisor.engines.many_cases import ManyCases, bounds_of, unpack
from advisor.model.grounding import Conclusion, Program, unbound
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value

Rows: TypeAlias = NDArray[np.int64]  # one a variant: places of its changes, -1 for none
Points: TypeAlias = NDArray[np.int64]

NONE_LEFT = -1
KINDS = ("finish", "test first", "none yet", "professional")


@dataclass(frozen=True)
class Changed:
    """One fact with another value."""

    fact: str
    value: Value


@dataclass(frozen=True)
class Judged:
    """What each variant comes to; arrays are finishes by variants, in the order of the rule base's finishes.

    Attributes:
        out: where a finish is ruled out.
        reasons_out: by how many rules.
        total: its points, weighted.
        leading: the place of the best-ranked finish, NONE_LEFT where none is left.
        kind: the place in KINDS of the answer's kind.
    """

    out: Flags
    reasons_out: Points
    total: Points
    leading: Points
    kind: Points

    def behind(self, finish: int) -> Points:
        """By how many points a finish is behind the best of the others that are left."""
        others = np.where(self.out, -9999, self.total)
        others[finish] = -9999
        behind: Points = others.max(axis=0) - self.total[finish]
        return behind

    def lead(self) -> Points:
        """By how many points the leading finish is ahead of the best other that is left; 9999 without another."""
        left = np.sort(np.where(self.out, -9999, self.total), axis=0)
        lead: Points = np.minimum(left[-1] - left[-2], 9999) if len(left) > 1 else np.full(left.shape[1], 9999)
        return lead


class Variants:
    """A program made ready to judge variants of cases."""

    def __init__(self, base: RuleBase, program: Program) -> None:
        self.base, self.program = base, program
        self.finishes = list(base.finishes)
        self.bounds = bounds_of(program)
        self._many = ManyCases(program)
        self._upstream = {name for name, kind in base.facts.items() if kind.computed}
        for kind in base.facts.values():
            self._upstream |= set(kind.computed.inputs) if kind.computed else set()

    def concluded(self, given: Mapping[str, Value]) -> list[Conclusion]:
        """What the rules that fire conclude of the case as it stands."""
        fired = self._many.infer(self.memory(given, (), np.full((1, 1), -1))).rules_at(0)
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

    def judge(self, memory: Columns) -> Judged:
        """What the variants come to.

        Args:
            memory: their working memory, from `memory`.
        """
        fired = self._many.infer(memory)
        shape = (len(self.finishes), memory.floors)
        place = {finish: at for at, finish in enumerate(self.finishes)}
        reasons_out, waits = np.zeros(shape, np.int64), np.zeros(shape, np.bool)
        needs: dict[tuple[int, str], Flags] = {}
        total = np.zeros(shape, np.int64)
        stop, hold = np.zeros(memory.floors, np.bool), np.zeros(memory.floors, np.bool)
        weight = self._weights(memory)
        for rule, bits in zip(self.program.rules, fired.bits, strict=True):
            if not bits.any():
                continue
            flags = unpack(bits, memory.floors)
            for conclusion in rule.conclusions:
                at = place.get(conclusion.finish, -1)
                match conclusion.kind:
                    case "rule_out":
                        reasons_out[at] += flags
                    case "first":
                        key = at, conclusion.name
                        needs[key] = needs[key] | flags if key in needs else flags
                        if self.base.needs[conclusion.name].decides:
                            waits[at] |= flags
                    case "points":
                        total[at] += np.where(flags, weight[conclusion.name] * conclusion.points, 0)
                    case "hold":
                        hold |= flags
                    case "refer" if self.base.referrals[conclusion.name].stop:
                        stop |= flags
        conditions = np.zeros(shape, np.int64)
        for (at, _), flags in needs.items():
            conditions[at] += flags
        out = reasons_out > 0
        leading = self._leading(out, total, conditions)
        tests = waits[leading, np.arange(memory.floors)]
        kind = np.select([stop, hold | (leading == NONE_LEFT), tests], [3, 2, 1], 0)
        return Judged(out, reasons_out, total, leading, kind)

    def _leading(self, out: Flags, total: Points, conditions: Points) -> Points:
        """As `standing.standings` ranks: points, then fewer conditions, then the order of the rule base."""
        order = np.array([self.base.finishes[finish].order for finish in self.finishes])
        by_order = np.argsort(order, kind="stable")
        rank = (total * 1000 - conditions)[by_order]
        rank[out[by_order]] = np.iinfo(np.int64).min
        best = by_order[rank.argmax(axis=0)]
        return np.where(out.all(axis=0), NONE_LEFT, best)

    def _weights(self, memory: Columns) -> dict[str, Points]:
        normal, found = self.base.importance["normal"], {}
        for name, criterion in self.base.criteria.items():
            column = memory.facts[criterion.importance]
            assert isinstance(column, ChoiceColumn)
            by_code = [normal, *(self.base.importance.get(value, normal) for value in column.values)]
            found[name] = np.array(by_code)[column.codes]
        return found


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
