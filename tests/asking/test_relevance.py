"""What a computed fact can be once its inputs are known, against the definition: every pair of ends, every pattern."""

from __future__ import annotations

from itertools import combinations_with_replacement, pairwise
from types import SimpleNamespace
from typing import Any

import pytest

from advisor.asking.relevance import _within
from advisor.model.conditions import Comparison
from advisor.model.program import Pattern
from advisor.model.values import Value, number
from advisor.physics.bounds import Interval

LOW_28 = Comparison("low", ">", 28.0)
PATTERNS = {
    "one": [Pattern("x", comparisons=(LOW_28,))],
    "both ends": [Pattern("x", comparisons=(LOW_28, Comparison("high", "<=", 60.0)))],
    "at the limit": [
        Pattern("x", comparisons=(Comparison("low", ">=", 28.0),)),
        Pattern("x", comparisons=(Comparison("high", "<", 28.0),)),
    ],
    "only where it is known": [Pattern("x", comparisons=(LOW_28,), known=True)],
    "only where it is unknown": [Pattern("x", known=False), Pattern("x", comparisons=(LOW_28,), known=False)],
    "many": [
        Pattern("x", comparisons=(Comparison(end, op, bound),))
        for end in ("low", "high")
        for op in (">", ">=", "<", "<=")
        for bound in (10.0, 28.0, 60.0)
    ],
}


def judge(patterns: list[Pattern], limits: list[float]) -> Any:
    facts = {"x": SimpleNamespace(unit="day", type="number")}
    base = SimpleNamespace(facts=facts)
    return SimpleNamespace(base=base, patterns={"x": patterns}, limits={"x": limits}, contradictable=set())


def by_definition(patterns: list[Pattern], limits: list[float], low: float, high: float) -> dict[Any, Interval]:
    """The first interval of each group that every pattern treats alike."""
    edges = [low, *sorted({each for each in limits if low <= each <= high}), high]
    ends = sorted({*edges, *((one + other) / 2 for one, other in pairwise(edges))})
    found: dict[Any, Interval] = {}
    for pair in combinations_with_replacement(ends, 2):
        value = number(Interval(*pair), "day", "computed")
        found.setdefault(tuple(each.holds(value) for each in patterns), Interval(*pair))
    return found


@pytest.mark.parametrize("span", [(0.0, 100.0), (28.0, 60.0), (28.0, 28.0), (30.0, 40.0), (61.0, 90.0), (0.0, 9.0)])
@pytest.mark.parametrize("name", PATTERNS)
def test_one_value_of_each_group_that_the_patterns_treat_alike(name: str, span: tuple[float, float]) -> None:
    limits = [10.0, 28.0, 28.0, 60.0]
    value = Value("unknown", False, "unknown", interval=Interval(*span))
    found = list(_within(judge(PATTERNS[name], limits), "x", value))
    assert [each.interval for each in found] == list(by_definition(PATTERNS[name], limits, *span).values())
    assert all((each.known, each.origin) == (True, "computed") for each in found)
    assert all(each.shown.endswith(("day", "days")) for each in found)


def test_what_no_rule_asks_for_has_one_value() -> None:
    value = Value("unknown", False, "unknown", interval=Interval(0.0, 5.0))
    assert len(list(_within(judge([], []), "x", value))) == 1
