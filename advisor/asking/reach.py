"""Which facts could turn an answer together at all: bounds by which most sets of facts need not be tried.

Of a set of facts each may take any value that turns nothing alone. A rule then fires surely, maybe, or not at all, and
the least model over all sets is reached twice: once with what surely holds, once with what may (rules know no "not", so
that this is safe). Points are bounded closer: by what each fact's changes do alone, plus what the rules that hang on
two of them could add. What is left over is tried; what is left out cannot turn the answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce
from itertools import combinations, product
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisor.answer.many_answers import Answers
from advisor.answer.ranking import KINDS, NAMING, Part, by_kind
from advisor.answer.variants import Changed, Rows, Variants
from advisor.asking.changes import patterns_on
from advisor.engines.columns import Columns, Flags
from advisor.engines.many_cases import Bits, Fired, Tests, unpack
from advisor.model.contradictions import clashes
from advisor.model.program import Pattern
from advisor.model.values import Value

CHUNK = 65_536  # sets judged at a time

FactSets: TypeAlias = NDArray[np.int64]  # one a row: places of its facts
ChangeSets: TypeAlias = NDArray[np.int64]  # one a row: places of its changes
Floats: TypeAlias = NDArray[np.float32]


@dataclass(frozen=True)
class Between:
    """What is so of some sets: surely, or at most; with and, or, not of each."""

    surely: Bits
    may: Bits

    def __and__(self, other: Between) -> Between:
        return Between(self.surely & other.surely, self.may & other.may)

    def __or__(self, other: Between) -> Between:
        return Between(self.surely | other.surely, self.may | other.may)

    def __invert__(self) -> Between:
        return Between(~self.may, ~self.surely)


class Reach:
    """One case and the changes that turn nothing alone: which of their facts could turn the answer together."""

    def __init__(
        self,
        variants: Variants,
        given: Mapping[str, Value],
        changes: Sequence[Changed],
        idle: Sequence[int],
        memory: Columns,
        judged: Answers,
    ) -> None:
        """Make it ready.

        Args:
            variants: for the rule base.
            given: the facts that the case states.
            changes: of one fact each.
            idle: the places of those that turn nothing alone and may be made together.
            memory: of the case with each change made alone, and last as it is.
            judged: what those come to.
        """
        self._variants, self._many, self._cases = variants, variants.many, variants.many.cases
        self._base = variants.base
        self.facts = list(dict.fromkeys(changes[place].fact for place in idle))
        self._at = {name: at for at, name in enumerate(self.facts)}
        self._memory, self._judged = memory, judged
        tests = Tests(memory)
        held = np.array([unpack(tests.pattern(each), memory.floors) for each in self._cases.patterns], np.bool)
        self._now: Flags = held[:, -1]
        self._of_fact: list[list[int]] = [[] for _ in self.facts]  # by fact the places of its changes
        for place in idle:
            self._of_fact[self._at[changes[place].fact]].append(place)
        self._idle = np.array([place for some in self._of_fact for place in some], np.int64)  # fact by fact
        moved = held != self._now[:, None]
        self._moves: Flags = np.array([moved[:, some].any(axis=1) for some in self._of_fact], np.bool).T
        self._joint = self._jointly(patterns_on(variants, given))
        self._kind, self._leading = KINDS[int(judged.kind[-1])], int(judged.leading[-1])

    def _jointly(self, hanging: Mapping[str, Iterable[Pattern]]) -> dict[int, list[int]]:
        """By pattern the facts on which it hangs, where that is more than one: together they may do what none does
        alone. So may facts of one soft contradiction, which are set aside together."""
        together = {name: {name} for name in self.facts}
        for clash in clashes(self._base, soft=True).values():
            some = {name for each in clash.facts for name in (each, *self._inputs(each)) if name in self._at}
            for name in some:
                together[name] |= some
        found: dict[int, set[int]] = {}
        for name in self.facts:
            for pattern in (each for other in together[name] for each in hanging.get(other, ())):
                if (place := self._cases.patterns.get(pattern)) is not None:
                    found.setdefault(place, set()).add(self._at[name])
        return {place: sorted(some) for place, some in found.items() if len(some) > 1}

    def _inputs(self, name: str) -> Iterator[str]:
        computed = self._base.facts[name].computed
        for each in computed.inputs if computed else ():
            yield from (each, *self._inputs(each))

    def sets(self, facts: FactSets) -> ChangeSets:
        """The sets of changes that could turn the answer, of those with one change of each of these facts.

        Args:
            facts: places in `facts`, one set a row, those of a set all different.

        Returns:
            Places of changes, one set a row; no set that is left out turns the answer.
        """
        found = [made for _, made in self._could_all(facts)]
        return np.concatenate([np.zeros((0, facts.shape[1]), np.int64), *found])

    def could_turn(self, facts: FactSets) -> Flags:
        """Which of these sets of facts could turn the answer, with values too that alone change nothing at all."""
        found = np.zeros(len(facts), np.bool)
        for rows, _ in self._could_all(facts):
            found[rows] = True
        return found

    def _could_all(self, facts: FactSets) -> Iterator[tuple[Rows, ChangeSets]]:
        for start in range(0, len(facts), CHUNK):
            for rows, made in self._could(facts[start : start + CHUNK]):
                yield rows + start, made

    def _could(self, sets: FactSets) -> Iterator[tuple[Rows, ChangeSets]]:
        """The places of sets of facts that could turn the answer, and their sets of changes that could."""
        within = [np.packbits(_with(sets, at)) for at in range(len(self.facts))]
        none = np.zeros_like(within[0])
        surely, may = [], []
        for place, now in enumerate(self._now):
            moved = reduce(np.bitwise_or, (within[at] for at in np.flatnonzero(self._moves[place])), none)
            if place in self._joint:
                moved = moved | _twice(within[at] for at in self._joint[place])
            surely.append(~moved if now else none)
            may.append(~none if now else moved)
        fires = self._cases.least(surely, len(sets)), self._cases.least(may, len(sets))

        def so(part: Part, finish: str = "") -> Between:
            rules = self._variants.concluding.get((part, finish), [])
            return Between(*(reduce(np.bitwise_or, (each.bits[rule] for rule in rules), none) for each in fires))

        out = [so("out", finish) for finish in self._variants.finishes]
        kinds = by_kind(
            Between(~none, ~none),
            stops=so("stops"),
            holds=so("holds"),
            asks=so("asks"),
            nothing_left=reduce(Between.__and__, out),
            waits=so("waits", self._variants.finishes[self._leading] if self._leading >= 0 else ""),
        )
        same = kinds[self._kind].surely
        if self._kind not in NAMING:
            yield self._all_made(sets, ~unpack(same, len(sets)))
            return
        same = same & ~out[self._leading].may
        yield self._all_made(sets, ~unpack(same, len(sets)))
        yield from self._overtaken(sets, np.flatnonzero(unpack(same, len(sets))), within, out, *fires)

    def _all_made(self, sets: FactSets, here: Flags) -> tuple[Rows, ChangeSets]:
        return np.flatnonzero(here), self._made(sets[here])[0]

    def _made(self, sets: FactSets) -> tuple[ChangeSets, Rows]:
        """All ways to make one change of each fact of these sets, and which set each is of."""
        counts = np.array([len(some) for some in self._of_fact])
        first = np.cumsum(counts) - counts
        made, of = np.zeros((len(sets), 0), np.int64), np.arange(len(sets))
        for facts in sets.T:
            many = counts[facts[of]]
            which = np.repeat(np.arange(len(of)), many)
            nth = np.arange(len(which)) - np.repeat(np.cumsum(many) - many, many)
            made = np.column_stack([made[which], self._idle[first[facts[of[which]]] + nth]])
            of = of[which]
        return made, of

    # ---- points --------------------------------------------------------------------------------------------

    def _overtaken(
        self, sets: FactSets, rows: Rows, within: list[Bits], out: list[Between], surely: Fired, may: Fired
    ) -> Iterator[tuple[Rows, ChangeSets]]:
        """Of some rows the sets with which another finish that may be left could come up to the leading one."""
        more = self._together(rows, within, surely, may, sets.shape[1])
        left = np.array([unpack(~each.surely, len(sets))[rows] for each in out])
        left[self._leading] = False
        more = np.where(left, more, -np.inf)
        some = sets[rows]
        weighing = [at for at, name in enumerate(self.facts) if name in self._importances]
        weighs = np.isin(some, weighing)
        whole = weighs.all(axis=1)
        yield rows[whole], self._made(some[whole])[0]
        for number in range(sets.shape[1]):
            for facts in combinations(weighing, number):
                here = np.flatnonzero((weighs.sum(axis=1) == number) & _all_of(some, facts))
                for changes in product(*(self._of_fact[at] for at in facts)) if len(here) else ():
                    could, made = self._up_to(some[here], more[:, here], facts, changes)
                    yield rows[here[could]], made

    def _up_to(
        self, sets: FactSets, more: Floats, weighing: tuple[int, ...], made: tuple[int, ...]
    ) -> tuple[Flags, ChangeSets]:
        """Of sets with these changes of importances those with which a finish comes up to the leading one: first by the
        most that any change of each fact adds, then change by change."""
        weights = self._weights[:, -1] + (self._weights[:, made] - self._weights[:, [-1]]).sum(axis=1)
        totals = np.tensordot(weights, self._sums, 1)
        ahead = totals - totals[self._leading]
        moved = ahead - ahead[:, [-1]]
        gap = ahead[:, [-1]] + moved[:, made].sum(axis=1, keepdims=True)
        starts = np.cumsum([0, *(len(places) for places in self._of_fact[:-1])])
        gains = np.maximum(np.maximum.reduceat(moved[:, self._idle], starts, axis=1), 0.0)
        gains[:, weighing] = 0.0
        could = (gap + gains[:, sets].sum(axis=2) + more >= 0).any(axis=0)
        changes, of = self._made(sets[could])
        facts = sets[could][of]
        for fact, change in zip(weighing, made, strict=True):
            so = ((facts != fact) | (changes == change)).all(axis=1)
            changes, of, facts = changes[so], of[so], facts[so]
        own = np.where(np.isin(facts, weighing), -1, changes)  # the last moves nothing
        return could, changes[(gap + moved[:, own].sum(axis=2) + more[:, could][:, of] >= 0).any(axis=0)]

    def _together(self, rows: Rows, within: list[Bits], surely: Fired, may: Fired, size: int) -> Floats:
        """What rules that hang on two facts of a set could add to what each finish is ahead of the leading one, beside
        what each change adds alone.

        A rule that fires and rests on no finding stops once, however many changes stop it; one that does not fire may
        do so with two changes only, or be kept from what one of them makes it do. Of any other, all is allowed for.
        """
        points = self._points
        unsure = may.bits[points.rules] & ~surely.bits[points.rules]
        found: list[tuple[Bits, Floats]] = []
        for at in np.flatnonzero(unsure.any(axis=1)):
            both = unsure[at] & _twice(within[fact] for fact in points.touched[at])
            if not both.any():
                continue
            rise, fall, alone = points.rise[at], points.fall[at], [within[fact] for fact in points.turned[at]]
            if not points.plain[at]:
                found.append((both, fall + size * rise if points.fires[at] else rise + size * fall))
            elif points.fires[at]:
                found.append((both & _twice(alone), (size - 1) * rise))
            else:
                one = reduce(np.bitwise_or, alone, np.zeros_like(both))
                found += [(both & ~one, rise), (both & one, fall)]
        if not found:
            return np.zeros((len(self._variants.finishes), len(rows)), np.float32)
        flags = np.array([unpack(bits, surely.floors)[rows] for bits, _ in found], np.float32)
        more: Floats = np.array([worth for _, worth in found], np.float32).T @ flags
        return more

    @cached_property
    def _importances(self) -> set[str]:
        return {each.importance for each in self._base.criteria.values() if each.importance}

    @cached_property
    def _weights(self) -> Floats:
        """Criterion x change: what a point counts with it made alone; last as the case is."""
        weights = self._many.weights(self._memory)
        floors = (self._judged.floors,)
        return np.array([np.broadcast_to(weights[name], floors) for name in self._base.criteria], np.float32)

    @cached_property
    def _sums(self) -> Floats:
        """Criterion x finish x change: points, unweighted."""
        criteria = list(self._base.criteria)
        found = np.zeros((len(criteria), len(self._variants.finishes), self._judged.floors), np.float32)
        for place, criterion, sums in self._many.sums(self._judged.fired):
            found[criteria.index(criterion), place] += sums
        return found

    @cached_property
    def _points(self) -> _Points:
        """The rules that give points, and at most how many more to each finish than to the leading one, or fewer."""
        places, awards = self._many.awards
        most = awards * self._weights.max(axis=1)[None, :, None]
        apart = most - most[:, :, [self._leading]]
        rise, fall = (np.maximum(sign * apart, 0).sum(axis=1) for sign in (1, -1))
        fired = np.unpackbits(self._judged.fired.bits[places], axis=1, count=self._judged.floors).view(np.bool)
        fires = fired[:, -1]
        turned = [np.flatnonzero((fired[:, some] != fires[:, None]).any(axis=1)) for some in self._of_fact]
        by_rule: list[list[int]] = [[] for _ in places]
        for fact, some in enumerate(turned):
            for at in some:
                by_rule[at].append(fact)
        plain = [not findings and self._joint.keys().isdisjoint(on_facts)
                 for on_facts, findings in (self._cases.rests_on[place] for place in places)]  # fmt: skip
        return _Points(places, rise, fall, [self._touched(place) for place in places], by_rule, fires, plain)

    def _touched(self, rule: int) -> list[int]:
        """The facts on which a rule hangs, and all that it rests on."""
        patterns, pending, seen = set[int](), [rule], {rule}
        while pending:
            on_facts, findings = self._cases.rests_on[pending.pop()]
            patterns.update(on_facts)
            more = {each for name in findings for each in self._cases.finding[name]} - seen
            seen |= more
            pending += more
        found = {int(fact) for fact in np.flatnonzero(self._moves[sorted(patterns)].any(axis=0))}
        return sorted(found.union(*(self._joint.get(each, ()) for each in patterns)))


@dataclass(frozen=True)
class _Points:
    rules: NDArray[np.int64]
    rise: Floats  # rule x finish
    fall: Floats
    touched: list[list[int]]  # by rule the facts on which it hangs
    turned: list[list[int]]  # by rule the facts of which a change alone makes it fire, or stops it
    fires: Flags
    plain: list[bool]  # rests on facts alone, on each apart


def _twice(some: Iterable[Bits]) -> Bits:
    """Where at least two of these are."""
    once: Bits | None = None
    twice: Bits = np.zeros(1, np.uint8)
    for bits in some:
        twice = twice | (once & bits) if once is not None else np.zeros_like(bits)
        once = bits if once is None else once | bits
    return twice


def _all_of(sets: FactSets, facts: Sequence[int]) -> Flags:
    found: Flags = np.ones(len(sets), np.bool)
    for fact in facts:
        found &= _with(sets, fact)
    return found


def _with(sets: FactSets, fact: int) -> Flags:
    return reduce(np.logical_or, (facts == fact for facts in sets.T))
