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

from advisor.advice import AnswerKind
from advisor.computed import compute
from advisor.grounding import GroundRule, Pattern, Program, bound, unbound
from advisor.knowledge import RuleBase
from advisor.values import Value

Bits = int
Spread = list[tuple[Value, Bits]]  # a fact's values, each with the floors that have it; together all floors


class Recommendation(NamedTuple):
    """What an answer comes down to: its kind, and the finish that it recommends or waits for."""

    kind: AnswerKind
    finish: str = ""


@dataclass
class Floors:
    """A set of possible floors, one a bit: for each fact its values and which floors have them."""

    size: int
    facts: dict[str, Spread]

    @property
    def all(self) -> Bits:
        """Every floor."""
        return (1 << self.size) - 1

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
        self._computed: dict[tuple[object, ...], Value] = {}

    def _asked_for(self) -> list[str]:
        """The facts of the floor that a rule asks for, or that one is computed from."""
        used = {unbound(fact)[0] for fact in self.patterns}
        for name in reversed(self.base.facts):
            if name in used and (computed := self.base.facts[name].computed):
                used |= set(computed.inputs)
        return [name for name, kind in self.base.facts.items() if name in used and kind.of == "floor"]

    def is_computed(self, memory: Mapping[str, Value], fact: str) -> bool:
        """Whether a fact of possible floors follows from others: worked out in the case, or about a finish."""
        kind = self.base.facts[unbound(fact)[0]]
        return kind.computed is not None and (
            kind.of == "finish" or not kind.ask or memory[fact].origin == "computed"
        )

    def complete(self, floors: Floors) -> None:
        """Add the computed facts that some rule asks for, from the facts they take; facts there already stay."""
        for name, kind in self.base.facts.items():
            if kind.computed is None:
                continue
            for finish in self.base.finishes if kind.of == "finish" else ("",):
                fact = bound(name, finish)
                if fact not in floors.facts and (fact in self.patterns or kind.of == "floor"):
                    floors.facts[fact] = self._compute(floors, name, kind.computed.inputs, finish)

    def _compute(self, floors: Floors, name: str, inputs: tuple[str, ...], finish: str) -> Spread:
        combined: list[tuple[dict[str, Value], Bits]] = [({}, floors.all)]
        for each in inputs:
            combined = [
                ({**values, each: value}, both)
                for values, some in combined
                for value, have in floors.facts[each]
                if (both := some & have)
            ]
        spread: dict[Value, Bits] = {}
        for values, some in combined:
            key = (name, finish, *((v.interval, v.choice, v.known) for v in values.values()))
            if key not in self._computed:
                about = self.base.finishes[finish] if finish else None
                self._computed[key] = compute(self.base, name, values, about)
            value = self._computed[key]
            spread[value] = spread.get(value, 0) | some
        return list(spread.items())

    def recommend(self, floors: Floors, weights: Mapping[str, int]) -> dict[Recommendation, Bits]:
        """Which floors get which recommendation.

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
        found: dict[Recommendation, Bits] = {Recommendation("professional"): stops}
        open_floors = everything & ~stops
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
        for rule in self.rules:
            met = floors.all
            for pattern in rule.patterns:
                if pattern.fact in floors.facts:
                    some = 0
                    for value, have in floors.facts[pattern.fact]:
                        if pattern.holds(value):
                            some |= have
                    met &= some
                else:
                    met &= findings.get(pattern.fact, 0)
                if not met:
                    break
            if met:
                fired.append((rule, met))
                for finding in rule.findings:
                    findings[finding] = findings.get(finding, 0) | met
        return fired

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
            rank = _constant((_lowest(effect) - lowest << depth) + most, width, everything)
            for points, some in effect.points:
                _add(rank, abs(points) << depth, some if points > 0 else everything & ~some)
            for some in effect.needs.values():
                _add(rank, (1 << width) - 1, some)  # less one
            alive = everything & ~effect.out
            takes = alive & (_greater(rank, best, everything) | leads[""])
            if takes:
                leads = {other: some & ~takes for other, some in leads.items()}
                leads[finish] = takes
                best = [(old & ~takes) | (new & takes) for old, new in zip(best, rank, strict=True)]
        return leads


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


def _constant(number: int, width: int, everything: Bits) -> list[Bits]:
    return [everything if number >> place & 1 else 0 for place in range(width)]


def _add(columns: list[Bits], number: int, some: Bits) -> None:
    """Add a number (modulo the width) to the floors in `some`; columns hold the binary digits, lowest first."""
    carry = 0
    for place, digit in enumerate(columns):
        added = some if number >> place & 1 else 0
        columns[place] = digit ^ added ^ carry
        carry = (digit & added) | (carry & (digit ^ added))


def _greater(first: list[Bits], second: list[Bits], everything: Bits) -> Bits:
    greater, same = 0, everything
    for one, other in zip(reversed(first), reversed(second), strict=True):
        greater |= same & one & ~other
        same &= ~(one ^ other)
    return greater
