"""One case and many variants of it that differ in a few facts, judged at once by the many-cases reading.

A variant is a row of places in a list of changes. Computed facts are worked out once for each different set of
changes to what they are computed from, not once for each variant.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TypeAlias
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from advisor.answer.many_answers import Answers, ManyAnswers
from advisor.answer.ranking import Part, parts
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
from advisor.engines.contradicting import told_by_complaints, with_implied
from advisor.engines.many_cases import bounds_of
from advisor.engines.reasoning import Reasoner
from advisor.facts.complaints import COMPLAINTS
from advisor.facts.implied import followed
from advisor.model.knowledge import RuleBase
from advisor.model.program import Conclusion, Pattern, Program, unbound
from advisor.model.values import Value
from advisor.model.vocabulary import FactKind

Rows: TypeAlias = NDArray[np.int64]  # one a variant: places of its changes, -1 for none


@dataclass(frozen=True)
class Changed:
    """One fact with another value."""

    fact: str
    value: Value


_VARIANTS: WeakKeyDictionary[Reasoner, Variants] = WeakKeyDictionary()


class Variants:
    """A program made ready to judge variants of cases."""

    def __init__(self, base: RuleBase, program: Program) -> None:
        self.base, self.program = base, program
        self.finishes = list(base.finishes)
        self.bounds = bounds_of(program)
        self.many = ManyAnswers(base, program)
        self._upstream = {name for name, kind in base.facts.items() if kind.computed}
        for kind in base.facts.values():
            self._upstream |= set(kind.computed.inputs) if kind.computed else set()
        for name, kind in base.facts.items():
            self._upstream |= set(kind.implied_by) if name in self._upstream else set()
        self._implying = {other for kind in base.facts.values() for other in kind.implied_by}

    @cached_property
    def patterns(self) -> Mapping[str, Sequence[Pattern]]:
        """The different patterns of the rules, by the fact that they ask of."""
        found: dict[str, dict[Pattern, None]] = {}
        for rule in self.program.rules:
            for pattern in rule.patterns:
                found.setdefault(unbound(pattern.fact)[0], {})[pattern] = None
        return {name: tuple(some) for name, some in found.items()}

    @cached_property
    def concluding(self) -> Mapping[tuple[Part, str], Sequence[int]]:
        """By part of an answer and finish (or nothing) the places of the rules that conclude it."""
        found: dict[tuple[Part, str], list[int]] = {}
        for place, rule in enumerate(self.program.rules):
            for each in rule.conclusions:
                for part in parts(self.base, each):
                    found.setdefault((part, each.finish), []).append(place)
        return found

    def concluded(self, given: Mapping[str, Value]) -> list[Conclusion]:
        """What the rules that fire conclude of the case as it stands."""
        fired = self.many.cases.infer(self.memory(given, (), np.full((1, 1), -1))).rules_at(0)
        return [each for rule in self.program.rules if rule.name in fired for each in rule.conclusions]

    def memory(
        self,
        given: Mapping[str, Value],
        changes: Sequence[Changed],
        rows: Rows,
        needed: Collection[str] | None = None,
    ) -> Columns:
        """The working memory of the variants.

        Args:
            given: the facts that the case states.
            changes: all changes that some variant makes.
            rows: one variant a row; no fact is changed twice in one.
            needed: the facts that will be asked for; what is computed besides is left unknown. All if not given.
        """
        upstream = np.array([each.fact in self._upstream for each in changes] + [False])  # the last is for -1
        narrow = np.sort(np.where(upstream[rows], rows, -1), axis=1)
        first, which = _distinct(narrow, len(changes))
        small = working_columns(
            self.base, self.stated(given, changes, narrow[first]), self.bounds, self._behind(needed)
        )
        stated = self.stated(given, changes, rows)
        facts: dict[str, Column] = {}
        for name, column in small.facts.items():
            if unbound(name)[0] in self._upstream:
                facts[name] = _gathered(column, which)
            elif name in stated.facts:
                facts[name] = completed(stated.facts[name], unstated(self.base.facts[name]))
            else:
                facts[name] = column
        return Columns(len(rows), facts)

    def _behind(self, needed: Collection[str] | None) -> set[str] | None:
        """The facts asked for, and those from which they are computed."""
        if needed is None:
            return None
        found, pending = set(needed), [unbound(name)[0] for name in needed]
        while pending:
            kind = self.base.facts.get(pending.pop())
            more = set(kind.computed.inputs) - found if kind and kind.computed else set()
            found |= more
            pending += more
        return found

    def stated(self, given: Mapping[str, Value], changes: Sequence[Changed], rows: Rows) -> Columns:
        """The facts that the variants state, with what follows from those; a change to unknown takes one back."""
        implying = any(change.fact in self._implying for change in changes)
        anew = followed(self.base, given) if implying else set()
        known = {name: value for name, value in given.items() if value.known and name not in anew}
        facts = dict(columns_of(self.base, [known]).facts)
        made = [int(place) for place in np.unique(rows[rows >= 0])]
        told = [place for place in made if changes[place].value.known]
        stated = self._changed(facts, changes, rows, told)
        if any(changes[place].fact in COMPLAINTS for place in told):
            stated = told_by_complaints(self.base, stated)
        if implying:
            unknown = {name for name, value in given.items() if not value.known}
            stated = with_implied(self.base, stated, unknown)
        taken_back = [place for place in made if not changes[place].value.known]  # what they imply, too
        return self._changed(stated.facts, changes, rows, taken_back) if taken_back else stated

    def _changed(
        self, facts: Mapping[str, Column], changes: Sequence[Changed], rows: Rows, made: Sequence[int]
    ) -> Columns:
        """Facts with some of the changes made, each in the variants that make it."""
        found, places = dict(facts), dict[str, list[int]]()
        for place in made:
            places.setdefault(changes[place].fact, []).append(place)
        flat = rows.ravel()
        order = np.argsort(flat, kind="stable")  # so that the variants that make a change stand together
        ends = np.searchsorted(flat[order], np.arange(len(changes) + 1))
        for name, some in places.items():
            kind = self.base.facts[name]
            column = _repeated(found.get(name) or _blank(unstated(kind)), len(rows))
            where = [order[ends[place] : ends[place + 1]] // rows.shape[1] for place in some]
            which = np.repeat(np.arange(len(some)), [len(each) for each in where])
            _put(column, np.concatenate(where), which, kind, [changes[place].value for place in some])
            found[name] = column
        return Columns(len(rows), found)

    def judge(self, memory: Columns) -> Answers:
        """What the variants come to.

        Args:
            memory: their working memory, from `memory`.
        """
        return self.many.conclude(memory, self.many.cases.infer(memory))


def variants_of(reasoner: Reasoner) -> Variants:
    """The variants for a rule base made ready, the same ones each time."""
    if reasoner not in _VARIANTS:
        _VARIANTS[reasoner] = Variants(reasoner.base, reasoner.program)
    return _VARIANTS[reasoner]


def _distinct(rows: Rows, most: int) -> tuple[Rows, Rows]:
    """Where each different row stands first, and which of those each row is; places are from -1 to below `most`."""
    first, which = np.zeros(1, np.int64), np.zeros(len(rows), np.int64)
    for column in rows.T:
        _, first, which = np.unique(which * (most + 1) + column + 1, return_index=True, return_inverse=True)
    return first, which


def _blank(column: Column) -> Column:
    """A column of the same kind that states nothing."""
    if isinstance(column, ChoiceColumn):
        return ChoiceColumn(np.zeros_like(column.codes), column.values)
    return NumberColumn(column.low, column.high, np.zeros_like(column.known))


def _repeated(column: Column, floors: int) -> Column:
    """A column, one of length one written out for every floor, to be changed."""
    if isinstance(column, ChoiceColumn):
        return ChoiceColumn(np.broadcast_to(column.codes, floors).copy(), column.values)
    low, high = np.broadcast_to(column.low, floors).copy(), np.broadcast_to(column.high, floors).copy()
    return NumberColumn(low, high, np.broadcast_to(column.known, floors).copy())


def _put(
    column: Column, here: NDArray[np.int64], which: NDArray[np.int64], kind: FactKind, values: Sequence[Value]
) -> None:
    """Put in place, on these floors, of each the value that it is told by its place among some."""
    if isinstance(column, ChoiceColumn):
        codes = [kind.choices.index(value.choice) + 1 if value.known else 0 for value in values]
        column.codes[here] = np.array(codes, column.codes.dtype)[which]
        return
    ends = [value.interval for value in values if value.interval is not None]
    assert len(ends) == len(values)
    column.low[here] = np.array([each.low for each in ends])[which]
    column.high[here] = np.array([each.high for each in ends])[which]
    column.known[here] = np.array([value.known for value in values])[which]


def _gathered(column: Column, which: Rows) -> Column:
    """The column of those floors; one of length one still stands for all."""
    if isinstance(column, ChoiceColumn):
        return column if len(column.codes) == 1 else ChoiceColumn(column.codes[which], column.values)
    if len(column.low) == 1:
        return column
    return NumberColumn(column.low[which], column.high[which], column.known[which])
