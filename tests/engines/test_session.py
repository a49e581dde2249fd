"""A case told little by little: what fires in all is what fires at once, and only what is new fires."""

from __future__ import annotations

from random import Random

import pytest

from advisor.engines.rete import EngineFault, OneCase, Session
from advisor.facts.memory import working_memory
from advisor.model.program import Program
from tests.answer.test_judging import BASE, REASONER
from tests.floors import limits_of, random_case

PROGRAM: Program = REASONER.program
ENGINE = OneCase(PROGRAM)


@pytest.mark.parametrize("seed", range(12))
def test_told_fact_by_fact_in_any_order_the_same_rules_fire_each_once(seed: int) -> None:
    rng = Random(seed)
    memory = working_memory(BASE, random_case(BASE, rng, bounds=limits_of(PROGRAM)))
    names = list(memory)
    rng.shuffle(names)
    fired = []
    with Session(ENGINE) as session:
        while names:
            part = [names.pop() for _ in range(min(len(names), rng.randint(1, 9)))]
            fired += session.tell({name: memory[name] for name in part})
    assert len(fired) == len(set(fired))
    assert set(fired) == set(ENGINE.infer(memory))


def test_only_what_is_new_fires() -> None:
    memory = working_memory(BASE, random_case(BASE, Random(5), known=1.0))
    with Session(ENGINE) as session:
        first = session.tell(memory)
        assert first
        assert session.tell({}) == []


def test_a_fact_told_twice_is_refused_whatever_its_value() -> None:
    memory = working_memory(BASE, {})
    with Session(ENGINE) as session:
        session.tell({"pets": memory["pets"]})
        with pytest.raises(EngineFault, match="pets"):
            session.tell({"pets": memory["pets"]})


def test_sessions_side_by_side_do_not_mix() -> None:
    rng = Random(8)
    one, other = (working_memory(BASE, random_case(BASE, rng, known=0.9)) for _ in range(2))
    with Session(ENGINE) as first, Session(ENGINE) as second:
        fired: list[set[str]] = [set(), set()]
        for name in one:
            fired[0] |= {rule.name for rule in first.tell({name: one[name]})}
            fired[1] |= {rule.name for rule in second.tell({name: other[name]})}
    assert fired == [{rule.name for rule in ENGINE.infer(memory)} for memory in (one, other)]
