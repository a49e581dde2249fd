"""How rules are spread over networks: every limit is reached and not passed, and a pack knows how full it is."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from advisor.engines import packing
from advisor.engines.packing import Pack, conditions_in, pack, values_of
from advisor.model.conditions import Comparison
from advisor.model.program import Conclusion, GroundRule, Pattern


def rule(name: str, *patterns: Pattern) -> GroundRule:
    return GroundRule(name, name, "t", patterns, (Conclusion("finding", name),))


def is_(fact: str, *values: str) -> Pattern:
    return Pattern(fact, values=frozenset(values))


def above(fact: str, bound: float) -> Pattern:
    return Pattern(fact, comparisons=(Comparison("low", ">", bound),))


def sizes(*rules: GroundRule) -> list[int]:
    return [len(each.rules) for each in pack(rules)]


@pytest.fixture
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Limits so low that each can be reached by itself."""
    for name, most in {
        "MOST_CONDITIONS_ON_A_FACT": 3,
        "MOST_RULES_ON_A_CONDITION": 9,
        "MOST_RULES_ON_A_VALUE": 5,
        "MOST_FACTS_IN_A_NETWORK": 4,
        "MOST_RULES_IN_A_NETWORK": 12,
    }.items():
        monkeypatch.setattr(packing, name, most)


@pytest.mark.usefixtures("small")
def test_conditions_on_one_fact() -> None:
    assert sizes(*(rule(f"r{n}", above("x", n)) for n in range(4))) == [3, 1]
    assert sizes(rule("a", is_("x", "p", "q")), rule("b", is_("x", "r")), rule("c", is_("x", "s"))) == [2, 1]


@pytest.mark.usefixtures("small")
def test_a_condition_that_stands_already_takes_no_room() -> None:
    assert sizes(*(rule(f"r{n}", above("x", n % 3)) for n in range(9))) == [9]


@pytest.mark.usefixtures("small")
def test_two_conditions_of_one_rule_on_one_fact_take_room_for_two() -> None:
    assert sizes(rule("a", above("x", 1), above("x", 2)), rule("b", above("x", 3), above("x", 4))) == [1, 1]


@pytest.mark.usefixtures("small")
def test_rules_on_one_condition() -> None:
    assert sizes(*(rule(f"r{n}", above("x", 1)) for n in range(10))) == [9, 1]


@pytest.mark.usefixtures("small")
def test_rules_on_one_value() -> None:
    assert sizes(*(rule(f"r{n}", is_("x", "p")) for n in range(6))) == [5, 1]
    apart = [rule(f"r{n}", is_(fact, "p")) for n, fact in enumerate("xyxyxyxy")]
    assert sizes(*apart) == [8]  # the same word of another fact is another value


@pytest.mark.usefixtures("small")
def test_facts_of_one_network() -> None:
    assert sizes(*(rule(f"r{n}", above(f"x{n}", 1)) for n in range(5))) == [4, 1]
    assert sizes(rule("a", *(above(f"x{n}", 1) for n in range(4))), rule("b", above("x0", 1))) == [2]


@pytest.mark.usefixtures("small")
def test_rules_of_one_network() -> None:
    assert sizes(*(rule(f"r{n}", above("x" if n % 2 else "y", 1)) for n in range(13))) == [12, 1]


@pytest.mark.usefixtures("small")
def test_a_rule_goes_into_the_first_network_that_takes_it() -> None:
    full = [rule(f"r{n}", above("x", n)) for n in range(4)]
    packs = pack([*full, rule("late", above("y", 1))])
    assert [[each.name for each in some.rules] for some in packs] == [["r0", "r1", "r2", "late"], ["r3"]]


def test_nothing_is_one_empty_network() -> None:
    assert sizes() == [0]


def test_what_a_rule_takes() -> None:
    assert conditions_in(above("x", 1)) == 1
    assert conditions_in(is_("x", "p", "q", "r")) == 3
    assert conditions_in(is_("x")) == 1
    assert values_of(rule("a", is_("x", "q", "p"), above("y", 1))) == [("x", "p"), ("x", "q")]


def test_a_pack_knows_how_full_it_is() -> None:
    rng, one = Random(2), Pack()
    rules = [
        rule(f"r{n}", *(rng.choice([above(f, rng.randrange(3)), is_(f, *rng.sample("pqrs", 2))]) for f in "xyz"))
        for n in range(30)
    ]
    for each in rules:
        one.add(each)
    patterns = {pattern for each in rules for pattern in each.patterns}
    assert one.uses == Counter(pattern for each in rules for pattern in each.patterns)
    assert one.on_fact == {f: sum(conditions_in(each) for each in patterns if each.fact == f) for f in "xyz"}
    assert one.on_value == Counter(value for each in rules for value in values_of(each))
