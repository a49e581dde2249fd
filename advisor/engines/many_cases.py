"""The many-cases reading: the rules over columns of floors, eight floors a byte, in the order of what they rest on.

Each comparison that some rule makes is made once for all floors and packed to bits; rules are then ands and ors of
bits. There are no cycles among findings, so one pass in dependency order reaches the least model.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from graphlib import TopologicalSorter
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisor.engines.columns import ChoiceColumn, Column, Columns, Flags, NumberColumn
from advisor.model.conditions import Comparison
from advisor.model.entry import UNKNOWN
from advisor.model.program import Conclusion, Pattern, Program

Bits: TypeAlias = NDArray[np.uint8]

_OPERATORS: dict[str, Callable[[Any, Any], Any]] = {
    ">": np.greater,
    ">=": np.greater_equal,
    "<": np.less,
    "<=": np.less_equal,
}


@dataclass(frozen=True)
class Fired:
    """Which rules fire on which floors: one row of packed bits a ground rule, in the program's order."""

    program: Program
    floors: int
    bits: Bits

    @cached_property
    def row(self) -> dict[str, int]:
        """The row of each ground rule."""
        return {rule.name: place for place, rule in enumerate(self.program.rules)}

    def where(self, rule: str) -> Flags:
        """The floors on which a ground rule fires."""
        return unpack(self.bits[self.row[rule]], self.floors)

    def rules_at(self, floor: int) -> set[str]:
        """The names of the ground rules that fire on one floor."""
        byte = self.bits[:, floor // 8] >> (7 - floor % 8) & 1
        return {rule.name for rule, fires in zip(self.program.rules, byte, strict=True) if fires}


def unpack(bits: Bits, floors: int) -> Flags:
    """Bits as flags, one a floor."""
    return np.unpackbits(bits, count=floors).view(np.bool)


class ManyCases:
    """A program made ready for columns. `infer` runs any number of floors to the least model."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.patterns: dict[Pattern, int] = {}  # those on facts, each once, and their places
        self.places = {rule.name: place for place, rule in enumerate(program.rules)}
        self.finding: dict[str, list[int]] = {}  # by finding, the places of the rules that conclude it
        for place, rule in enumerate(program.rules):
            for name in rule.findings:
                self.finding.setdefault(name, []).append(place)
        self.rests_on: list[tuple[list[int], list[str]]] = []  # by rule: patterns on facts, and findings
        for rule in program.rules:
            facts = [p for p in rule.patterns if p.fact not in self.finding]
            self.rests_on.append(
                (
                    [self.patterns.setdefault(p, len(self.patterns)) for p in facts],
                    [p.fact for p in rule.patterns if p.fact in self.finding],
                )
            )
        self._order = self._sorted()

    def _sorted(self) -> list[int]:
        """Places of the rules, each after those that conclude what it rests on."""
        graph = {
            place: [before for name in findings for before in self.finding[name]]
            for place, (_, findings) in enumerate(self.rests_on)
        }
        return list(TopologicalSorter(graph).static_order())

    def infer(self, columns: Columns) -> Fired:
        """Which rules fire on which floors.

        Args:
            columns: the working memory of the floors, with every fact that a pattern names, but for findings. A few
                ten thousand floors at a time are fastest, and bound the memory.
        """
        tests = Tests(columns)
        return self.least([tests.pattern(pattern) for pattern in self.patterns], columns.floors)

    def least(self, met: Sequence[Bits], floors: int) -> Fired:
        """Which rules fire where these patterns on facts hold.

        Args:
            met: in the order of `patterns`, the floors on which each holds.
            floors: how many.
        """
        width = (floors + 7) // 8
        bits = np.empty((len(self.program.rules), width), np.uint8)
        holds: dict[str, Bits] = {}
        nothing = np.zeros(width, np.uint8)
        for place in self._order:
            patterns, findings = self.rests_on[place]
            _all((*(met[each] for each in patterns), *(holds.get(name, nothing) for name in findings)), bits[place])
            for name in self.program.rules[place].findings:
                holds[name] = holds[name] | bits[place] if name in holds else bits[place]
        return Fired(self.program, floors, bits)


def _all(conditions: tuple[Bits, ...], out: Bits) -> None:
    """Where every condition is met; no conditions are met everywhere."""
    if not conditions:
        out.fill(255)
        return
    out[:] = conditions[0]
    for each in conditions[1:]:
        np.bitwise_and(out, each, out=out)


class Firing:
    """Which rules fire on which floors, each worked out when it is asked for: for few rules of many."""

    def __init__(self, cases: ManyCases, columns: Columns) -> None:
        self.floors = columns.floors
        self._cases = cases
        self._tests = Tests(columns)
        self._bits: dict[int, Bits] = {}

    def where(self, rule: str) -> Flags:
        """The floors on which a ground rule fires."""
        return unpack(self._fires(self._cases.places[rule]), self.floors)

    def holding(self, pattern: Pattern) -> Flags:
        """The floors on which a pattern holds, on a fact or a finding."""
        return unpack(self._met(pattern), self.floors)

    def _fires(self, place: int) -> Bits:
        if place not in self._bits:
            self._bits[place] = bits = np.empty((self.floors + 7) // 8, np.uint8)
            _all(tuple(self._met(each) for each in self._cases.program.rules[place].patterns), bits)
        return self._bits[place]

    def _met(self, pattern: Pattern) -> Bits:
        rules = self._cases.finding.get(pattern.fact)
        if rules is None:
            return self._tests.pattern(pattern)
        met: Bits = np.bitwise_or.reduce([self._fires(each) for each in rules])
        return met


class Tests:
    """The comparisons over the columns, each made once and kept as bits."""

    def __init__(self, columns: Columns) -> None:
        self.columns = columns
        self._made: dict[tuple[object, ...], Bits] = {}

    def pattern(self, pattern: Pattern) -> Bits:
        """Where a pattern holds."""
        column = self.columns.facts.get(pattern.fact)
        if column is None:  # a finding that no rule concludes
            return self._pack(np.array([False]))
        if isinstance(column, ChoiceColumn):
            assert pattern.values is not None
            return self._among(pattern.fact, column, pattern.values)
        conditions = [self._compare(pattern.fact, column, each) for each in pattern.comparisons]
        if pattern.known is not None:
            known = self._once((pattern.fact,), lambda: column.known)
            conditions.append(known if pattern.known else ~known)
        bits = np.empty((self.columns.floors + 7) // 8, np.uint8)
        _all(tuple(conditions), bits)
        return bits

    def _among(self, fact: str, column: ChoiceColumn, values: Iterable[str]) -> Bits:
        wanted = {0 if value == UNKNOWN else column.values.index(value) + 1 for value in values}
        others = set(range(len(column.values) + 1)) - wanted
        fewer = others if len(others) < len(wanted) else wanted
        bits = np.zeros((self.columns.floors + 7) // 8, np.uint8)
        for code in fewer:
            bits |= self._once((fact, code), partial(np.equal, column.codes, code))
        return ~bits if fewer is others else bits

    def _compare(self, fact: str, column: Column, comparison: Comparison) -> Bits:
        assert isinstance(column, NumberColumn)
        end = column.low if comparison.end == "low" else column.high
        operator = _OPERATORS[comparison.op]
        key = (fact, comparison.end, comparison.op, comparison.bound)
        return self._once(key, partial(operator, end, comparison.bound))

    def _once(self, key: tuple[object, ...], test: Callable[[], Flags]) -> Bits:
        if key not in self._made:
            self._made[key] = self._pack(test())
        return self._made[key]

    def _pack(self, flags: Flags) -> Bits:
        if len(flags) == 1 != self.columns.floors:
            return np.full((self.columns.floors + 7) // 8, 255 if flags[0] else 0, np.uint8)
        return np.packbits(flags)


def bounds_of(program: Program) -> dict[str, tuple[float, ...]]:
    """By fact, the bounds that some rule compares it with."""
    found: dict[str, set[float]] = {}
    for rule in program.rules:
        for pattern in rule.patterns:
            for comparison in pattern.comparisons:
                found.setdefault(pattern.fact, set()).add(comparison.bound)
    return {name: tuple(sorted(bounds)) for name, bounds in found.items()}


def concluding(program: Program) -> dict[Conclusion, list[int]]:
    """By conclusion, the places of the ground rules that conclude it."""
    found: dict[Conclusion, list[int]] = {}
    for place, rule in enumerate(program.rules):
        for conclusion in rule.conclusions:
            found.setdefault(conclusion, []).append(place)
    return found
