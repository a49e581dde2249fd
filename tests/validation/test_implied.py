"""The quick look whether one comparison implies another, against all intervals of a small world.

It may miss an implication (then z3 is asked), never claim one that is none; on comparisons alone it misses none.
"""

from __future__ import annotations

from itertools import product

from advisor.model.conditions import Comparison
from advisor.model.program import Pattern
from advisor.physics.bounds import Interval
from advisor.validation.implied import implies

ENDS, OPS = ("low", "high"), (">", ">=", "<", "<=")
INTERVALS = [Interval(low / 2, high / 2) for low in range(9) for high in range(low, 9)]
COMPARISONS = [Comparison(end, op, bound) for end in ENDS for op in OPS for bound in (1.0, 2.0, 3.0)]  # type: ignore[arg-type]


def really(mine: Comparison, other: Comparison) -> bool:
    """By trying every interval."""
    return all(other.holds(each) for each in INTERVALS if mine.holds(each))


def test_a_comparison_implies_what_holds_of_every_interval_that_meets_it() -> None:
    wrong = [
        (mine, other)
        for mine, other in product(COMPARISONS, repeat=2)
        if implies((Pattern("fact", comparisons=(mine,)),), (Pattern("fact", comparisons=(other,)),))
        != really(mine, other)
    ]
    assert wrong == []


def test_a_choice_implies_one_of_more_values_and_a_fact_nothing_of_another() -> None:
    some, more = Pattern("look", values=frozenset("a")), Pattern("look", values=frozenset("ab"))
    assert implies((some,), (more,))
    assert not implies((more,), (some,))
    assert not implies((some,), (Pattern("room", values=frozenset("a")),))
    known = Pattern("area", known=True)
    assert implies((known,), (known,))
    assert not implies((Pattern("area"),), (known,))
    assert not implies((Pattern("area", known=False),), (known,))
