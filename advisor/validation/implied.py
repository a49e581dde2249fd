"""Whether conditions imply others, fact by fact: quick, and true where it says so; where it does not, z3 may know."""

from __future__ import annotations

from advisor.model.conditions import Comparison
from advisor.model.program import Pattern


def implies(before: tuple[Pattern, ...], after: tuple[Pattern, ...]) -> bool:
    """Whether every floor that meets the patterns before surely meets those after."""
    known = {pattern.fact: pattern for pattern in before}
    return all(pattern.fact in known and _within(known[pattern.fact], pattern) for pattern in after)


def _within(narrow: Pattern, wide: Pattern) -> bool:
    if wide.values is not None:
        return narrow.values is not None and narrow.values <= wide.values
    return wide.known in (None, narrow.known) and all(
        any(_tighter(mine, other) for mine in narrow.comparisons) for other in wide.comparisons
    )


def _tighter(mine: Comparison, other: Comparison) -> bool:
    """Whether what meets one comparison surely meets the other (an interval's low end is never above its high)."""
    upward = other.op in (">", ">=")
    if (mine.op in (">", ">=")) != upward:
        return False
    if mine.end != other.end and mine.end != ("low" if upward else "high"):
        return False
    if mine.bound == other.bound:
        return mine.op == other.op or len(mine.op) == 1  # strict implies not strict
    return mine.bound > other.bound if upward else mine.bound < other.bound
