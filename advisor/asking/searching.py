"""The search for minimal sets of changes: singles, pairs, and threes.

All single changes are tried, and all pairs that somebody can bring about or find out. Where any other answer is asked
for, sets are left out that could not turn it, as `reach` proves. Threes are searched so where nothing smaller that
somebody can bring about does it, or all are asked for; of more than can be tried in the time there is the nearest are
taken, and `nearest` says so. Where a finish is asked for: each measurement with two facts that are only asked once it
is made (a reading may count only with them), and the pairs that come nearest with each third change. What nobody can
change, and what only another use of the floor would, is tried one fact at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisor.answer.many_answers import Answers
from advisor.answer.ranking import KINDS, Recommendation, Standing
from advisor.answer.variants import Changed, Rows, Variants
from advisor.asking.changes import Change, Way
from advisor.asking.reach import Reach
from advisor.engines.columns import Columns, Flags
from advisor.engines.contradicting import in_doubt, refused
from advisor.model.advice import Answer
from advisor.model.contradictions import Clash, clashes
from advisor.model.values import Value, unknown
from explanations.wording import wording

CHUNK = 16_384  # variants judged at a time
NEAREST = 150  # pairs from which sets of three are built
MOST_SETS = 200_000  # tried of one size
ALONE: tuple[Way, ...] = ("fixed", "use")  # ways tried one fact at a time

Sets: TypeAlias = NDArray[np.int64]


@dataclass(frozen=True)
class Goal:
    """What a set of changes is to bring about: over many variants, and of one engine's run."""

    question: str
    many: Callable[[Answers], Flags]
    one: Callable[[Answer, Iterable[Standing]], bool]
    near: Callable[[Answers], NDArray[np.int64]]  # the smaller, the nearer to it
    any_other: bool = False  # whether any other recommendation than the present one reaches it


def changing(variants: Variants, now: Recommendation) -> Goal:
    """Any other recommendation than the present one."""
    kind = KINDS.index(now.kind)

    def same(judged: Answers) -> Flags:
        alike: Flags = judged.kind == kind
        return alike & (judged.leading == variants.finishes.index(now.finish)) if now.finish else alike

    return Goal(
        wording("asking.question.change"),
        lambda judged: ~same(judged),
        lambda answer, _: Recommendation.of(answer.kind, answer.leading) != now,
        lambda judged: np.where(same(judged), judged.lead(), -1),
        any_other=True,
    )


class Found(NamedTuple):
    """A set that works, as places in the list of changes, and what it comes to: kind of answer and leading finish."""

    places: tuple[int, ...]
    kind: int
    leading: int


