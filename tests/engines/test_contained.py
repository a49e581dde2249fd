"""The engine costs memory once a rule base, and an abort of it costs one case."""

from __future__ import annotations

import gc
import os
from pathlib import Path

import durable_rules_engine as engine
import pytest

from advisor.demo import demo_cases
from advisor.engines.contained import Contained
from advisor.engines.reasoning import Reasoner
from advisor.engines.rete import EngineFault
from advisor.facts.case import read_case
from advisor.model.knowledge import RuleBase
from advisor.validation.loading import load_rulebase, read_rulebase

PAGE = os.sysconf("SC_PAGE_SIZE")
SMALL = Path(__file__).parents[1] / "small_rules"


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


def resident() -> float:
    """Memory of this process [MB]."""
    gc.collect()
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1]) * PAGE / 1e6


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is read from /proc")
def test_twenty_reasoners_of_one_base_hold_the_memory_of_one(base: RuleBase) -> None:
    """They held 213 MB: the engine frees no network."""
    facts = read_case(demo_cases()["untested_garage"], base).facts
    first = {rule.name for rule in Reasoner(base).fired(facts)}
    Reasoner(base).fired(facts)
    before = resident()
    for _ in range(20):
        assert {rule.name for rule in Reasoner(base).fired(facts)} == first
    assert resident() - before < 15.0


def test_a_shops_rules_cost_only_the_networks_that_they_change(monkeypatch: pytest.MonkeyPatch) -> None:
    small = read_rulebase(SMALL)
    Reasoner(small)
    made: list[str] = []
    create = engine.create_ruleset

    def counted(name: str, definition: str) -> object:
        made.append(name)
        return create(name, definition)

    monkeypatch.setattr(engine, "create_ruleset", counted)
    Reasoner(read_rulebase(SMALL))
    assert made == []
    rule = small.rules["age.young"].model_copy(update={"when": {"age": ("at most limit.young",)}})
    changed = small.model_copy(update={"rules": {**small.rules, "age.young": rule}})
    Reasoner(changed)
    assert [name.split("-")[0] for name in made] == ["age"]


def test_a_case_in_another_process_is_the_same_case(base: RuleBase) -> None:
    facts = read_case(demo_cases()["untested_garage"], base).facts
    with Contained(base) as contained:
        assert contained.reason(facts) == Reasoner(base).reason(facts)


def test_an_abort_of_the_engine_costs_one_case_and_not_the_server() -> None:
    with Contained(read_rulebase(SMALL)) as contained:
        first = contained.run(os.getpid)
        assert first not in (os.getpid(), None)
        with pytest.raises(EngineFault, match="process died"):
            contained.run(os.abort)
        assert contained.reason({})[1].facts is not None
        assert contained.run(os.getpid) != first


def test_a_process_is_replaced_after_so_many_cases() -> None:
    with Contained(read_rulebase(SMALL), cases=2) as contained:
        assert len({contained.run(os.getpid) for _ in range(6)}) == 3
