"""Explanations are faithful: take a fact of a minimal set away, the conclusion goes; add an unrelated one, it stays."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from random import Random

import pytest

from advisor.answer.advising import answer_alone
from advisor.facts.case import Case
from advisor.facts.values import Value
from advisor.inference.grounding import bound
from advisor.questions.explaining import Explained
from advisor.questions.missing import missing
from advisor.questions.resting import Facts, rests_on
from advisor.rulebase.knowledge import RuleBase
from explanations.graph import of_kind
from explanations.views import carrying, given_facts, proof
from tests.explained import demos, random_floors, some, the_reasoner
from tests.floors import random_case

KINDS = {"rule_out", "first", "refer", "hold", "found"}
FLOORS = 24


def concluded(facts: Mapping[str, Value]) -> set[str]:
    """All conclusions that follow from these facts alone, by a run of the engine, as nodes of the graph."""
    prefix = {"finding": "fact", "rule_out": "out"}
    return {
        f"{prefix.get(each.kind, each.kind)}:{bound(each.name, each.finish)}"
        for rule in the_reasoner().fired(facts)
        for each in rule.conclusions
    }


@cache
def drawn() -> list[tuple[Explained, str]]:
    """Conclusions of random floors, drawn alike from each kind."""
    rng, found = Random(4), []
    for told in random_floors(FLOORS):
        for kind in sorted(KINDS):
            nodes = sorted(of_kind(told.graph, {kind}))
            found += [(told, node) for node in rng.sample(nodes, min(len(nodes), 1))]
    return found


def test_take_a_fact_of_the_minimal_set_away_and_the_conclusion_no_longer_follows() -> None:
    reasoner, taken = the_reasoner(), 0
    for told, node in drawn():
        least = rests_on(reasoner, told.case.facts, node, given_facts(proof(told.graph, node)))
        assert node in concluded(least)
        for name in least:
            fewer = {other: value for other, value in least.items() if other != name}
            assert node not in concluded(fewer), (told.case.floor, node, name)
            taken += 1
    assert taken > 60, "most conclusions rest on some given fact"


def test_the_proofs_given_facts_alone_give_the_conclusion() -> None:
    """Whatever else the floor states can be unsaid: the proof is a proof."""
    for told, node in drawn()[::3]:
        facts = {name: told.case.facts[name] for name in given_facts(proof(told.graph, node))}
        assert node in concluded(facts)


def test_an_unrelated_fact_leaves_the_explanation_as_it_is() -> None:
    reasoner, rng, added = the_reasoner(), Random(8), 0
    for told, node in drawn()[::6]:
        related = upstream(reasoner.base, node)
        other = random_case(reasoner.base, rng, known=1.0)
        more: Facts = {**told.case.facts, **{name: other[name] for name in other if name not in related}}
        before = carrying(told.graph, [node])
        after = carrying(Explained(reasoner, Case(told.case.floor, "", more)).graph, [node])
        assert dict(before.nodes(data=True)) == dict(after.nodes(data=True))
        assert set(before.edges) == set(after.edges)
        added += len(more) - len(told.case.facts)
    assert added > 200


def upstream(base: RuleBase, node: str) -> set[str]:
    """The facts that any rule concluding this could rest on, by the rules as written."""
    kind, _, about = node.partition(":")
    name = about.partition("@")[0]
    open_ = [fact for rule in base.rules.values() if concludes(base, rule.id, kind, name) for fact in rule.when]
    seen: set[str] = set()
    while open_:
        fact = open_.pop()
        if fact in seen:
            continue
        seen.add(fact)
        if fact in base.findings:
            open_ += [each for rule in base.rules.values() if fact in rule.then.finding for each in rule.when]
        elif computed := base.facts[fact].computed:
            open_ += computed.inputs
    return seen


def concludes(base: RuleBase, rule: str, kind: str, name: str) -> bool:
    then = base.rules[rule].then
    named = {"fact": then.finding, "first": then.first, "refer": then.refer, "hold": then.hold}
    return then.rule_out if kind == "out" else name in named[kind]


def test_the_least_facts_of_an_answer_give_the_answer_and_none_can_be_spared() -> None:
    reasoner = the_reasoner()
    for told in list(demos().values())[:2]:
        least = told.answer_rests_on()
        now = answer_alone(reasoner, told.case.facts)[0]
        same = answer_alone(reasoner, least)[0]
        assert (same.kind, same.leading) == (now.kind, now.leading)
        assert len(least) < len(told.case.facts)
        for name in least:
            other = answer_alone(reasoner, {each: value for each, value in least.items() if each != name})[0]
            assert (other.kind, other.leading) != (now.kind, now.leading), name


def test_a_rule_lacks_nothing_exactly_where_it_fired() -> None:
    """Why a rule did not fire is read from the rule as written; that must agree with the engine, rule by rule."""
    reasoner = the_reasoner()
    base = reasoner.base
    finishes = list(base.finishes.values())
    for at, told in enumerate(some()[:12]):
        memory, trace = reasoner.reason(told.case.facts)
        found = frozenset(fact.name for fact in trace.facts if fact.origin == "found")
        fired = {(firing.rule, firing.finish) for firing in trace.firings}
        for rule in base.rules.values():
            finish = finishes[(at + len(rule.id)) % len(finishes)] if rule.judges is not None else None
            lacks = missing(base, rule, finish, memory, found)
            assert lacks.fired == ((rule.id, finish.id if finish else "") in fired), rule.id


@pytest.mark.parametrize(
    ("order", "may", "low", "high", "says"),
    [
        ("above", False, 70.0, 70.0, "5 % too low"),
        ("at least", False, 70.0, 72.0, "3 % too low"),
        ("at least", False, 70.0, 80.0, "up to 5 % too low"),
        ("below", False, 80.0, 90.0, "5 % too high"),
        ("below", False, 70.0, 90.0, "up to 15 % too high"),
        ("above", True, 60.0, 72.0, "3 % too low"),
        ("above", False, 75.0, 75.0, "exactly at the limit"),
    ],
)
def test_by_how_much_a_number_fails(order: str, may: bool, low: float, high: float, says: str) -> None:
    """By hand, against a limit of 75 %."""
    from advisor.inference.conditions import compare
    from advisor.physics.bounds import Interval
    from advisor.questions.missing import short_of

    comparison = compare(order, may, Interval(75.0, 75.0))  # type: ignore[arg-type]
    assert not comparison.holds(Interval(low, high))
    assert short_of(comparison, Interval(low, high), "percent") == says


@pytest.mark.parametrize(
    ("asked", "finish", "says"),
    [
        ("use.too_weak_for_cars", None, "it does not judge"),
        ("new_slab.old_by_age", None, "fired"),
    ],
)
def test_a_rule_asked_about_by_name_says_whom_it_does_not_judge(asked: str, finish: str | None, says: str) -> None:
    from advisor.questions.why import why_text

    told = next(iter(demos().values()))
    text = why_text(told, finish, asked, "paragraph", least=False)
    assert says in text
    assert asked in text