class Search:
    """Minimal sets of changes that reach a goal, smallest first. How many of each size were tried is in `tried`.

    Each set is judged as the case with it stated would be: none that contradicts itself, what is in doubt set aside.
    """

    def __init__(
        self,
        variants: Variants,
        given: Mapping[str, Value],
        changes: Sequence[Change],
        goal: Goal | None = None,
        apart: Collection[Way] = ALONE,
    ) -> None:
        self.variants, self.given, self.changes, self.goal, self.apart = variants, given, changes, goal, apart
        doubtful = (name for clash in clashes(variants.base, soft=True).values() for name in _behind(variants, clash))
        self._taken_back = {name: len(changes) + at for at, name in enumerate(dict.fromkeys(doubtful))}
        self._all = [*changes, *(Changed(name, unknown(variants.base.facts[name])) for name in self._taken_back)]
        self.tried: dict[int, int] = {}
        self.nearest = False  # whether not all sets were tried that could work, but those that come nearest
        self.all_threes = False  # whether of threes none was left out but what could not turn the answer

    @cached_property
    def alone(self) -> tuple[Columns, Answers, Flags]:
        """Each change made alone, and last the case as it is: working memory, what it comes to, whether it can be."""
        rows, possible = self._as_stated(np.array([*range(len(self.changes)), -1], np.int64)[:, None])
        memory = self.variants.memory(self.given, self._all, rows, self.variants.many.asked)
        return memory, self.variants.judge(memory), possible

    def minimal(self, most: int, everything: bool = False) -> Iterator[Found]:
        """Sets none of which holds a smaller one that works.

        Args:
            most: how many changes are made together, 1 to 3.
            everything: sets of three though smaller ones work.
        """
        assert self.goal is not None
        _, judged, possible = self.alone
        works = (self.goal.many(judged) & possible)[:-1]
        self.tried[1] = len(works)
        for place in np.flatnonzero(works):
            yield Found((int(place),), int(judged.kind[place]), int(judged.leading[place]))
        open_ = [int(place) for place in np.flatnonzero(~works) if self.changes[int(place)].way not in self.apart]
        if most < 2 or not open_:
            return
        pairs = self._bounded(2) if self.goal.any_other else self._different(_sets(combinations(open_, 2), 2))
        both, near = self._try(pairs)
        yield from both
        nothing = not both and all(self.changes[int(place)].way in ALONE for place in np.flatnonzero(works))
        if most < 3:
            return
        threes = [_sets(self._with_what_belongs(open_), 3)]
        if self.goal.any_other and (nothing or everything):
            threes, self.all_threes = [self._bounded(3)], True
        elif nothing:
            self.nearest = True
            best = pairs[np.argsort(near, kind="stable")[:NEAREST]]
            threes.append(_sets(((*map(int, p), third) for p in best for third in open_ if third not in p), 3))
        smaller = {frozenset(found.places) for found in both}
        sets = self._different(np.unique(np.sort(np.concatenate(threes), axis=1), axis=0))
        for found in self._try(sets)[0]:
            if not any(frozenset(pair) in smaller for pair in combinations(found.places, 2)):
                yield found

    @cached_property
    def reach(self) -> Reach:
        """Which of the changes that turn nothing alone could turn the answer together."""
        assert self.goal is not None
        memory, judged, possible = self.alone
        idle = np.flatnonzero(~(self.goal.many(judged) & possible)[:-1])
        some = [int(place) for place in idle if self.changes[int(place)].way not in self.apart]
        return Reach(self.variants, self.given, self.changes, some, memory, judged)

    def _bounded(self, size: int) -> Sets:
        """The sets of so many changes that could turn the answer; where they are too many, those of changes that come
        nearest alone."""
        assert self.goal is not None
        sets = self.reach.sets(_sets(combinations(range(len(self.reach.facts)), size), size))
        if len(sets) > MOST_SETS:
            self.nearest = True
            near = self.goal.near(self.alone[1])
            sets = sets[np.argsort(near[sets].sum(axis=1), kind="stable")[:MOST_SETS]]
        return sets

    def works(self, some: Sequence[tuple[int, ...]]) -> list[Found]:
        """Those of some sets of equally many changes that reach the goal."""
        return self._try(_sets(some, len(some[0])))[0] if some else []

    def _with_what_belongs(self, open_: list[int]) -> Iterator[tuple[int, ...]]:
        """Each measurement with two facts that have their turn only once it is made."""
        priors = self.variants.base.priors
        finding = [place for place in open_ if self.changes[place].way == "find out"]
        for place in finding:
            fact = self.changes[place].fact
            belongs = [
                other
                for other in finding
                if self.changes[other].fact in priors and fact in priors[self.changes[other].fact].after
            ]
            yield from ((place, *two) for two in combinations(belongs, 2))

    def _different(self, sets: Sets) -> Sets:
        """Those that change no fact twice."""
        facts = np.unique([change.fact for change in self.changes], return_inverse=True)[1]
        named = np.sort(facts[sets], axis=1)
        apart: Sets = sets[(np.diff(named, axis=1) != 0).all(axis=1)]
        return apart

    def _try(self, sets: Rows) -> tuple[list[Found], NDArray[np.int64]]:
        """Those of the sets that work, and how near each comes to the goal."""
        assert self.goal is not None
        found: list[Found] = []
        near = [np.zeros(0, np.int64)]
        for start in range(0, len(sets), CHUNK):
            some = sets[start : start + CHUNK]
            judged, possible = self.answers(some)
            for at in np.flatnonzero(self.goal.many(judged) & possible):
                places = tuple(int(place) for place in some[at])
                found.append(Found(places, int(judged.kind[at]), int(judged.leading[at])))
            near.append(np.where(possible, self.goal.near(judged), np.iinfo(np.int64).max))
        self.tried[sets.shape[1]] = len(sets)
        return found, np.concatenate(near)

    def answers(self, sets: Rows) -> tuple[Answers, Flags]:
        """What each of some sets comes to, as the case with it stated would; and which of them can be at all."""
        rows, possible = self._as_stated(sets)
        memory = self.variants.memory(self.given, self._all, rows, self.variants.many.asked)
        return self.variants.judge(memory), possible

    def _as_stated(self, sets: Rows) -> tuple[Rows, Flags]:
        """The sets with what each makes doubtful taken back, and which of them contradict nothing."""
        base, stated = self.variants.base, self.variants.stated(self.given, self._all, sets)
        possible = np.ones(len(sets), np.bool)
        for flags in refused(base, stated).values():
            possible &= ~flags
        fact_of, rows = np.array([each.fact for each in self._all]), sets
        for name, flags in in_doubt(base, stated).items():
            own = flags[:, None] & (rows >= 0) & (fact_of[rows] == name)
            taken_back = np.where(flags, self._taken_back[name], -1)
            rows = np.column_stack([np.where(own, -1, rows), taken_back])
        return rows, possible


def _behind(variants: Variants, clash: Clash) -> Iterator[str]:
    """The facts that may be set aside by a contradiction: those it is about, and what they are worked out from."""
    for name in clash.asserted:
        computed = variants.base.facts[name].computed
        yield from (name, *(computed.inputs if computed else ()))


def _sets(some: Iterable[tuple[int, ...]], size: int) -> Sets:
    return np.array(list(some), np.int64).reshape(-1, size)
