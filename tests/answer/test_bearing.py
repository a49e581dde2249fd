"""What an answer hangs on, held to brute force: rules taken out of a naive fixpoint, facts stated to the engine."""

from __future__ import annotations

from random import Random

import pytest

from advisor.answer.bearing import importance_alone
from advisor.answer.judging import judge_of
from advisor.asking.explaining import Explained
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.model.values import choice
from explanations.views import GIST, TURNING, gist
from tests.draws import draws
from tests.explained import demos, random_floors, the_reasoner
from tests.scenario_files import shelf
from tests.turning_trials import idle, missed_facts, separates, stated, told_alone, untrue

REASONER = the_reasoner()
BASE = REASONER.base


def floors() -> list[Explained]:
    """The demo cases, some scenario floors, and random ones."""
    cases = list(shelf().cases(BASE).values())
    chosen = Random(17).sample(cases, 3)
    return [*demos().values(), *(Explained(REASONER, case) for case in chosen), *random_floors(draws(3))]


@pytest.fixture(scope="module")
def some() -> list[Explained]:
    return floors()


def test_every_rule_told_turns_the_answer_as_told_and_none_that_does_so_alone_is_missing(
    some: list[Explained],
) -> None:
    assert [what for told in some for what in untrue(told)] == []
    assert sum(len(told.advice.bearing) for told in some) > len(some)


def test_no_reason_stands_in_a_gist_but_what_turns_it_or_speaks_against(some: list[Explained]) -> None:
    for told in some:
        assert idle(told) == []
        assert told_alone(told)
        assert len(gist(told.graph)) <= GIST


def test_the_first_reason_sets_the_first_finish_apart_from_the_next(some: list[Explained]) -> None:
    found = [told for each in some if (told := separates(each)) is not None]
    assert len(found) > 2
    assert all(found)


def test_no_single_fact_that_turns_the_answer_is_missing(some: list[Explained]) -> None:
    rng = Random(5)
    for told in some[1 : 1 + draws(1)]:
        assert list(missed_facts(told, rng, 1)) == []


def test_a_fact_told_turns_it_and_the_why_names_it() -> None:
    told = demos()["untested_garage"]
    fact = next(each for each in told.advice.turns_alone if each.fact == "slab_humidity")
    assert fact.values.startswith("85.1 %")
    assert not fact.stated
    within, beyond = (stated(REASONER, told, "slab_humidity", each) for each in ("85 %", "85.2 %"))
    assert within is not None
    assert beyond is not None
    assert (within.finish, beyond.finish) == ("epoxy_flake", "polished_natural")
    assert "in-situ humidity of the slab" in gist(told.graph).nodes[TURNING]["text"] + str(told.graph.nodes["answer"])


def test_an_importance_that_alone_turns_the_answer_is_found() -> None:
    """On a floor where two finishes lie close, what the customer calls important decides; said so by the engine."""
    judge, found, cases = judge_of(REASONER), 0, shelf().cases(BASE)
    ranked = [each.name for each in shelf().scenarios if each.answer in ("finish", "test first")]
    for name in Random(3).sample(ranked, draws(5)):
        facts = {**cases[name].facts, "importance_cost": choice("high")}
        memory = working_memory(BASE, facts)
        alone = importance_alone(judge, memory, ["cost"])
        high, usual = (
            Explained(REASONER, Case("a floor", "", {**facts, "importance_cost": choice(each)})).advice
            for each in ("high", "normal")
        )
        answers = [(each.answer.kind, each.answer.finish or each.answer.leading) for each in (high, usual)]
        named = {each.criterion for each in high.weighed if each.alone}
        if {"finish", "test first"} & {high.answer.kind, usual.answer.kind}:
            assert ("cost" in alone) == (answers[0] != answers[1])
            found += 1
        assert ("cost" in named) == ("cost" in alone)
    assert found
