"""How a case may still turn out, and what to ask next: the question that is expected to settle most for its effort.

Uncertainty is the entropy of the recommendation, in bits, over floors drawn from the priors, each with every fact
known. A question is worth the entropy that its answer is expected to take away, divided by the effort of finding it
out. Only a fact that was seen to change the recommendation of some floor, all else alike, is ever asked.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import log, log2

from advisor.answer.bit_columns import Bits
from advisor.answer.judging import Floors, Judge, Spread
from advisor.answer.ranking import Recommendation, parts, weights
from advisor.asking.sampling import draw, open_facts, unsettled
from advisor.facts.likelihoods import Outcome, effort, has_its_turn
from advisor.model.program import unbound
from advisor.model.values import Value

DRAWN = 4096  # floors; more make the shares finer and every question slower
ENOUGH, MOST_DRAWN = 512, 1 << 15  # floors that count, below which more are drawn; and how many at most
QUICKLY_DRAWN = 1024  # for the order in which an advice lists what is open
TRIED = 128  # floors on which a fact is tried with each of its values
WORTH_ASKING = 0.005  # bits for one effort; below, asking on hardly settles anything


Facts = Mapping[str, Value]


@dataclass(frozen=True)
class Turn:
    """A recommendation that is still possible, with its share of the floors, and one of them that gets it."""

    recommendation: Recommendation
    share: float
    place: int


@dataclass(frozen=True)
class Branch:
    """One answer to a question: how likely it is, and how the case would then turn out."""

    stretch: str
    said: str  # as a case would state it; of a stretch of a number, its middle
    share: float
    turns: tuple[Turn, ...]


@dataclass(frozen=True)
class Question:
    """A fact worth asking for: the bits it is expected to settle, its cost, and what each answer would do."""

    fact: str
    settles: float
    cost: float
    branches: tuple[Branch, ...]

    @property
    def worth(self) -> float:
        """Bits for one effort."""
        return self.settles / self.cost


class Outlook:
    """What a case may still turn out to be."""

    def __init__(self, judge: Judge, memory: Mapping[str, Value], size: int = DRAWN, held: Iterable[str] = ()) -> None:
        """Draw floors and judge them.

        Args:
            judge: for the rule base.
            memory: the case's working memory.
            size: how many floors.
            held: computed facts that are left as the case has them, not worked out anew for every floor.
        """
        self.judge = judge
        self.memory = memory
        self.undecided: dict[str, list[Outcome]] = open_facts(judge, memory)
        self.weights = weights(judge.base, memory)
        self.floors: Floors = draw(judge, memory, self.undecided, size)
        while self.real < ENOUGH and 4 * self.floors.size <= MOST_DRAWN:  # what is known is seldom met together
            self.floors = draw(judge, memory, self.undecided, 4 * self.floors.size)
        for name in held:
            self.floors.facts[name] = [(memory[name], self.floors.all)]
        self.recommended: dict[Recommendation, Bits] = judge.recommend(self.floors, self.weights)
        stopping, unseen = _pressing(judge, memory, self.now.finish)
        self.stopping = stopping & self.undecided.keys()
        self.pressing = self.stopping | unseen & self.undecided.keys()  # asked before all else
        self._witnesses: dict[str, tuple[Facts, Facts] | None] = {}  # each searched for once

    @cached_property
    def now(self) -> Recommendation:
        """The recommendation for the case as it is."""
        floor = Floors(1, {name: [(value, 1)] for name, value in self.memory.items()})
        return next(iter(self.judge.recommend(floor, self.weights)))

    @property
    def real(self) -> int:
        """How many of the floors drawn count."""
        return self.floors.real.bit_count()

    @property
    def uncertainty(self) -> float:
        """Entropy of the recommendation [bit]."""
        return _entropy([some.bit_count() for some in self.recommended.values()])

    @property
    def turns(self) -> tuple[Turn, ...]:
        """The recommendations seen, most likely first."""
        return self._turns(self.floors.real)

    def _turns(self, among: Bits) -> tuple[Turn, ...]:
        total = max(among.bit_count(), 1)
        found = [
            Turn(each, both.bit_count() / total, (both & -both).bit_length() - 1)
            for each, some in self.recommended.items()
            if (both := some & among)
        ]
        return tuple(sorted(found, key=lambda turn: -turn.share))

    @cached_property
    def gains(self) -> list[tuple[str, float, float]]:
        """The open facts: name, bits expected to be settled, cost. Below 0: nothing but noise."""
        before, several, size = self.uncertainty, len(self.recommended), max(self.real, 1)
        found = []
        for fact in self.undecided:
            counts = [
                [(some & have).bit_count() for some in self.recommended.values()] for _, have in self.floors.facts[fact]
            ]
            counts = [each for each in counts if any(each)]
            after = sum(sum(each) * _entropy(each) for each in counts) / size
            # A finite sample shows some gain even where there is none (Miller 1955): that much is taken off.
            by_chance = (len(counts) - 1) * (several - 1) / (2 * size * log(2))
            found.append((fact, before - after - by_chance, effort(self.judge.base, fact).cost))
        return found

    def ranked(self) -> list[tuple[str, float, float]]:
        """The same, first those because of which everything stops or waits for now, then by worth."""
        return sorted(self.gains, key=lambda each: (each[0] not in self.pressing, -each[1] / each[2]))

    def told_with(self, fact: str) -> set[str]:
        """The fact, and what is asked only after it."""
        priors = self.judge.base.priors
        return {fact} | {each for each in self.undecided if each in priors and fact in priors[each].after}

    def known(self, fact: str) -> dict[Recommendation, Bits]:
        """The recommendation of each floor drawn if this fact were known of it, and what is asked after it; no more."""
        base, memory, judge = self.judge.base, self.memory, self.judge
        told = self.told_with(fact)
        facts: dict[str, Spread] = {}
        for name, kind in base.facts.items():
            if name in told:
                facts[name] = self.floors.facts[name]
            elif kind.of == "floor" and not judge.is_computed(memory, name):
                follows = kind.computed and not memory[name].known and told.intersection(kind.computed.inputs)
                if not follows:  # else it is worked out
                    facts[name] = [(memory[name], self.floors.all)]
        return judge.recommend(Floors(self.floors.size, facts, self.floors.impossible), self.weights)

    def questions(self, but: Container[str] = (), least: float = 0.0) -> Iterator[Question]:
        """The facts worth asking for, best first; each was seen to change a recommendation, or holds it up now.

        Args:
            but: facts not to ask for.
            least: bits for one effort below which a fact is left out, unless it holds it up now.
        """
        least = max(least, WORTH_ASKING)
        for fact, settles, cost in self.ranked():
            if settles / cost < least and fact not in self.pressing:
                return
            if fact in but or not has_its_turn(self.judge.base, fact, self.memory):
                continue
            if fact in self.pressing or self.witness(fact):
                yield Question(fact, settles, cost, self.branches(fact))

    def witness(self, fact: str) -> tuple[Facts, Facts] | None:
        """Two possible floors that differ in nothing but this fact and in the recommendation, if any were found."""
        if fact not in self._witnesses:
            self._witnesses[fact] = self._search(fact)
        return self._witnesses[fact]

    def _search(self, fact: str) -> tuple[Facts, Facts] | None:
        base, values = self.judge.base, [outcome.value for outcome in self.undecided[fact]]
        size = min(TRIED, self.floors.size)
        part = (1 << size) - 1
        ones = sum(1 << size * each for each in range(len(values)))  # one block of floors for each value
        facts = {
            name: [(value, (have & part) * ones) for value, have in spread if have & part]
            for name, spread in self.floors.facts.items()
        }
        facts[fact] = [(value, part << size * place) for place, value in enumerate(values)]
        tried = Floors(size * len(values), facts)
        tried.impossible = unsettled(base, tried, self.undecided)
        real = [tried.real >> size * place & part for place in range(len(values))]
        for some in self.judge.recommend(tried, self.weights).values():
            got = [some >> size * place & part for place in range(len(values))]
            here = elsewhere = 0
            for mine, counts in zip(got, real, strict=True):
                here |= mine
                elsewhere |= counts & ~mine
            if both := here & elsewhere:
                floor = (both & -both).bit_length() - 1
                places = [
                    next(size * place + floor for place in range(len(values)) if found[place] >> floor & 1)
                    for found in (got, [counts & ~mine for mine, counts in zip(got, real, strict=True)])
                ]
                return tried.one(places[0]), tried.one(places[1])
        return None

    def branches(self, fact: str) -> tuple[Branch, ...]:
        """The answers to a question about an open fact, and what may come of each."""
        total = max(self.real, 1)
        found = []
        for outcome in self.undecided[fact]:
            have = next((some for value, some in self.floors.facts[fact] if value is outcome.value), 0)
            if have := have & self.floors.real:
                said = outcome.value.typed
                found.append(Branch(outcome.stretch, said, have.bit_count() / total, self._turns(have)))
        return tuple(found)


def _pressing(judge: Judge, memory: Mapping[str, Value], leading: str) -> tuple[set[str], set[str]]:
    """The unknown facts on which a stop or a hold rests now: what they turn out to be comes before anything else.

    Of a hold by a question it is the fact that is asked for. Beside them those for which the leading finish waits only
    because nobody has said what is to be seen.
    """
    base, found, stopping, unseen = judge.base, set[str](), set[str](), set[str]()
    for rule in judge.rules:  # findings come before their use
        if not all(p.holds(memory[p.fact]) if p.fact in memory else p.fact in found for p in rule.patterns):
            continue
        found.update(rule.findings)
        does = {(part, each.finish): each for each in rule.conclusions for part in parts(base, each)}
        if does.keys() & {("stops", ""), ("holds", "")}:
            stopping |= {p.fact for p in rule.patterns if p.fact in memory}
        if asks := does.get(("asks", "")):
            stopping.add(base.needs[asks.name].asks or "")
        if ("waits", leading) in does:
            of_unknown = (p.fact for p in rule.patterns if p.of_unknown)
            unseen |= {name for name in of_unknown if base.facts[unbound(name)[0]].change != "test"}
    open_ = {name for name, value in memory.items() if not value.known}
    return stopping & open_, unseen & open_


def quick_order(judge: Judge, memory: Mapping[str, Value]) -> list[str]:
    """The open facts worth asking for, best first; roughly, with what is worked out for each finish held as it is."""
    of_finishes = [name for name in memory if unbound(name)[1]]
    look = Outlook(judge, memory, QUICKLY_DRAWN, of_finishes)
    return [fact for fact, settles, cost in look.ranked() if settles / cost >= WORTH_ASKING or fact in look.pressing]


def _entropy(counts: list[int]) -> float:
    total = sum(counts)
    return sum(each / total * log2(total / each) for each in counts if each) if total else 0.0
