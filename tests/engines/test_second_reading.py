"""The engine against a reading of the rules from the YAML on: a referee of the meaning, not just of the matching."""

from __future__ import annotations

from random import Random

import pytest

from advisor.engines.reasoning import Reasoner
from advisor.engines.rete import OneCase
from advisor.facts.memory import working_memory
from advisor.validation.loading import load_rulebase, rules_folder
from tests.floors import limits_of, random_case
from tests.second_reading import Fired, SecondReading

RANDOM_FLOORS = 100  # tests/benchmarks/parity.py tries more


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    return Reasoner(load_rulebase())


def test_the_same_rules_fire_for_the_same_finishes(reasoner: Reasoner) -> None:
    reading, engine, rng = SecondReading(rules_folder()), OneCase(reasoner.program), Random(21)
    limits, seen = limits_of(reasoner.program), set[Fired]()
    for drawn in range(RANDOM_FLOORS):
        memory = working_memory(reasoner.base, random_case(reasoner.base, rng, bounds=limits))
        ours = {(rule.rule, finish) for rule in engine.infer(memory) for finish in rule.finishes or ("",)}
        theirs = reading.fired(memory)
        assert ours == theirs, f"floor {drawn}: {sorted(ours ^ theirs)[:5]}"
        seen |= ours
    # Were most of the rules silent, agreement would say little.
    assert len({rule for rule, _ in seen}) > 0.9 * len(reading.rules)
    assert {rule["id"] for rule in reading.rules} == set(reasoner.base.rules)
