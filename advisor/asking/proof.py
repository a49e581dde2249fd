"""What is certain: a proof that the answer is the same for every value that the open facts of a case can take.

Every fact has the outcomes that the rules can tell apart. What cannot matter is taken out first (finishes that are
surely ruled out or always behind another, rules that touch only those, facts that only such rules ask for); the
outcomes of the rest are tried in all combinations, thousands at once. Where there are too many, one fact is fixed to
each of its outcomes in turn and what cannot matter is taken out anew. A computed fact whose inputs are open is let
loose within its bounds, so the proof covers more than can be: it may fail to prove what is true, never the reverse.

It holds for complete floors: every open fact known, except one that has no meaning on the floor, and no two facts in
contradiction. What is assumed is held as assumed.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from math import prod

from advisor.answer.judging import Floors, Judge
from advisor.answer.ranking import Recommendation, weights
from advisor.asking.relevance import Domains, Relevance, domains_of
from advisor.asking.sampling import meeting, mooted
from advisor.facts.memory import working_memory
from advisor.model.contradictions import compared_facts, contradicted
from advisor.model.values import Value

MOST_AT_ONCE = 1 << 14  # combinations judged together
MOST_STEPS = 60  # cases of fixed facts; beyond, the proof is given up

Facts = Mapping[str, Value]


@dataclass(frozen=True)
class Verdict:
    """Whether the recommendation is certain: proved, disproved by a floor that gets another, or left open."""

    recommendation: Recommendation | None  # the one that holds; none if it is not certain, or was not proved
    decided: bool
    tried: int  # combinations of values judged
    exceptions: Mapping[Recommendation, Facts]  # of a disproof: floors as a case would state them


def certain(judge: Judge, memory: Mapping[str, Value], steps: int = MOST_STEPS) -> Verdict:
    """Prove that the recommendation holds whatever the open facts turn out to be, disprove it, or give up.

    Args:
        judge: for the rule base.
        memory: the case's working memory.
        steps: cases of fixed facts after which it is given up.
    """
    return _Proof(judge, memory, steps).run()


class _Proof:
    def __init__(self, judge: Judge, memory: Mapping[str, Value], most_steps: int) -> None:
        self.judge, self.base, self.most_steps = judge, judge.base, most_steps
        self.weights = weights(judge.base, memory)
        self.steps = self.tried = 0
        self.found: dict[Recommendation, Facts] = {}
        self.start = domains_of(judge, memory)

    def run(self) -> Verdict:
        pending, given_up = [self.start], False
        while pending and len(self.found) < 2 and not given_up:
            self.steps += 1
            given_up = self.steps > self.most_steps
            pending += self._step(pending.pop())
        if len(self.found) < 2:
            only = None if given_up else next(iter(self.found), None)
            return Verdict(only, only is not None, self.tried, {})
        # A floor of the proof may be let loose beyond what can be; stated as a case, it shows what it really gets.
        real = {each: facts for facts in self.found.values() if (each := self._really(facts))}
        return Verdict(None, len(real) > 1, self.tried, real if len(real) > 1 else {})

    def _really(self, facts: Facts) -> Recommendation | None:
        if contradicted(self.base, facts):
            return None
        memory = working_memory(self.base, facts)
        floor = Floors(1, {name: [(value, 1)] for name, value in memory.items()})
        return next(iter(self.judge.recommend(floor, self.weights)))

    def _note(self, recommendation: Recommendation, floor: Mapping[str, Value]) -> None:
        stated = {
            name: value
            for name, value in floor.items()
            if name in self.base.facts and self.base.facts[name].ask and value.known and value.origin == "given"
        }
        self.found.setdefault(recommendation, stated)

    def _step(self, domains: Domains) -> list[Domains]:
        """Judge these floors, or return them split into smaller sets."""
        part = Relevance(self.judge, domains, self.weights)
        if part.surely_stops:
            self._note(Recommendation("professional"), {name: values[0] for name, values in domains.items()})
            self.tried += 1
            return []
        vary = part.matter
        if prod(len(domains[name]) for name in vary) <= MOST_AT_ONCE:
            self._judge(domains, vary)
            return []
        widest = max(vary, key=lambda name: (part.asked.get(name, 0), len(domains[name])))
        return [{**domains, widest: [value]} for value in domains[widest]]

    def _judge(self, domains: Domains, vary: Collection[str]) -> None:
        size = prod(len(domains[name]) for name in vary)
        everything, stride = (1 << size) - 1, 1
        facts = {name: [(values[0], everything)] for name, values in domains.items()}
        for name in vary:
            values = domains[name]
            period = stride * len(values)
            ones = _every(period, size)
            block = (1 << stride) - 1
            facts[name] = [(value, (block << stride * place) * ones) for place, value in enumerate(values)]
            stride = period
        floors = Floors(size, facts)
        self.tried += size
        sound = everything & ~self._contradicted(floors, domains, vary)
        for recommendation, some in self.judge.recommend(floors, self.weights).items():
            if left := some & sound:
                self._note(recommendation, floors.one((left & -left).bit_length() - 1))

    def _contradicted(self, floors: Floors, domains: Domains, vary: Collection[str]) -> int:
        """The floors that cannot be. Only contradictions among facts that stand at values of their own count."""
        base, out = self.base, 0
        meaningless: dict[str, int] = {}
        unclear: set[str] = set()
        for contradiction in base.contradictions.values():
            involved = set(contradiction.when) | compared_facts(contradiction)
            if not all(
                len(domains[name]) == 1 or (name in vary and base.facts[name].type != "number")
                for name in involved.difference(mooted(contradiction))
            ):
                unclear.update(mooted(contradiction))
            elif moot := [name for name in mooted(contradiction) if name in vary]:
                rest = meeting(base, contradiction, floors, involved.difference(moot))
                for name in moot:
                    meaningless[name] = meaningless.get(name, 0) | rest
            elif all(len(domains[name]) == 1 or name in vary for name in involved):
                out |= meeting(base, contradiction, floors, contradiction.when)
        for name, where in meaningless.items():
            for value, have in floors.facts[name]:
                if value.known:
                    out |= have & where
                elif name not in unclear:
                    out |= have & ~where
        return out


def _every(period: int, size: int) -> int:
    """A set with every period-th of so many floors."""
    ones, length = 1, period
    while length < size:
        ones |= ones << length
        length *= 2
    return ones & ((1 << size) - 1)
