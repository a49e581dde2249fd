"""What would turn the answer: the smallest changes of facts that change it, or that bring a given finish back.

All single changes and all pairs that somebody can bring about are tried, by the many-cases reading; larger sets only
from the pairs that come nearest, and only where no smaller one works. What nobody can change is tried one fact at a
time. Every set that is handed out has been run through the engine again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

from advisor.answer.advice import Answer
from advisor.answer.advising import answer_alone
from advisor.answer.standing import Standing
from advisor.errors import BadCase, Fault, nearest
from advisor.facts.values import Value
from advisor.inference.columns import Flags
from advisor.inference.grounding import contradicted
from advisor.inference.reasoning import Reasoner
from advisor.inference.variants import KINDS, Judged, Rows, Variants
from advisor.questions.candidates import Change, as_facts, candidates
from advisor.rulebase.knowledge import RuleBase

CHUNK = 16_384  # variants judged at a time
NEAREST = 40  # pairs from which sets of three are built
SHOWN_EACH = 3  # sets handed out with one outcome
SHOWN = {False: 12, True: 4}  # and in all: those that somebody can bring about, and those that nobody can

Sets: TypeAlias = NDArray[np.int64]


@dataclass(frozen=True)
class Turn:
    """A minimal set of changes, and what the engine says of the floor with them."""

    changes: tuple[Change, ...]
    cost: float
    answer: Answer
    verdict: str  # of the finish asked about; empty where none was

    @property
    def way(self) -> str:
        """The hardest of its changes' ways: by choice or work, by what turns out, or not at all."""
        ways = {change.way for change in self.changes}
        return "fixed" if "fixed" in ways else "finding out" if ways & {"find out", "test"} else "yours"


@dataclass(frozen=True)
class Turning:
    """What was asked, the sets found (cheapest first), and how many were tried."""

    question: str
    now: Answer
    turns: tuple[Turn, ...]
    found: int
    tried: int


@dataclass(frozen=True)
class Goal:
    """What a set of changes is to bring about: over many variants, and of one engine's run."""

    question: str
    many: Callable[[Judged], Flags]
    one: Callable[[Answer, Iterable[Standing]], bool]
    near: Callable[[Judged], NDArray[np.int64]]  # the smaller, the nearer to it


def would_turn(
    reasoner: Reasoner,
    given: Mapping[str, Value],
    finish: str | None = None,
    most: int = 3,
    leads: bool = False,
    everything: bool = False,
) -> Turning:
    """The smallest changes that turn the answer.

    Args:
        reasoner: a rule base made ready.
        given: the facts that the case states.
        finish: the finish to bring back; if none, any other recommendation counts.
        most: how many facts may change together, 1 to 3.
        leads: the finish must become the leading one, even if it is ruled out now.
        everything: hand out all sets that work, not only the cheapest few of each outcome.

    Raises:
        BadCase: there is no such finish.
    """
    base = reasoner.base
    variants = Variants(base, reasoner.program)
    now, ranked = answer_alone(reasoner, given)
    goal = _goal(base, variants, now, ranked, finish, leads)
    changes = candidates(variants, given)
    search = Search(variants, given, changes, goal)
    found = sorted(search.minimal(most), key=lambda each: _order(changes, given, each.places))
    kept = list(_nearest_only(changes, given, found, by_outcome=finish is None))
    turns = tuple(_confirmed(reasoner, given, changes, kept, goal, finish, everything))
    return Turning(goal.question, now, turns, len(found), search.tried)


def _goal(
    base: RuleBase, variants: Variants, now: Answer, ranked: list[Standing], finish: str | None, leads: bool
) -> Goal:
    if finish is None:
        kind, lead = KINDS.index(now.kind), now.leading if now.kind in KINDS[:2] else None

        def same(judged: Judged) -> Flags:
            alike: Flags = judged.kind == kind
            return alike & (judged.leading == variants.finishes.index(lead)) if lead else alike

        return Goal(
            "What would change the answer?",
            lambda judged: ~same(judged),
            lambda answer, _: (answer.kind, answer.leading if answer.kind in KINDS[:2] else None) != (now.kind, lead),
            lambda judged: same(judged).astype(np.int64),
        )
    if finish not in base.finishes:
        known = ", ".join(base.finishes)
        raise BadCase([Fault("turn", f'there is no finish "{finish}"', known, nearest(finish, base.finishes))])
    at, name = variants.finishes.index(finish), base.finishes[finish].name
    standing = next(each for each in ranked if each.finish == finish)
    if standing.verdict == "ruled out" and not leads:
        return Goal(
            f"What would bring {name} back?",
            lambda judged: ~judged.out[at],
            lambda _, others: any(each.finish == finish and each.verdict != "ruled out" for each in others),
            lambda judged: judged.reasons_out[at],
        )
    return Goal(
        f"What would put {name} first?",
        lambda judged: (judged.leading == at) & (judged.kind <= 1),
        lambda answer, _: answer.leading == finish and answer.kind in KINDS[:2],
        lambda judged: judged.kind // 2 * 10_000 + judged.reasons_out[at] * 1000 + judged.behind(at),
    )


