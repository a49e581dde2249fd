"""Explanations are faithful: take a fact of a minimal set away, the conclusion goes; add an unrelated one, it stays."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from itertools import islice
from random import Random

import pytest

from advisor.answer.advising import answer_alone
from advisor.asking.explaining import Explained
from advisor.asking.least_facts import Facts, rests_on
from advisor.asking.missing import missing
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.model.knowledge import RuleBase
from advisor.model.program import bound
from advisor.model.values import Value
from explanations.graph import CONCLUSIONS, Graph, of_kind
from explanations.views import carrying, given_facts, proof
from tests.draws import draws
from tests.explained import demos, random_floors, small_reasoner, some, the_reasoner
from tests.floors import limits_of, random_case

FLOORS = draws(8)


def concluded(facts: Mapping[str, Value], reasoner: Reasoner | None = None) -> set[str]:
    """All conclusions that follow from these facts alone, by a run of the engine, as nodes of the graph."""
    prefix = {"finding": "fact", "rule_out": "out"}
    return {
        f"{prefix.get(each.kind, each.kind)}:{bound(each.name, each.finish)}"
        for rule in (reasoner or the_reasoner()).fired(facts)
        for each in rule.conclusions
    }


@cache
def drawn() -> list[tuple[Explained, str]]:
    """Conclusions of random floors, drawn alike from each kind."""
    rng, found = Random(4), []
    for told in random_floors(FLOORS):
        for kind in sorted(CONCLUSIONS):
            nodes = sorted(of_kind(told.graph, {kind}))
            found += [(told, node) for node in rng.sample(nodes, min(len(nodes), 1))]
    return found


def every(step: int) -> list[tuple[Explained, str]]:
    """Some of them, every so-manieth of each kind."""
    by_kind = ([one for one in drawn() if kinds([one]) == {kind}] for kind in sorted(CONCLUSIONS))
    return [one for some in by_kind for one in some[::step]]


def kinds(some: Iterable[tuple[Explained, str]]) -> set[str]:
    return {told.graph.nodes[node]["kind"] for told, node in some}


def test_take_a_fact_of_the_minimal_set_away_and_the_conclusion_no_longer_follows() -> None:
    reasoner, taken = the_reasoner(), 0
    assert kinds(drawn()) == CONCLUSIONS
    for told, node in drawn():
        least = rests_on(reasoner, told.case.facts, node, given_facts(proof(told.graph, node)))
        assert node in concluded(least)
        for name in least:
            fewer = {other: value for other, value in least.items() if other != name}
            assert node not in concluded(fewer), (told.case.floor, node, name)
            taken += 1
    assert taken > 20, "most conclusions rest on some given fact"


def test_the_proofs_given_facts_alone_give_the_conclusion() -> None:
    """Whatever else the floor states can be unsaid: the proof is a proof."""
    assert kinds(every(3)) == CONCLUSIONS
    for told, node in every(3):
        facts = {name: told.case.facts[name] for name in given_facts(proof(told.graph, node))}
        assert node in concluded(facts)


@pytest.mark.parametrize("seed", range(draws(15)))
def test_on_a_small_rule_base_every_conclusion_of_a_random_floor_is_carried_by_its_least_facts(seed: int) -> None:
    """All conclusions, all facts: each fact of the least set is needed, and no other fact can undo it."""
    reasoner, rng = small_reasoner(), Random(seed)
    given = random_case(reasoner.base, rng, bounds=limits_of(reasoner.program))
    told = Explained(reasoner, Case("A small random floor", "", given))
    for node in sorted(of_kind(told.graph, CONCLUSIONS)):
        least = rests_on(reasoner, given, node, given_facts(proof(told.graph, node)))
        assert node in concluded(least, reasoner)
        for name in least:
            fewer = {other: value for other, value in least.items() if other != name}
            assert node not in concluded(fewer, reasoner), (node, name)
        related = upstream(reasoner.base, node)
        other = random_case(reasoner.base, rng, known=1.0)
        for name in other.keys() - related:
            assert node in concluded({**least, name: other[name]}, reasoner), (node, name)


def test_the_small_floors_have_conclusions_of_every_kind_that_their_rules_have() -> None:
    reasoner, seen = small_reasoner(), set()
    for seed in range(draws(15)):
        given = random_case(reasoner.base, Random(seed), bounds=limits_of(reasoner.program))
        seen |= {each.kind for rule in reasoner.fired(given) for each in rule.conclusions}
    assert seen == {each.kind for rule in reasoner.program.rules for each in rule.conclusions}
    assert seen == {"finding", "first", "points", "rule_out"}, "cautions, calls and holds are drawn from the whole base"


def test_an_unrelated_fact_leaves_the_explanation_as_it_is() -> None:
    reasoner, rng, added = the_reasoner(), Random(8), 0
    some_drawn = every(4)
    assert kinds(some_drawn) == CONCLUSIONS
    for told, node in some_drawn:
        related = upstream(reasoner.base, node)
        other = random_case(reasoner.base, rng, known=1.0)
        more: Facts = {**told.case.facts, **{name: other[name] for name in other if name not in {*related, "country"}}}
        before = carrying(told.graph, [node])
        after = carrying(Explained(reasoner, Case(told.case.floor, "", more)).graph, [node])
        assert _itself(before) == _itself(after)
        assert set(before.edges) == set(after.edges)
        added += len(more) - len(told.case.facts)
    assert added > 200


def upstream(base: RuleBase, node: str) -> set[str]:
    """The facts that any rule concluding this could rest on, by the rules as written."""
    kind, _, about = node.partition(":")
    name = about.partition("@")[0]
    open_ = [fact for rule in base.rules.values() if concludes(base, rule.id, kind, name) for fact in rule.when]
    if kind == "points":  # the customer's weight multiplies them
        open_.append(base.criteria[name].importance)
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
    named = {
        "fact": then.finding,
        "first": then.first,
        "refer": then.refer,
        "hold": then.hold,
        "caution": then.caution,
        "points": tuple(then.points),
    }
    return then.rule_out if kind == "out" else name in named[kind]


def test_the_least_facts_of_an_answer_give_the_answer_and_none_can_be_spared() -> None:
    reasoner = the_reasoner()
    sparse = list(islice((told for told in random_floors(5 * FLOORS) if len(told.case.facts) < 60), 3))
    assert len(sparse) > 2
    for told in (*list(demos().values())[:2], *sparse):
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
    from advisor.asking.missing import short_of
    from advisor.model.conditions import compare
    from advisor.physics.bounds import Interval

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
    from advisor.asking.why import why_text

    told = next(iter(demos().values()))
    text = why_text(told, finish, asked, "paragraph", least=False)
    assert says in text
    assert asked in text


def _itself(graph: Graph[str]) -> dict[str, dict[str, object]]:
    """The nodes without what the whole answer has to do with them."""
    whole = {"told", "bears", "others", "over", "apart", "otherwise", "place", "leads"}
    whole |= {"leads_bears", "leads_points", "leads_over", "leads_others"}
    return {
        node: {key: each for key, each in data.items() if key not in whole} for node, data in graph.nodes(data=True)
    }
