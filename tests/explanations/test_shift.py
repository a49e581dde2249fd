"""What a new fact changes, on a few nodes: the rule that turns the answer is there, and nothing still stated falls."""

from __future__ import annotations

from random import Random
from typing import NamedTuple

import networkx as nx
import pytest

from advisor.answer.ranking import Recommendation
from advisor.asking.explaining import Explained
from advisor.asking.revision import turned_between
from advisor.asking.revision_words import turning_nodes
from advisor.errors import BadCase
from advisor.facts.case import say
from advisor.facts.statements import Statement
from advisor.model.program import unbound
from explanations.graph import ANSWER, Graph, of_kind
from explanations.shift import shift
from explanations.views import GIST
from tests.draws import draws
from tests.explained import demos, random_floors, the_reasoner
from tests.turning_trials import Without, between

SAID = {
    "slab_humidity": ["60 %", "90 %"],
    "wanted_look": ["solid_colour", "natural_stone"],
    "must_be_reversible": ["yes"],
    "active_leak": ["yes"],
    "importance_cost": ["high", "low"],
    "importance_look": ["low", "high"],
    "importance_durability": ["low", "high"],
    "budget": ["300 USD"],
    "who_works": ["crew"],
}


class Shifted(NamedTuple):
    """A floor before and after something was said of it, and what that changes."""

    told: Explained
    other: Explained
    small: Graph[str]
    fact: str


def known(told: Explained) -> list[str]:
    return [name for name, value in told.case.facts.items() if value.known]


def turning(told: Explained, other: Explained) -> list[str]:
    return turning_nodes(turned_between(*((each.base, each.case, each.advice) for each in (told, other))))


@pytest.fixture(scope="module")
def floors() -> list[Shifted]:
    found = []
    for told in [*demos().values(), *random_floors(draws(1))]:
        drawn = [(fact, Random(f"{told.case.floor}{fact}").choice(values)) for fact, values in SAID.items()]
        weighed = [(fact, value) for fact in SAID if fact.startswith("importance") for value in SAID[fact]]
        for fact, value in dict.fromkeys([*drawn, *weighed]):
            try:
                case = say(told.base, told.case, {fact: Statement(value)}, told.today)
            except BadCase:
                continue
            other = Explained(the_reasoner(), case, told.today)
            found.append(Shifted(told, other, shift(told.graph, other.graph, known(other), turning(told, other)), fact))
    return found


def test_it_is_small_and_says_what_was_said(floors: list[Shifted]) -> None:
    for told, other, small, fact in floors:
        assert ANSWER in small
        anew = [node for node in of_kind(small, {"given"}) if small.nodes[node]["change"] != "same"]
        was, now = told.case.facts.get(fact), other.case.facts.get(fact)
        if now is not None and now.known and (was is None or was.shown != now.shown):
            assert f"fact:{fact}" in anew
        assert len(small) <= GIST


def test_a_fact_still_stated_never_falls(floors: list[Shifted]) -> None:
    for _, other, small, _ in floors:
        fallen = {node.removeprefix("fact:") for node in of_kind(small, {"given"})
                  if small.nodes[node]["change"] == "removed"}  # fmt: skip
        assert not fallen & {name for name, value in other.case.facts.items() if value.known}


def test_what_turns_the_answer_is_in_it(floors: list[Shifted]) -> None:
    """Where another finish leads or another kind of answer is given, a reason that only one of the two has is drawn."""
    turned = 0
    for told, other, small, _ in floors:
        was, now = told.advice.answer, other.advice.answer
        if (was.kind, was.leading) == (now.kind, now.leading):
            continue
        turned += 1
        moved = [node for node in of_kind(small, {"rule", "refer", "hold"}) if small.nodes[node]["change"] != "same"]
        weighed = [node for node in of_kind(small, {"given"}) if unbound(node)[0].startswith("fact:importance_")]
        assert moved or weighed, (told.case.floor, was.sentence, now.sentence)
    assert turned > 10


