"""The ground program, which every reading of the rule base shares: rules without variables, of patterns over facts.

`advisor.model.grounding` makes it of a rule base.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from advisor.model.conditions import Comparison
from advisor.model.entry import UNKNOWN
from advisor.model.values import Value

HOLDS = "holds"


@dataclass(frozen=True)
class Pattern:
    """All that a rule asks of one fact: of a choice the allowed values, of a number comparisons and whether known."""

    fact: str
    values: frozenset[str] | None = None
    comparisons: tuple[Comparison, ...] = ()
    known: bool | None = None

    def __hash__(self) -> int:
        """Of its parts, worked out once: patterns are what engines find their outcomes by."""
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash((self.fact, self.values, self.comparisons, self.known))

    def __getstate__(self) -> dict[str, object]:
        """Without the hash, which is another in another process."""
        return {name: value for name, value in self.__dict__.items() if name != "_hash"}

    def holds(self, value: Value) -> bool:
        """Whether the fact, as known, meets the pattern. This is the meaning that every engine must reproduce."""
        if self.values is not None:
            return value.choice in self.values
        assert value.interval is not None
        if self.known is not None and value.known != self.known:
            return False
        for comparison in self.comparisons:  # noqa: SIM110 - asked millions of times; a generator takes twice as long
            if not comparison.holds(value.interval):
                return False
        return True

    @property
    def of_unknown(self) -> bool:
        """Whether it asks that nobody knows the fact."""
        return self.values == frozenset({UNKNOWN}) or self.known is False

    @property
    def satisfiable(self) -> bool:
        """Whether any value at all meets it."""
        if self.values is not None:
            return bool(self.values)
        return all(
            floor.bound < cap.bound or (floor.bound == cap.bound and (floor.op, cap.op) == (">=", "<="))
            for floor in self.comparisons
            for cap in self.comparisons
            if floor.op in (">", ">=") and cap.op in ("<", "<=") and (floor.end, cap.end) != ("high", "low")
        )


ConclusionKind = Literal["finding", "rule_out", "first", "hold", "points", "caution", "refer"]


@dataclass(frozen=True)
class Conclusion:
    """One thing that a rule adds; `finish` is empty where it is about the floor."""

    kind: ConclusionKind
    name: str = ""
    finish: str = ""
    points: int = 0


@dataclass(frozen=True)
class GroundRule:
    """A rule without variables: patterns over facts of one case, and what follows for which finishes."""

    name: str  # unique; the rule's id, numbered where the rule has several ground forms
    rule: str
    topic: str
    patterns: tuple[Pattern, ...]
    conclusions: tuple[Conclusion, ...]
    finishes: tuple[str, ...] = ()

    @property
    def satisfiable(self) -> bool:
        """Whether some value of each fact meets its pattern."""
        return all(pattern.satisfiable for pattern in self.patterns)

    @cached_property
    def findings(self) -> tuple[str, ...]:
        """The findings it concludes, as facts of the working memory."""
        return tuple(bound(c.name, c.finish) for c in self.conclusions if c.kind == "finding")


@dataclass(frozen=True)
class Program:
    """All ground rules, in the order of the rule base."""

    rules: tuple[GroundRule, ...]
    by_topic: dict[str, tuple[GroundRule, ...]] = field(compare=False)
    # How `engines.packing` spreads them over networks, by their places; empty: not worked out yet.
    spread: tuple[tuple[int, ...], ...] = field(default=(), compare=False)


def bound(name: str, finish: str) -> str:
    """The name in working memory of a fact or finding; about one finish it carries the finish's id."""
    return f"{name}@{finish}" if finish else name


def unbound(name: str) -> tuple[str, str]:
    """The inverse of `bound`: the name in the vocabulary, and the finish or nothing."""
    base, _, finish = name.partition("@")
    return base, finish