class Found(NamedTuple):
    """A set that works, as places in the list of changes, and what it comes to: kind of answer and leading finish."""

    places: tuple[int, ...]
    kind: int
    leading: int


class Search:
    """Minimal sets of changes that reach a goal, smallest first."""

    def __init__(
        self, variants: Variants, given: Mapping[str, Value], changes: list[Change], goal: Goal
    ) -> None:
        self.variants, self.given, self.changes, self.goal = variants, given, changes, goal
        self.tried = 0

    def minimal(self, most: int) -> Iterator[Found]:
        """Sets none of which holds a smaller one that works."""
        works = np.zeros(len(self.changes), np.bool)
        for found in self._try(np.arange(len(self.changes))[:, None])[0]:
            works[found.places[0]] = True
            yield found
        open_ = [place for place in np.flatnonzero(~works) if self.changes[place].way != "fixed"]
        pairs = self._different(np.array(list(combinations(open_, 2)), np.int64).reshape(-1, 2))
        if most < 2 or not len(pairs):
            return
        both, near = self._try(pairs)
        yield from both
        if most < 3 or both:
            return
        best = pairs[np.argsort(near, kind="stable")[:NEAREST]]
        triples = np.array([(*pair, third) for pair in best for third in open_ if third not in pair], np.int64)
        triples = self._different(np.unique(np.sort(triples.reshape(-1, 3), axis=1), axis=0))
        yield from self._try(triples)[0]

    def _different(self, sets: Sets) -> Sets:
        """Those that change no fact twice."""
        facts = np.unique([change.fact for change in self.changes], return_inverse=True)[1]
        named = np.sort(facts[sets], axis=1)
        apart: Sets = sets[(np.diff(named, axis=1) != 0).all(axis=1)]
        return apart

    def _try(self, sets: Rows) -> tuple[list[Found], NDArray[np.int64]]:
        """Those of the sets that work, and how near each comes to the goal."""
        found: list[Found] = []
        near = [np.zeros(0, np.int64)]
        for start in range(0, len(sets), CHUNK):
            some = sets[start : start + CHUNK]
            judged = self.variants.judge(self.variants.memory(self.given, self.changes, some))
            for at in np.flatnonzero(self.goal.many(judged)):
                places = tuple(int(place) for place in some[at])
                found.append(Found(places, int(judged.kind[at]), int(judged.leading[at])))
            near.append(self.goal.near(judged))
        self.tried += len(sets)
        return found, np.concatenate(near)


def _order(changes: list[Change], given: Mapping[str, Value], places: tuple[int, ...]) -> tuple[float, int, float]:
    """Cheapest first, then fewest changes, then the smallest steps."""
    some = [changes[place] for place in places]
    steps = (abs(_step(given.get(change.fact), change)) for change in some)
    return sum(change.cost for change in some), len(some), sum(steps)


def _step(now: Value | None, change: Change) -> float:
    """By how much of itself a stated number would change; 0 for a choice or where nothing was stated."""
    if now is None or not now.known or now.interval is None:
        return 0.0
    assert change.value.interval is not None
    middle = (now.interval.low + now.interval.high) / 2
    return (change.value.interval.low - middle) / max(abs(middle), 1e-9)


def _nearest_only(
    changes: list[Change], given: Mapping[str, Value], found: Iterable[Found], by_outcome: bool
) -> Iterator[Found]:
    """Of sets that move the same numbers the same way only the first, which has the smallest steps."""
    seen: set[object] = set()
    for each in found:
        moves = frozenset(_move(given, changes[place]) for place in each.places)
        key = (moves, each.kind, each.leading) if by_outcome else moves
        if key not in seen:
            seen.add(key)
            yield each


def _move(given: Mapping[str, Value], change: Change) -> tuple[str, str]:
    if change.value.interval is None:
        return change.fact, change.value.choice
    return change.fact, "up" if _step(given.get(change.fact), change) > 0 else "down"


def _confirmed(
    reasoner: Reasoner,
    given: Mapping[str, Value],
    changes: list[Change],
    found: Iterable[Found],
    goal: Goal,
    finish: str | None,
    everything: bool,
) -> Iterator[Turn]:
    """The cheapest sets that the engine bears out and that contradict nothing; unless all, of each outcome a few."""
    shown: Counter[object] = Counter()
    for places, kind, leading in found:
        some = tuple(changes[place] for place in places)
        facts = as_facts(given, some)
        fixed = any(change.way == "fixed" for change in some)
        outcome = kind, leading, fixed
        enough = shown[fixed] >= SHOWN[fixed] or shown[outcome] >= SHOWN_EACH
        if (enough and not everything) or contradicted(reasoner.base, facts):
            continue
        answer, ranked = answer_alone(reasoner, facts)
        if not goal.one(answer, ranked):
            continue
        shown.update([outcome, fixed])
        verdict = next((each.verdict for each in ranked if each.finish == finish), "")
        yield Turn(some, sum(change.cost for change in some), answer, verdict)
