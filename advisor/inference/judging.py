"""Many possible floors judged at once, without the engine: every floor is one bit of a whole number.

The search for the next question and the proof that an answer holds try thousands of floors that differ in a few
facts. Here a fact is its possible values, each with the set of floors that have it; a pattern is the set of floors
that meet it, a rule the intersection of its patterns, and points are added in columns of bits. What a pattern means
is still `Pattern.holds`, and tests hold the outcome against the engine's.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from graphlib import TopologicalSorter
from typing import NamedTuple

from advisor.answer.advice import AnswerKind
from advisor.facts.computed import compute
from advisor.facts.values import Value
from advisor.inference.bit_columns import Bits, add, constant, greater
from advisor.inference.grounding import GroundRule, Pattern, Program, unbound
from advisor.physics.bounds import Interval
from advisor.rulebase.knowledge import RuleBase

Places = tuple[int, ...]  # of the values that a computed fact is worked out from
Spread = list[tuple[Value, Bits]]  # a fact's values, each with the floors that have it; together all floors


class Recommendation(NamedTuple):
    """What an answer comes down to: its kind, and the finish that it recommends or waits for."""

    kind: AnswerKind
    finish: str = ""


@dataclass
class Floors:
    """A set of possible floors, one a bit: for each fact its values and which floors have them.

    A computed fact that is not among the facts is worked out from them where a rule asks for it.
    """

    size: int
    facts: dict[str, Spread]
    impossible: Bits = 0  # floors that contradict themselves, and count for nothing

    @property
    def all(self) -> Bits:
        """Every floor."""
        return (1 << self.size) - 1

    @property
    def real(self) -> Bits:
        """The floors that count."""
        return self.all & ~self.impossible

    def one(self, place: int) -> dict[str, Value]:
        """The facts of one floor, by its place."""
        return {
            name: next(value for value, have in spread if have >> place & 1) for name, spread in self.facts.items()
        }


@dataclass
class Effects:
    """What the rules add to one finish, as sets of floors."""

    out: Bits = 0
    waits: Bits = 0
    needs: dict[str, Bits] = field(default_factory=dict)
    points: list[tuple[int, Bits]] = field(default_factory=list)


class Judge:
    """A program made ready to judge many floors: its rules in an order in which findings come before their use."""

    def __init__(self, base: RuleBase, program: Program) -> None:
        self.base = base
        self.rules = _in_order(program)
        self.patterns: dict[str, list[Pattern]] = {}
        for pattern in dict.fromkeys(pattern for rule in program.rules for pattern in rule.patterns):
            self.patterns.setdefault(pattern.fact, []).append(pattern)
        self.limits = {
            fact: sorted({comparison.bound for pattern in patterns for comparison in pattern.comparisons})
            for fact, patterns in self.patterns.items()
        }
        self.contradictable = {name for each in base.contradictions.values() for name in each.when}
        self.asked_for = self._asked_for()
        self._cheapest_first = {
            rule.name: sorted(rule.patterns, key=lambda pattern: self._is_worked_out(pattern.fact))
            for rule in program.rules
        }
        self._places: dict[tuple[Interval | None, str, bool], int] = {}
        self._values: list[Value] = []
        self._holds: dict[Pattern, dict[Places, bool]] = {}

    def _asked_for(self) -> list[str]:
        """The facts of the floor that a rule asks for, or that one is computed from."""
        used = {unbound(fact)[0] for fact in self.patterns}
        for name in reversed(self.base.facts):
            if name in used and (computed := self.base.facts[name].computed):
                used |= set(computed.inputs)
        return [name for name, kind in self.base.facts.items() if name in used and kind.of == "floor"]

    def _is_worked_out(self, fact: str) -> bool:
        kind = self.base.facts.get(unbound(fact)[0])
        return kind is not None and kind.computed is not None

    def is_computed(self, memory: Mapping[str, Value], fact: str) -> bool:
        """Whether a fact of possible floors follows from others: worked out in the case, or about a finish."""
        kind = self.base.facts[unbound(fact)[0]]
        return kind.computed is not None and (
            kind.of == "finish" or not kind.ask or memory[fact].origin == "computed"
        )

    def recommend(self, floors: Floors, weights: Mapping[str, int]) -> dict[Recommendation, Bits]:
        """Which of the floors that count get which recommendation.

        Args:
            floors: with all facts that the rules ask for.
            weights: what one point under each criterion counts.
        """
        everything = floors.all
        effects = {finish: Effects() for finish in self.base.finishes}
        stops = holds = 0
        for rule, met in self._fired(floors):
            for conclusion in rule.conclusions:
                effect = effects.get(conclusion.finish)
                match conclusion.kind:
                    case "refer" if self.base.referrals[conclusion.name].stop:
                        stops |= met
                    case "hold":
                        holds |= met
                    case "rule_out" if effect:
                        effect.out |= met
                    case "first" if effect:
                        effect.needs[conclusion.name] = effect.needs.get(conclusion.name, 0) | met
                        if self.base.needs[conclusion.name].decides:
                            effect.waits |= met
                    case "points" if effect:
                        effect.points.append((weights[conclusion.name] * conclusion.points, met))
        found: dict[Recommendation, Bits] = {Recommendation("professional"): stops & floors.real}
        open_floors = floors.real & ~stops
        found[Recommendation("none yet")] = open_floors & holds
        open_floors &= ~holds
        for finish, leads in self._leaders(effects, everything).items():
            waits = effects[finish].waits if finish else 0
            leads &= open_floors
            if finish:
                found[Recommendation("test first", finish)] = leads & waits
                found[Recommendation("finish", finish)] = leads & ~waits
            else:
                found[Recommendation("none yet")] |= leads
        return {recommendation: some for recommendation, some in found.items() if some}

    def _fired(self, floors: Floors) -> list[tuple[GroundRule, Bits]]:
        findings: dict[str, Bits] = {}
        fired: list[tuple[GroundRule, Bits]] = []
        met_by: dict[Pattern, Bits] = {}
        combined: dict[tuple[str, ...], list[tuple[Places, Bits]]] = {}
        for rule in self.rules:
            met = floors.all
            for pattern in self._cheapest_first[rule.name]:
                if pattern.fact in floors.facts:
                    if pattern not in met_by:
                        met_by[pattern] = _meeting(pattern, floors.facts[pattern.fact])
                    met &= met_by[pattern]
                elif unbound(pattern.fact)[0] in self.base.facts:
                    met = self._meeting_computed(pattern, floors, met, combined)
                else:
                    met &= findings.get(pattern.fact, 0)
                if not met:
                    break
            if met:
                fired.append((rule, met))
                for finding in rule.findings:
                    findings[finding] = findings.get(finding, 0) | met
        return fired

    def _meeting_computed(
        self,
        pattern: Pattern,
        floors: Floors,
        among: Bits,
        combined: dict[tuple[str, ...], list[tuple[Places, Bits]]],
    ) -> Bits:
        """The floors among these whose computed fact meets the pattern: worked out only where it is asked for."""
        computed = self.base.facts[unbound(pattern.fact)[0]].computed
        assert computed is not None
        if computed.inputs not in combined:
            combined[computed.inputs] = self._combinations(floors, computed.inputs)
        holds, found = self._holds.setdefault(pattern, {}), 0
        for places, some in combined[computed.inputs]:
            if both := some & among:
                if places not in holds:
                    values = [self._values[place] for place in places]
                    inputs = dict(zip(computed.inputs, values, strict=True))
                    name, finish = unbound(pattern.fact)
                    about = self.base.finishes[finish] if finish else None
                    holds[places] = pattern.holds(compute(self.base, name, inputs, about))
                if holds[places]:
                    found |= both
        return found

    def _combinations(self, floors: Floors, names: tuple[str, ...]) -> list[tuple[Places, Bits]]:
        """The combinations of values of some facts, each with the floors that have it."""
        combined: list[tuple[Places, Bits]] = [((), floors.all)]
        for name in names:
            spread = [(self._place(value), have) for value, have in self._spread(floors, name)]
            combined = [
                ((*places, place), both) for places, some in combined for place, have in spread if (both := some & have)
            ]
        return combined

    def _spread(self, floors: Floors, name: str) -> Spread:
        """The values of a fact of the floor, worked out where it is not among the facts of the floors."""
        if name in floors.facts:
            return floors.facts[name]
        computed = self.base.facts[name].computed
        assert computed is not None
        found: Spread = []
        for places, have in self._combinations(floors, computed.inputs):
            inputs = dict(zip(computed.inputs, (self._values[place] for place in places), strict=True))
            found.append((compute(self.base, name, inputs), have))
        return found

    def _place(self, value: Value) -> int:
        """A small number for a value, so that combinations are found again quickly."""
        key = (value.interval, value.choice, value.known)
        if key not in self._places:
            self._places[key] = len(self._values)
            self._values.append(value)
        return self._places[key]

    def _leaders(self, effects: Mapping[str, Effects], everything: Bits) -> dict[str, Bits]:
        """The leading finish of each floor, or "" where none is left; ranked as `standing.standings` ranks."""
        most = max((len(effect.needs) for effect in effects.values()), default=0)
        depth = most.bit_length()
        lowest = min((_lowest(effect) for effect in effects.values()), default=0)
        highest = max((sum(p for p, _ in e.points if p > 0) for e in effects.values()), default=0)
        width = (highest - lowest).bit_length() + depth + 1
        best, leads = [0] * width, {"": everything}
        order = sorted(effects, key=lambda finish: self.base.finishes[finish].order)
        for finish in order:
            effect = effects[finish]
            # One number holds what the ranking compares: points, then how few conditions; the first wins a tie.
            rank = constant((_lowest(effect) - lowest << depth) + most, width, everything)
            for points, some in effect.points:
                add(rank, abs(points) << depth, some if points > 0 else everything & ~some)
            for some in effect.needs.values():
                add(rank, (1 << width) - 1, some)  # less one
            alive = everything & ~effect.out
            takes = alive & (greater(rank, best, everything) | leads[""])
            if takes:
                leads = {other: some & ~takes for other, some in leads.items()}
                leads[finish] = takes
                best = [(old & ~takes) | (new & takes) for old, new in zip(best, rank, strict=True)]
        return leads


def _meeting(pattern: Pattern, spread: Spread) -> Bits:
    found = 0
    for value, have in spread:
        if pattern.holds(value):
            found |= have
    return found


def _in_order(program: Program) -> list[GroundRule]:
    concluding: dict[str, list[int]] = {}
    for place, rule in enumerate(program.rules):
        for finding in rule.findings:
            concluding.setdefault(finding, []).append(place)
    graph = {
        place: [before for pattern in rule.patterns for before in concluding.get(pattern.fact, ())]
        for place, rule in enumerate(program.rules)
    }
    return [program.rules[place] for place in TopologicalSorter(graph).static_order()]


def _lowest(effect: Effects) -> int:
    return sum(points for points, _ in effect.points if points < 0)
