"""How ground rules are spread over the engine's networks so that each stays where the engine is right.

A topic has as many networks as it needs, filled in the order of its rules. The numbers were measured on
durable-rules 2.0.28; the table in DEVELOPERS.md says what happens beyond each.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from advisor.model.program import GroundRule, Pattern, Program

MOST_PATTERNS = 16  # in one rule: a seventeenth builds and then silently never fires
MOST_CONDITIONS_ON_A_FACT = 48  # in one network: about 64 that match at once abort the process
MOST_RULES_ON_A_CONDITION = 200  # in one network: 255 are refused
MOST_RULES_ON_A_VALUE = 60  # of a choice or finding, in one network: a value that 105 rules allow gave error 303
MOST_FACTS_IN_A_NETWORK = 200  # building never returns beyond 512 tests on one node
MOST_RULES_IN_A_NETWORK = 2000  # 4,096 are refused
MOST_NETWORKS_OF_A_TOPIC = 8  # not the engine's limit: each more makes every case slower


@dataclass
class Pack:
    """The rules of one network, and how full it is."""

    rules: list[GroundRule] = field(default_factory=list)
    uses: dict[Pattern, int] = field(default_factory=dict)
    on_fact: dict[str, int] = field(default_factory=dict)
    on_value: dict[tuple[str, str], int] = field(default_factory=dict)

    def takes(self, rule: GroundRule) -> bool:
        """Whether the rule still fits."""
        on_fact: dict[str, int] = {}
        for pattern in rule.patterns:
            before = on_fact.get(pattern.fact, self.on_fact.get(pattern.fact, 0))
            on_fact[pattern.fact] = before + (0 if pattern in self.uses else conditions_in(pattern))
        return (
            len(self.rules) < MOST_RULES_IN_A_NETWORK
            and len(self.on_fact.keys() | on_fact) <= MOST_FACTS_IN_A_NETWORK
            and all(each <= MOST_CONDITIONS_ON_A_FACT for each in on_fact.values())
            and all(self.on_value.get(each, 0) < MOST_RULES_ON_A_VALUE for each in values_of(rule))
            and all(self.uses.get(pattern, 0) < MOST_RULES_ON_A_CONDITION for pattern in rule.patterns)
        )

    def add(self, rule: GroundRule) -> None:
        """Take the rule in."""
        self.rules.append(rule)
        for pattern in rule.patterns:
            if pattern not in self.uses:
                self.on_fact[pattern.fact] = self.on_fact.get(pattern.fact, 0) + conditions_in(pattern)
            self.uses[pattern] = self.uses.get(pattern, 0) + 1
        for each in values_of(rule):
            self.on_value[each] = self.on_value.get(each, 0) + 1


def values_of(rule: GroundRule) -> list[tuple[str, str]]:
    """The values of choices and findings that the rule allows, each with its fact."""
    return [(pattern.fact, value) for pattern in rule.patterns for value in sorted(pattern.values or ())]


def conditions_in(pattern: Pattern) -> int:
    """How many conditions of the engine a pattern is: one for each allowed value of a choice, else one."""
    return max(1, len(pattern.values or ()))


def pack(rules: Iterable[GroundRule]) -> list[Pack]:
    """Spread the rules of one topic over networks: each rule goes into the first that takes it."""
    packs: list[Pack] = [Pack()]
    for rule in rules:
        chosen = next((each for each in packs if each.takes(rule)), None)
        if chosen is None:
            packs.append(chosen := Pack())
        chosen.add(rule)
    return packs


def spread_out(program: Program) -> Program:
    """The same program, with its rules spread over networks topic by topic."""
    if program.spread:
        return program
    places = {rule.name: place for place, rule in enumerate(program.rules)}
    packs = (each for rules in program.by_topic.values() for each in pack(rules))
    return replace(program, spread=tuple(tuple(places[rule.name] for rule in each.rules) for each in packs))
