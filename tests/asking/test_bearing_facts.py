"""How each fact bears on an answer, held to brute force: every value and every pair of them, run through the engine."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations, product

import pytest

from advisor.answer.ranking import Recommendation
from advisor.answer.variants import variants_of
from advisor.asking.bearing_facts import bearing_facts
from advisor.asking.scanning import Scan
from advisor.asking.turning import would_turn
from advisor.model.quantities import keep
from advisor.model.values import Value, choice, number
from advisor.physics.bounds import Interval
from tests.asking.test_turning import FLOORS, facts, floor, outcome
from tests.explained import demos, small_reasoner, the_reasoner
from tests.floors import limits_of
from tests.turning_trials import stated

SMALL = small_reasoner()
LIMITS = limits_of(SMALL.program)
ENOUGH = 9  # points between the ends of what is plausible, beside those about each limit


def some_values(name: str) -> list[Value]:
    """All choices of a fact; of a number those on and beside each limit of the rules, and some between the ends."""
    kind = SMALL.base.facts[name]
    if kind.type != "number":
        return [choice(each) for each in kind.choices]
    low, high = kind.plausible.low, kind.plausible.high
    points = {low + (high - low) * part / ENOUGH for part in range(ENOUGH + 1)}
    points |= {limit + move for limit in LIMITS.get(name, ()) for move in (-0.1, 0, 0.1)}
    return [number(Interval(keep(each), keep(each)), kind.unit) for each in sorted(points) if low <= each <= high]


def by_trying(given: Mapping[str, Value]) -> dict[str, str]:
    """By fact how it bears on the answer, from every value and every pair of values."""

    def answer(**more: Value) -> Recommendation:
        found, _ = outcome(SMALL, {**given, **more})
        return Recommendation.of(found.kind, found.leading)

    now = answer()
    names = [name for name, kind in SMALL.base.facts.items() if kind.ask and kind.of == "floor"]
    tried = {name: some_values(name) for name in names}
    idle = {name: [value for value in tried[name] if answer(**{name: value}) == now] for name in names}
    found = {name: "alone" for name in names if len(idle[name]) < len(tried[name])}
    for one, other in combinations(names, 2):
        if one in found and other in found and {found[one], found[other]} == {"alone"}:
            continue
        if any(answer(**{one: a, other: b}) != now for a, b in product(idle[one], idle[other])):
            both = "too" if one in given and other in given else "together"
            for name in (one, other):
                if found.get(name) != "alone":
                    found[name] = "together" if "together" in (both, found.get(name)) else both
    return found


@pytest.mark.parametrize("number", range(len(FLOORS)))
def test_on_a_small_rule_base_each_fact_bears_as_brute_force_says(number: int) -> None:
    given = facts(SMALL.base, **FLOORS[number])
    told = {
        each.fact: each.bears for each in bearing_facts(Scan(variants_of(SMALL), floor(given))) if each.bears != "not"
    }
    tried = by_trying(given)
    assert {name for name, bears in told.items() if bears == "alone"} == {n for n, b in tried.items() if b == "alone"}
    assert told.keys() == tried.keys()
    for name, bears in told.items():  # a fact with pairs of both kinds is told by the one that costs least
        assert bears == tried[name] or tried[name] == "together"


def test_pairs_on_the_rules_of_the_trade_turn_it_together_and_neither_alone() -> None:
    """Each pair told is stated to the engine, value by value as the words say, and each of it alone."""
    reasoner, told = the_reasoner(), demos()["untested_garage"]
    now = Recommendation.of(told.advice.answer.kind, told.advice.answer.leading)
    pairs = [each for each in told.facts() if each.bears in ("together", "too")]
    assert len(pairs) > 10
    for each in pairs[::3]:
        (other,) = each.others
        one, more = (some.values.split(" or ")[0] for some in (each, other))
        alone = [stated(reasoner, told, each.fact, one), stated(reasoner, told, other.fact, more)]
        assert alone == [now, now] or None in alone, each
        assert each.bears == "together" or (each.stated and other.fact in told.case.facts)


def test_turn_tells_the_edge_from_which_a_reading_turns_the_answer() -> None:
    told = demos()["untested_garage"]
    turns = would_turn(told.reasoner, told.case, most=1, today=told.today).turns
    said = {each.changes[0].fact: each.changes[0].to for each in turns}
    assert said["slab_humidity"] == "85.1 % or more"
    animals = [each.changes[0].to for each in turns if each.changes[0].fact == "animals"]
    assert (
        len(animals)
        == len(set(animals))
        == len({each.answer.leading for each in turns if "animals" in str(each.changes)})
    )
