"""What could still change something: unknown facts that stand in conditions which are otherwise met.

For the list that every advice ends with, in an order found quickly. What each question would settle exactly, and
whether anything is certain, takes a moment longer: that is `advisor.asking.outlook`, behind `next` and `interview`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Literal

from advisor.answer.judging import Judge
from advisor.answer.ranking import Standing
from advisor.asking.outlook import quick_order
from advisor.facts.complaints import beside_the_point
from advisor.facts.likelihoods import has_its_turn
from advisor.model.conditions import Comparison
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.program import Conclusion, GroundRule, Pattern, unbound
from advisor.model.values import Value

# How much a conclusion can move the answer; only the order of the questions depends on it.
_WEIGHT = {"refer": 4, "hold": 4, "rule_out": 4, "first": 2, "points": 1, "finding": 1, "caution": 1}


Order = Literal[">", ">=", "<", "<="]
_BETWEEN: tuple[tuple[Order, Order], ...] = (("<", ">="), ("<=", ">"))  # a bound between a number's low and high end


def weight_of(conclusion: Conclusion) -> int:
    """How much knowing whether it follows can move the answer."""
    return _WEIGHT[conclusion.kind] * max(1, abs(conclusion.points))


def ask_next(
    judge: Judge,
    memory: Mapping[str, Value],
    found: Iterable[str],
    standings: Iterable[Standing],
) -> dict[str, tuple[str, ...]]:
    """The unknown facts that could still change something, each with the rules that wait for it.

    First those that are expected to settle most for their effort, then the others by what waits for them.

    Args:
        judge: for the rule base.
        memory: the working memory.
        found: the findings that hold.
        standings: of all finishes.
    """
    out = {standing.finish for standing in standings if standing.verdict == "ruled out"}
    waiting, weight = waited_for(judge, memory, set(found), out)
    waiting = {fact: some for fact, some in waiting.items() if not beside_the_point(judge.base, fact, memory)}
    worth, order = quick_order(judge, memory), list(judge.base.facts)
    ranked = [fact for fact in worth if fact in waiting and has_its_turn(judge.base, fact, memory)]
    ranked += sorted(waiting.keys() - set(ranked), key=lambda fact: (-weight[fact], order.index(fact)))
    return {fact: tuple(waiting[fact]) for fact in ranked}


def waited_for(
    judge: Judge, memory: Mapping[str, Value], holding: set[str], out: set[str]
) -> tuple[dict[str, dict[str, None]], Counter[str]]:
    """By unknown fact the rules that wait for it, and how much they can move the answer.

    A rule waits for a fact if its other conditions are met (or wait for unknown facts too) and the fact, once
    known, could meet or fail what the rule asks of it. Rules about finishes already ruled out wait for nothing.

    Args:
        judge: for the rule base.
        memory: the working memory.
        holding: the findings that hold.
        out: the finishes that are ruled out.
    """
    waiting: dict[str, dict[str, None]] = {}
    weight: Counter[str] = Counter()
    for rule in judge.rules:
        if rule.finishes and out.issuperset(rule.finishes):
            continue
        for fact in _waits_for(judge.base, rule, memory, holding):
            waiting.setdefault(fact, {})[rule.rule] = None
            weight[fact] += sum(weight_of(each) for each in rule.conclusions if each.finish not in out)
    return waiting, weight


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


def undecided(pattern: Pattern) -> tuple[tuple[Pattern, ...], ...]:
    """What holds of an unknown fact if knowing it can make the pattern hold where it fails now, or fail where it holds.

    One of each of these: of a number, that each bound lies between its ends.

    >>> [len(either) for either in undecided(Pattern("slab_age", comparisons=(Comparison("low", ">", 28.0),)))]
    [2]
    """
    if pattern.values is not None and not pattern.values - {UNKNOWN}:
        return ((),)  # it asks only whether the fact is unknown in the end
    return tuple(
        tuple(
            Pattern(pattern.fact, comparisons=(Comparison("low", below, c.bound), Comparison("high", above, c.bound)))
            for below, above in _BETWEEN
        )
        for c in pattern.comparisons
        if pattern.known is not False
    )


def _undecided(pattern: Pattern, value: Value) -> bool:
    return all(any(each.holds(value) for each in either) for either in undecided(pattern))


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
