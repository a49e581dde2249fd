"""The one-case reading against two readings that it shares nothing with: CLIPS, and the naive fixpoint."""

from __future__ import annotations

from random import Random

import pytest

from advisor.demo import demo_cases
from advisor.engines.reasoning import Reasoner
from advisor.engines.rete import OneCase
from advisor.facts.case import read_case
from advisor.facts.memory import working_memory
from advisor.model.conditions import Comparison
from advisor.model.program import GroundRule, Pattern, Program
from advisor.model.values import Value, choice, number
from advisor.physics.bounds import Interval
from advisor.validation.loading import load_rulebase
from tests.floors import limits_of, random_case
from tests.referees import Clips, fixpoint

RANDOM_FLOORS = 120  # tests/benchmarks/parity.py tries 100,000


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    return Reasoner(load_rulebase())


@pytest.fixture(scope="module")
def referee(reasoner: Reasoner) -> Clips:
    return Clips(reasoner.program)


@pytest.mark.parametrize("name", demo_cases())
def test_clips_fires_the_same_rules_on_the_demo_cases(name: str, reasoner: Reasoner, referee: Clips) -> None:
    memory = working_memory(reasoner.base, read_case(demo_cases()[name], reasoner.base).facts)
    ours = [rule.name for rule in OneCase(reasoner.program).infer(memory)]
    assert len(ours) == len(set(ours)) > 30
    assert set(ours) == referee.fired(memory) == fixpoint(reasoner.program, memory)


def test_clips_fires_the_same_rules_on_random_floors(reasoner: Reasoner, referee: Clips) -> None:
    rng, engine, limits = Random(1), OneCase(reasoner.program), limits_of(reasoner.program)
    seen: set[str] = set()
    for drawn in range(RANDOM_FLOORS):
        memory = working_memory(reasoner.base, random_case(reasoner.base, rng, bounds=limits))
        ours = {rule.name for rule in engine.infer(memory)}
        assert ours == referee.fired(memory), f"floor {drawn}"
        if drawn % 10 == 0:
            assert ours == fixpoint(reasoner.program, memory), f"floor {drawn}"
        seen |= ours
    # The floors exercise the rules: were most of them silent, agreement would say little.
    assert len(seen) > 0.9 * len(reasoner.program.rules)


def test_a_broken_reading_is_caught(reasoner: Reasoner, referee: Clips) -> None:
    """Every comparison made inclusive, as a careless translation would: some floor at a limit tells them apart."""
    inclusive = {">": ">=", "<": "<="}

    def blur(pattern: Pattern) -> Pattern:
        comparisons = tuple(
            Comparison(c.end, inclusive.get(c.op, c.op), c.bound)  # type: ignore[arg-type]
            for c in pattern.comparisons
        )
        return Pattern(pattern.fact, pattern.values, comparisons, pattern.known)

    rules = tuple(
        GroundRule(r.name, r.rule, r.topic, tuple(map(blur, r.patterns)), r.conclusions, r.finishes)
        for r in reasoner.program.rules
    )
    broken = Program(rules, {})
    rng, limits = Random(2), limits_of(reasoner.program)
    floors = [working_memory(reasoner.base, random_case(reasoner.base, rng, bounds=limits)) for _ in range(50)]
    assert any(fixpoint(broken, memory) != referee.fired(memory) for memory in floors)


def test_random_rule_bases_agree() -> None:
    """Programs of random shape: chains of findings, shared conditions, up to sixteen patterns."""
    rng = Random(3)
    for _ in range(30):
        assert disagreeing(rng, 10) == []


def disagreeing(rng: Random, floors: int) -> list[str]:
    """The rules of a program of random shape of which engine, CLIPS and the fixpoint do not say the same."""
    program, facts = _random_program(rng)
    engine, referee, apart = OneCase(program), Clips(program), set[str]()
    for _ in range(floors):
        memory = {name: _random_value(kind, rng) for name, kind in facts.items()}
        ours = {rule.name for rule in engine.infer(memory)}
        apart |= (ours ^ referee.fired(memory)) | (ours ^ fixpoint(program, memory))
    return sorted(apart)


def _random_program(rng: Random) -> tuple[Program, dict[str, str]]:
    facts = {f"f{i}": rng.choice(["number", "choice"]) for i in range(rng.randint(3, 25))}
    rules: list[GroundRule] = []
    from advisor.model.program import Conclusion

    for place in range(rng.randint(1, 60)):
        chosen = rng.sample(sorted(facts), rng.randint(1, min(16, len(facts))) if rng.random() < 0.2 else 1)
        patterns = [_random_pattern(name, facts[name], rng) for name in chosen]
        earlier = [name for rule in rules for name in rule.findings]
        if earlier and rng.random() < 0.5:
            patterns.append(Pattern(rng.choice(earlier), values=frozenset({"holds"})))
        conclusion = Conclusion("finding", f"d{rng.randint(place, place + 3)}x{place}")
        rules.append(GroundRule(f"t.r{place}", f"t.r{place}", f"t{place % 3}", tuple(patterns[:16]), (conclusion,)))
    topics = {topic: tuple(r for r in rules if r.topic == topic) for topic in {r.topic for r in rules}}
    return Program(tuple(rules), topics), facts


def _random_pattern(name: str, kind: str, rng: Random) -> Pattern:
    if kind == "choice":
        return Pattern(name, values=frozenset(rng.sample(["a", "b", "c", "unknown"], rng.randint(1, 3))))
    comparisons = tuple(
        Comparison(rng.choice(["low", "high"]), rng.choice([">", ">=", "<", "<="]), float(rng.randint(-3, 3)))
        for _ in range(rng.randint(0, 2))
    )
    return Pattern(name, comparisons=comparisons, known=rng.choice([None, None, True, False]))


def _random_value(kind: str, rng: Random) -> Value:
    if kind == "choice":
        return choice(rng.choice(["a", "b", "c", "unknown"]))
    low, high = sorted((float(rng.randint(-4, 4)), float(rng.randint(-4, 4))))
    value = number(Interval(low, high), "percent")
    return value if rng.random() < 0.8 else Value("unknown", False, "unknown", interval=value.interval)
