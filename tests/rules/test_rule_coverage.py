"""Every rule is there because it changes an answer: each fires, and on some floor the advice would differ without it.

The floors are those of the scenarios, and where these do not suffice ones found by a search directed at the rule's
own conditions. The reasoning here is the plain fixpoint over `Pattern.holds`, which shares nothing with the engine.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from random import Random

import pytest

from advisor.facts.memory import working_memory
from advisor.model.conditions import Comparison
from advisor.model.contradictions import contradicted
from advisor.model.entry import UNKNOWN
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.program import GroundRule, Pattern, Program, unbound
from advisor.model.quantities import keep
from advisor.model.values import Value, choice, number
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval
from advisor.validation.loading import load_rulebase
from tests.floors import random_case
from tests.scenario_files import shelf

TRIES = 400  # floors directed at one rule before it is given up; most need one
FEWEST_RULES = 250

Facts = dict[str, Value]


@dataclass(frozen=True)
class Substance:
    """What of an answer a customer would notice: who is out, needs, points, hazards, holds and referrals."""

    out: frozenset[str]
    said: frozenset[tuple[str, str, str]]  # kind, name, finish
    points: tuple[tuple[str, str, int], ...]  # finish, criterion, sum


class Reading:
    """The program, evaluated plainly; a rule can be left out."""

    def __init__(self, program: Program) -> None:
        self.rules = program.rules
        self.concluding: dict[str, list[GroundRule]] = defaultdict(list)
        self.forms: dict[str, list[GroundRule]] = defaultdict(list)
        for rule in self.rules:
            self.forms[rule.rule].append(rule)
            for finding in rule.findings:
                self.concluding[finding].append(rule)

    def ready(self, memory: Mapping[str, Value]) -> list[GroundRule]:
        """Every ground rule of which nothing but findings can still be missing."""
        return [rule for rule in self.rules if _may_fire(rule, memory)]

    def fired(self, memory: Mapping[str, Value]) -> list[GroundRule]:
        """Every ground rule whose patterns hold, those on findings included."""
        return firing(self.ready(memory), memory)


def firing(ready: Iterable[GroundRule], memory: Mapping[str, Value], without: str = "") -> list[GroundRule]:
    """Of rules that wait for findings at most, those that fire; one rule may be left out."""
    waiting = [
        (rule, {pattern.fact for pattern in rule.patterns if pattern.fact not in memory})
        for rule in ready
        if rule.rule != without
    ]
    found: set[str] = set()
    fired: list[GroundRule] = []
    while True:
        now = [rule for rule, needs in waiting if needs <= found]
        if not now:
            return fired
        waiting = [(rule, needs) for rule, needs in waiting if not needs <= found]
        fired += now
        found.update(name for rule in now for name in rule.findings)


def _may_fire(rule: GroundRule, memory: Mapping[str, Value]) -> bool:
    return all(pattern.holds(memory[pattern.fact]) for pattern in rule.patterns if pattern.fact in memory)


def substance(fired: Iterable[GroundRule]) -> Substance:
    """Sum up firings: of a finish that is ruled out only that it is."""
    conclusions = {(rule.rule, each) for rule in fired for each in rule.conclusions}
    out = frozenset(each.finish for _, each in conclusions if each.kind == "rule_out")
    points: dict[tuple[str, str], int] = defaultdict(int)
    said = set()
    for _, each in conclusions:
        if each.finish in out or each.kind in ("finding", "rule_out"):
            continue
        if each.kind == "points":
            points[each.finish, each.name] += each.points
        else:
            said.add((each.kind, each.name, each.finish))
    return Substance(out, frozenset(said), tuple(sorted((*key, n) for key, n in points.items() if n)))


def decisive(reading: Reading, memory: Mapping[str, Value], candidates: Iterable[str]) -> set[str]:
    """The rules among the candidates without which the substance of the advice on this floor would differ."""
    ready = reading.ready(memory)
    fired = firing(ready, memory)
    whole = substance(fired)
    names = {rule.rule for rule in fired} & set(candidates)
    return {name for name in names if substance(firing(ready, memory, without=name)) != whole}


class Search:
    """Floors directed at a rule: its conditions met, and those of a rule for each finding that it builds on."""

    def __init__(self, base: RuleBase, reading: Reading, starts: list[Facts], rng: Random) -> None:
        self.base, self.reading, self.starts, self.rng = base, reading, starts, rng

    def floor(self, rule: str) -> Facts | None:
        """One attempt; nothing where it contradicts itself."""
        rng = self.rng
        start = rng.random()
        if start < 0.6:
            facts = dict(rng.choice(self.starts))
        elif start < 0.8:
            facts = {}
        else:
            facts = random_case(self.base, rng, known=0.4)
        self._meet(rng.choice(self.reading.forms[rule]), facts)
        return None if contradicted(self.base, facts) else facts

    def _meet(self, rule: GroundRule, facts: Facts) -> None:
        for pattern in rule.patterns:
            name = unbound(pattern.fact)[0]
            if name in self.base.findings:
                self._meet(self.rng.choice(self.reading.concluding[pattern.fact]), facts)
            elif self.base.facts[name].ask:
                self._set(facts, name, pattern)
            else:
                self._shake(facts, name)

    def _shake(self, facts: Facts, name: str) -> None:
        """Give what a computed fact follows from anew."""
        computed = self.base.facts[name].computed
        assert computed is not None
        for each in computed.inputs:
            if self.base.facts[each].ask and self.rng.random() < 0.7:
                facts[each] = _any_value(self.base.facts[each], self.rng)

    def _set(self, facts: Facts, name: str, pattern: Pattern) -> None:
        kind = self.base.facts[name]
        value = _meeting(kind, pattern, self.rng)
        if value is None:
            facts.pop(name, None)
        else:
            facts[name] = value


def _any_value(kind: FactKind, rng: Random) -> Value:
    if kind.type != "number":
        return choice(rng.choice(kind.choices))
    span = kind.plausible
    value = keep(span.low + (span.high - span.low) * rng.random() ** rng.choice([1, 3]))
    return number(Interval(value, value), kind.unit)


def _meeting(kind: FactKind, pattern: Pattern, rng: Random) -> Value | None:
    """A stated value that meets the pattern, or nothing where the fact is best left unknown."""
    if pattern.values is not None:
        value = rng.choice(sorted(pattern.values))
        return None if value == UNKNOWN else choice(value)
    if pattern.known is False:
        return None
    step = (kind.plausible.high - kind.plausible.low) / 1e4
    near = [c.bound + d for c in pattern.comparisons for d in (0.0, step, -step, 20 * step, -20 * step)]
    near += [kind.plausible.low, kind.plausible.high, rng.uniform(kind.plausible.low, kind.plausible.high)]
    inside = [keep(each) for each in near if kind.plausible.low <= each <= kind.plausible.high]
    for _ in range(20):
        low, high = sorted((rng.choice(inside), rng.choice(inside)))
        if rng.random() < 0.5 and not _needs_a_range(pattern.comparisons):
            high = low
        value = number(Interval(low, high), kind.unit)
        if pattern.holds(value):
            return value
    return None


def _needs_a_range(comparisons: Iterable[Comparison]) -> bool:
    """Whether it asks that the fact may lie on either side of something."""
    return {"low", "high"} == {each.end for each in comparisons}


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


@pytest.fixture(scope="module")
def reading(base: RuleBase) -> Reading:
    return Reading(ground(base))


@dataclass(frozen=True)
class Found:
    """By rule, a floor on which it fires, and one on which it is decisive."""

    fires: Mapping[str, Mapping[str, Value]]
    decides: Mapping[str, Mapping[str, Value]]


@pytest.fixture(scope="module")
def found(base: RuleBase, reading: Reading) -> Found:
    """First the floors of the scenarios, then a search for each rule that is left."""
    fires: dict[str, Mapping[str, Value]] = {}
    decides: dict[str, Mapping[str, Value]] = {}

    def take(facts: Mapping[str, Value]) -> None:
        memory = working_memory(base, facts)
        left = base.rules.keys() - decides.keys()
        for name in {rule.rule for rule in reading.fired(memory)} & left:
            fires.setdefault(name, facts)
        decides.update(dict.fromkeys(decisive(reading, memory, left), facts))

    starts = [dict(case.facts) for case in shelf().cases(base).values()]
    for facts in starts:
        take(facts)
    search = Search(base, reading, starts, Random(4))
    for rule in base.rules:
        for _ in range(TRIES):
            if rule in decides:
                break
            facts = search.floor(rule)
            if facts is not None:
                take(facts)
    return Found(fires, decides)


def test_the_rules_are_many(base: RuleBase) -> None:
    assert len(base.rules) >= FEWEST_RULES


def test_every_rule_fires_on_some_floor(base: RuleBase, found: Found) -> None:
    """A rule that can never fire is an error in its conditions."""
    assert base.rules.keys() - (found.fires.keys() | found.decides.keys()) == set()


def test_every_rule_is_decisive_on_some_floor(base: RuleBase, found: Found) -> None:
    """One that never is says only what other rules say already."""
    assert base.rules.keys() - found.decides.keys() == set()


def test_a_rule_that_another_makes_superfluous_is_found_out(base: RuleBase) -> None:
    """The check itself can fail: a narrower copy of a rule is never decisive."""
    original = base.rules["vapour.leak_first"]
    copy = original.model_copy(update={"id": "vapour.copied", "when": {**original.when, "freezes": ("yes",)}})
    twice = base.model_copy(update={"rules": {**base.rules, copy.id: copy}})
    reading = Reading(ground(twice))
    search = Search(twice, reading, [{}], Random(5))
    floors = [facts for _ in range(30) if (facts := search.floor(copy.id)) is not None]
    memories = [working_memory(twice, facts) for facts in floors]
    assert any(copy.id in {rule.rule for rule in reading.fired(memory)} for memory in memories)
    assert not any(decisive(reading, memory, [copy.id]) for memory in memories)


def test_conditions_are_few(base: RuleBase) -> None:
    assert max(len(rule.when) for rule in base.rules.values()) <= 7
