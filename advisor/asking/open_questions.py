"""What could still change something: unknown facts that stand in conditions which are otherwise met.

For the list that every advice ends with, in an order found quickly. What each question would settle exactly, and
whether anything is certain, takes a moment longer: that is `advisor.asking.outlook`, behind `next` and `interview`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from advisor.answer.ranking import Standing
from advisor.asking.outlook import quick_order
from advisor.facts.likelihoods import has_its_turn
from advisor.model.grounding import GroundRule, Pattern, Program, unbound
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value

# How much a conclusion can move the answer; only the order of the questions depends on it.
WEIGHT = {"refer": 4, "hold": 4, "rule_out": 4, "first": 2, "points": 1, "finding": 1, "caution": 1}


def ask_next(
    base: RuleBase,
    program: Program,
    memory: Mapping[str, Value],
    found: Iterable[str],
    standings: Iterable[Standing],
) -> dict[str, tuple[str, ...]]:
    """The unknown facts that could still change something, each with the rules that wait for it.

    First those that are expected to settle most for their effort, then the others by what waits for them.

    A rule waits for a fact if its other conditions are met (or wait for unknown facts too) and the fact, once
    known, could meet or fail what the rule asks of it. Rules about finishes already ruled out wait for nothing.

    Args:
        base: the rule base.
        program: its ground rules.
        memory: the working memory.
        found: the findings that hold.
        standings: of all finishes.
    """
    holding = set(found)
    out = {standing.finish for standing in standings if standing.verdict == "ruled out"}
    waiting: dict[str, dict[str, None]] = {}
    weight: Counter[str] = Counter()
    for rule in program.rules:
        if rule.finishes and out.issuperset(rule.finishes):
            continue
        for fact in _waits_for(base, rule, memory, holding):
            waiting.setdefault(fact, {})[rule.rule] = None
            weight[fact] += sum(WEIGHT[c.kind] * max(1, abs(c.points)) for c in rule.conclusions if c.finish not in out)
    worth, order = quick_order(base, program, memory), list(base.facts)
    ranked = [fact for fact in worth if fact in waiting and has_its_turn(base, fact, memory)]
    ranked += sorted(waiting.keys() - set(ranked), key=lambda fact: (-weight[fact], order.index(fact)))
    return {fact: tuple(waiting[fact]) for fact in ranked}


def _waits_for(base: RuleBase, rule: GroundRule, memory: Mapping[str, Value], holding: set[str]) -> set[str]:
    facts: set[str] = set()
    for pattern in rule.patterns:
        if pattern.fact not in memory:
            if pattern.fact not in holding:
                return set()
            continue
        value = memory[pattern.fact]
        open_facts = set(_unknown_beneath(base, pattern.fact, memory))
        if not value.known and open_facts and _undecided(pattern, value):
            facts |= open_facts
        elif not pattern.holds(value):
            return set()
    return facts


def _undecided(pattern: Pattern, value: Value) -> bool:
    """Whether knowing the fact could make the pattern hold where it fails now, or fail where it holds."""
    if pattern.values is not None:
        known = pattern.values - {"unknown"}
        return bool(known)
    if pattern.known is False:
        return True  # the rule fires only while nobody knows
    assert value.interval is not None
    interval = value.interval
    return all(
        interval.low < c.bound <= interval.high or interval.low <= c.bound < interval.high for c in pattern.comparisons
    )


def _unknown_beneath(base: RuleBase, name: str, memory: Mapping[str, Value]) -> Iterator[str]:
    """The unknown facts that a person can be asked for: the fact itself, or what it is computed from."""
    value = memory[name]
    if value.known:
        return
    kind = base.facts[unbound(name)[0]]
    if kind.ask:
        yield name
    for inner in value.inputs:
        yield from _unknown_beneath(base, inner, memory)