def test_the_rule_that_turns_it_is_always_in_it_and_turning_was_tried(floors: list[Shifted]) -> None:
    """Of rules that fire for one of the two only, by a naive fixpoint: without one of those shown it is another."""
    turned = 0
    for told, other, small, _ in floors:
        answers = [Recommendation.of(each.advice.answer.kind, each.advice.answer.leading) for each in (told, other)]
        fired = [{(f.rule, f.finish) for f in each.advice.trace.firings} for each in (told, other)]
        for one, now, mine, theirs in ((other, answers[1], *fired[::-1]), (told, answers[0], *fired)):
            floor = Without(one)
            only = {rule for rule, _ in mine - theirs}
            alone = {rule for rule in only if floor.answer({rule}) != now}
            if alone and answers[0] != answers[1]:
                turned += 1
                assert alone & {small.nodes[node]["rule"] for node in of_kind(small, {"rule"})}, told.case.floor
    assert turned > 5


def test_a_fact_still_stated_that_no_rule_uses_any_more_is_no_fact_removed() -> None:
    before: Graph[str] = nx.DiGraph()
    before.add_node(ANSWER, kind="answer", label="one", text="one", topic="", finish="")
    before.add_node("standing:a", kind="standing", label="a", text="a", topic="", finish="a", rank=1, total=0)
    before.add_edge("standing:a", ANSWER)
    after = before.copy()
    before.add_node("fact:shine", kind="given", label="shine: matt", text="shine: matt", topic="", finish="")
    before.add_node("rule:r", kind="rule", rule="r", label="r", text="r", topic="t", finish="")
    before.add_node("hold:h", kind="hold", label="h", text="h", topic="t", finish="", name="h")
    before.add_edges_from([("fact:shine", "rule:r"), ("rule:r", "hold:h"), ("hold:h", ANSWER)])
    kept, withdrawn = shift(before, after, ["shine"]), shift(before, after)
    assert kept.nodes["fact:shine"]["change"] == "same"
    assert kept.nodes["rule:r"]["change"] == withdrawn.nodes["fact:shine"]["change"] == "removed"


def test_what_is_named_as_turning_was_needed_or_enough_and_nothing_needed_is_missed(floors: list[Shifted]) -> None:
    """Each change by each rule of each finish is taken back by hand, and each importance."""
    needed = weighed = 0
    for told, other, _, _ in floors:
        found = turned_between(*((each.base, each.case, each.advice) for each in (told, other)))
        floor = between(told, other)
        was, now = floor.answer(floor.changes), floor.answer(())
        assert was == Recommendation.of(told.advice.answer.kind, told.advice.answer.leading)
        assert now == Recommendation.of(other.advice.answer.kind, other.advice.answer.leading)
        keys = {(each.firing.rule, each.firing.finish) if each.firing else ("", each.criterion): each for each in found}
        if was == now:
            assert not found
            continue
        assert found
        taken_back = {each for each in floor.changes if floor.answer({each}) != now}
        assert taken_back == {key for key, each in keys.items() if each.turns == "needed"}
        for key, each in keys.items():
            if each.turns == "enough":
                assert floor.answer(floor.changes - {key}) != was
        together = {key for key, each in keys.items() if each.turns == "together"}
        if together:
            assert floor.answer(together) != now
            assert all(floor.answer(together - {key}) == now for key in together)
        needed += bool(taken_back)
        weighed += any(not key[0] for key in keys)
    assert needed > 5
    assert weighed


def test_what_moves_both_finishes_alike_is_not_drawn_and_arrows_say_what_points_were(floors: list[Shifted]) -> None:
    arrows = 0
    for _, _, small, _ in floors:
        ends: dict[str, dict[str, tuple[int, int]]] = {}
        for rule, end, data in small.edges(data=True):
            if small.nodes[rule]["kind"] == "rule" and "was" in data:
                ends.setdefault(small.nodes[rule]["rule"], {})[end] = (data["points"], data["was"])
                arrows += 1
                assert data["points"] != data["was"]
        for by_end in ends.values():
            assert len(by_end) < 2 or len({now - was for now, was in by_end.values()}) > 1
    assert arrows
