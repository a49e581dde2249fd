"""Many possible floors judged at once, without the engine: every floor is one bit of a whole number.

The search for the next question and the proof that an answer holds try thousands of floors that differ in a few
facts. Here a fact is its possible values, each with the set of floors that have it; a pattern is the set of floors
that meet it, a rule the intersection of its patterns, and points are added in columns of bits. What a pattern means
is still `Pattern.holds`, and tests hold the outcome against the engine's.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from graphlib import TopologicalSorter
from operator import or_
from threading import Lock
from weakref import WeakKeyDictionary

from advisor.answer.bit_columns import Bits
from advisor.answer.concluding import LEVEL, Concluding
from advisor.answer.ranking import Recommendation, has_room
from advisor.engines.computed_columns import compute_all
from advisor.engines.reasoning import Reasoner
from advisor.model.knowledge import RuleBase
from advisor.model.program import GroundRule, Pattern, Program, unbound
from advisor.model.values import Value
from advisor.physics.bounds import Interval

Places = tuple[int, ...]  # of the values that a computed fact is worked out from
Spread = list[tuple[Value, Bits]]  # a fact's values, each with the floors that have it; together all floors


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
        return {name: next(value for value, have in spread if have >> place & 1) for name, spread in self.facts.items()}


MOST_KEPT = 5_000  # values that computed facts were worked out from; beyond, they are forgotten
_JUDGES: WeakKeyDictionary[Reasoner, Judge] = WeakKeyDictionary()


def judge_of(reasoner: Reasoner) -> Judge:
    """The judge for a rule base made ready, the same one each time: what it worked out, it need not work out again."""
    if reasoner not in _JUDGES:
        _JUDGES[reasoner] = Judge(reasoner.base, reasoner.program, reasoner.seed)
    return _JUDGES[reasoner]


class Judge:
    """A program made ready to judge many floors: its rules in an order in which findings come before their use."""

    def __init__(self, base: RuleBase, program: Program, seed: int = 0) -> None:
        """Make a program ready.

        Args:
            base: the rule base.
            program: its ground rules.
            seed: for the floors that are drawn to be judged (`advisor.asking.sampling`).
        """
        assert has_room(base, program.rules)
        self.base, self.seed = base, seed
        self._lock = Lock()
        self.rules = _in_order(program)
        self._concluding = Concluding(base, program)
        self.patterns: dict[str, list[Pattern]] = {}
        for pattern in dict.fromkeys(pattern for rule in program.rules for pattern in rule.patterns):
            self.patterns.setdefault(pattern.fact, []).append(pattern)
        self.limits = {
            fact: sorted({comparison.bound for pattern in patterns for comparison in pattern.comparisons})
            for fact, patterns in self.patterns.items()
        }
        self.contradictable = {name for each in base.contradictions.values() for name in each.when}
        self.asked_for = self._asked_for()
        worked_out = {fact: self._is_worked_out(fact) for fact in self.patterns}
        numbers: dict[Pattern, int] = {}  # a pattern's place among all: found sooner than by the pattern itself
        for fact in sorted(self.patterns, key=lambda fact: worked_out[fact]):  # dear ones last
            for pattern in self.patterns[fact]:
                numbers[pattern] = len(numbers)
        self._numbered = list(numbers)
        self._asks = [sorted(numbers[pattern] for pattern in rule.patterns) for rule in self.rules]
        self._findings = {fact for fact in self.patterns if unbound(fact)[0] not in base.facts}
        self._places: dict[tuple[Interval | None, str, bool], int] = {}
        self._values: list[Value] = []
        self._holds: dict[Pattern, dict[Places, bool]] = {}
        self._computed: dict[str, dict[Places, Value]] = {}

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
        return kind.computed is not None and (kind.of == "finish" or not kind.ask or memory[fact].origin == "computed")

    def recommend(self, floors: Floors, weights: Mapping[str, int]) -> dict[Recommendation, Bits]:
        """Which of the floors that count get which recommendation.

        Args:
            floors: with all facts that the rules ask for.
            weights: what one point under each criterion counts.
        """
        return self._judged(floors, weights)[0]

    def judge(self, floors: Floors, weights: Mapping[str, int]) -> tuple[dict[Recommendation, Bits], Bits]:
        """The same, and the floors on which more speaks against the best finish than for it."""
        found, poor = self._judged(floors, weights)
        return found, reduce(or_, poor, 0)

    def _judged(self, floors: Floors, weights: Mapping[str, int]) -> tuple[dict[Recommendation, Bits], Iterator[Bits]]:
        with self._lock:  # what was worked out before is kept for all threads
            fired = self._fired(floors)
        return self._concluding.judged(fired, floors.all, floors.real, weights)

    def deciding(self, memory: Mapping[str, Value]) -> list[GroundRule]:
        """The rules that fire on one floor and concern its answer, findings before their use.

        Args:
            memory: the floor's working memory.
        """
        with self._lock:
            fired = self._fired(Floors(1, {name: [(value, 1)] for name, value in memory.items()}))
        return [rule for rule, _ in fired if rule.findings or self._concluding.does[rule.name]]

    def without(
        self,
        fired: Iterable[GroundRule],
        weights: Mapping[str, int],
        sets: Sequence[Collection[str]],
        but: Collection[str] = (),
    ) -> list[Recommendation]:
        """The recommendation for one floor without each of these sets of rules, everything else as it is.

        Args:
            fired: the rules that fire on it, from `deciding`.
            weights: what one point under each criterion counts.
            sets: of rules, by their ids; `LEVEL` and a finish: where that one is level with others, it comes first.
            but: parts of an answer (`ranking.parts`) that no rule is taken to add.
        """
        masks: dict[str, Bits] = {}
        for place, some in enumerate(sets):
            for rule in some:
                masks[rule] = masks.get(rule, 0) | 1 << place
        ahead = {name.removeprefix(LEVEL): some for name, some in masks.items() if name.startswith(LEVEL)}
        everything = (1 << len(sets)) - 1
        found = {finding for rule in fired for finding in rule.findings}
        findings: dict[str, Bits] = {}
        left: list[tuple[GroundRule, Bits]] = []
        for each in fired:
            met = everything & ~masks.get(each.rule, 0)
            for pattern in each.patterns:
                if pattern.fact in found:
                    met &= findings.get(pattern.fact, 0)
            if met:
                left.append((each, met))
                for finding in each.findings:
                    findings[finding] = findings.get(finding, 0) | met
        by_recommendation = self._concluding.recommendations(left, everything, everything, weights, ahead, but)
        places = {
            place: each for each, have in by_recommendation.items() for place in range(len(sets)) if have >> place & 1
        }
        return [places[place] for place in range(len(sets))]

    def _fired(self, floors: Floors) -> list[tuple[GroundRule, Bits]]:
        if len(self._values) > MOST_KEPT:
            self._places, self._values, self._holds, self._computed = {}, [], {}, {}
        findings: dict[str, Bits] = {}
        fired: list[tuple[GroundRule, Bits]] = []
        met_by: list[Bits | None] = [None] * len(self._numbered)
        combined: dict[tuple[str, ...], list[tuple[Places, Bits]]] = {}
        everything, facts = floors.all, floors.facts
        for rule, asks in zip(self.rules, self._asks, strict=True):
            met = everything
            for number in asks:
                if (some := met_by[number]) is not None:
                    met &= some
                elif (pattern := self._numbered[number]).fact in facts:
                    met_by[number] = some = _meeting(pattern, facts[pattern.fact])
                    met &= some
                elif pattern.fact in self._findings:
                    met &= findings.get(pattern.fact, 0)
                else:
                    met = self._meeting_computed(pattern, floors, met, combined)
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
        holds = self._holds.setdefault(pattern, {})
        met = [(places, both) for places, some in combined[computed.inputs] if (both := some & among)]
        if new := [places for places, _ in met if places not in holds]:
            self._work_out(pattern.fact, computed.inputs, new)
            holds.update((places, pattern.holds(self._computed[pattern.fact][places])) for places in new)
        found = 0
        for places, both in met:
            if holds[places]:
                found |= both
        return found

    def _work_out(self, fact: str, inputs: tuple[str, ...], combinations: Iterable[Places]) -> None:
        """Work out a computed fact for combinations of what it is worked out from, all that are new at once."""
        found = self._computed.setdefault(fact, {})
        new = [places for places in combinations if places not in found]
        name, finish = unbound(fact)
        given = [{name: self._values[place] for name, place in zip(inputs, each, strict=True)} for each in new]
        about = self.base.finishes[finish] if finish else None
        values = compute_all(self.base, name, given, about, self.limits.get(fact, ()))
        found.update(zip(new, values, strict=True))

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
        combined = self._combinations(floors, computed.inputs)
        self._work_out(name, computed.inputs, [places for places, _ in combined])
        return [(self._computed[name][places], have) for places, have in combined]

    def _place(self, value: Value) -> int:
        """A small number for a value, so that combinations are found again quickly."""
        key = (value.interval, value.choice, value.known)
        if key not in self._places:
            self._places[key] = len(self._values)
            self._values.append(value)
        return self._places[key]


def _meeting(pattern: Pattern, spread: Spread) -> Bits:
    found = 0
    for value, have in spread:
        if pattern.holds(value):
            found |= have
    return found


def _in_order(program: Program) -> list[GroundRule]:
    """First the rules that conclude findings, each after those that it builds on; then all others."""
    concluding: dict[str, list[int]] = {}
    for place, rule in enumerate(program.rules):
        for finding in rule.findings:
            concluding.setdefault(finding, []).append(place)
    graph = {
        place: [before for pattern in program.rules[place].patterns for before in concluding.get(pattern.fact, ())]
        for places in concluding.values()
        for place in places
    }
    first = [program.rules[place] for place in TopologicalSorter(graph).static_order()]
    return [*first, *(rule for rule in program.rules if not rule.findings)]
