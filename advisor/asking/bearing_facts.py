"""Which facts an answer hangs on: each has another value, alone or together with one other, and the answer is seen.

Beside `answer/bearing`, which says the same of rules. All values that some rule tells apart are tried, and of a number
the edge is found from which on the answer turns. A customer's stated importance, and so a weight, is a fact like any
other. With everything else as it is, a fact

- turns it *alone* if with some value of it another answer is given;
- turns it *together* with one other, of which at least one is still open, if with both changed another is given, and
  with neither alone;
- holds it *too* if that is so and the case states both: each as it is holds the answer, whatever the other is;
- else does not bear on it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property, partial
from itertools import combinations, groupby
from typing import Any

import numpy as np

from advisor.answer.advising import answer_alone
from advisor.answer.many_answers import Answers
from advisor.answer.ranking import KINDS, NAMING
from advisor.answer.variants import Variants, variants_of
from advisor.asking.changes import Change, Marks, Points, candidates, patterns_on, points_of, refine, stretch, way_to
from advisor.asking.outlook_words import in_years
from advisor.asking.searching import Goal, Search, changing
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.model.bearing import FactBearing, FactValues
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from explanations.wording import listed

ROUNDS = 3  # in which the stretch that holds an edge is cut
IMPOSSIBLE = b"contradicts what else is said"


def turning_alone(reasoner: Reasoner, case: Case) -> tuple[FactBearing, ...]:
    """The facts that turn the answer alone, those that the case states first, in the order of the vocabulary.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
    """
    return tuple(_alone(case, Scan(variants_of(reasoner), case)))


def bearing_facts(reasoner: Reasoner, case: Case) -> tuple[FactBearing, ...]:
    """Every fact that some rule asks for, and how it bears on the answer: alone first, what does not bear last.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
    """
    variants = variants_of(reasoner)
    scan = Scan(variants, case)
    told = {each.fact: each for each in _alone(case, scan)}
    for both, to in _pairs(reasoner, case, scan):
        too = all(_stated(case, each.fact) for each in both)
        for each, other in (both, both[::-1]):
            if each.fact not in told:
                values = FactValues(fact=other.fact, values=other.to)
                told[each.fact] = _bearing(
                    case,
                    each.fact,
                    each.to,
                    bears="too" if too else "together",
                    to=(to,),
                    cost=each.cost,
                    others=(values,),
                )
    for name in scan.points:
        told.setdefault(name, _bearing(case, name, "", bears="not", cost=0.0))
    order = ("alone", "together", "too", "not")
    return tuple(sorted(told.values(), key=lambda each: (order.index(each.bears), not each.stated)))


def _alone(case: Case, scan: Scan) -> list[FactBearing]:
    same = {scan.now, IMPOSSIBLE}
    found = []
    for name, some in scan.marks.items():
        turning = [value for value, mark in zip(scan.points[name], some, strict=True) if mark not in same]
        if turning:
            to = tuple(dict.fromkeys(mark.decode() for mark in some if mark not in same))
            words, cost = _words(scan.points[name], turning), scan.cost(name, turning)
            found.append(_bearing(case, name, words, bears="alone", to=to, cost=cost))
    return sorted(found, key=lambda each: not each.stated)


def _pairs(reasoner: Reasoner, case: Case, scan: Scan) -> Iterator[tuple[tuple[Change, ...], str]]:
    """All pairs of changes that turn the answer, neither of which does alone, and to what; the cheapest first.

    One value stands for all that the same patterns hold of. Where something is computed from both facts that is not
    enough, for with the one the regions of the other move: there a grid of values is tried.
    """
    variants = variants_of(reasoner)
    answer, _ = answer_alone(reasoner, case.facts)
    goal = changing(variants, answer)
    search = Search(variants, case.as_read, candidates(variants, case, everything=True), goal, apart=())
    pairs = [each for each in search.minimal(2) if len(each.places) == 2]
    pairs.sort(key=lambda pair: sum(search.changes[place].cost for place in pair.places))
    beside_it = _computed_with(variants.base)
    grid = [Change(name, value) for name, some in scan.thinned(beside_it).items() for value in some]
    beside = Search(variants, case.as_read, grid, goal, apart=())
    computed = [
        (one, other)
        for one, other in combinations(range(len(grid)), 2)
        if grid[other].fact in beside_it[grid[one].fact]
    ]
    for searched, found in ((search, pairs), (beside, beside.works(computed))):
        for each in found:
            both = tuple(searched.changes[place] for place in each.places)
            yield both, _outcome(variants, each.kind, each.leading)


def _computed_with(base: RuleBase) -> dict[str, set[str]]:
    """By fact the others from which, together with it, something is computed."""
    found: dict[str, set[str]] = {}
    for kind in base.facts.values():
        behind = set(kind.computed.inputs) if kind.computed else set()
        for inner in reversed(base.facts):  # a computed fact follows its inputs in the vocabulary, or is checked later
            if inner in behind and (computed := base.facts[inner].computed):
                behind |= set(computed.inputs)
        for name in behind:
            found.setdefault(name, set()).update(behind - {name})
    return found


def _bearing(case: Case, name: str, values: str, **more: Any) -> FactBearing:
    return FactBearing(fact=name, values=values, stated=_stated(case, name), **{"others": (), "to": (), **more})


def _stated(case: Case, name: str) -> bool:
    return name in case.facts and case.facts[name].known


def _outcome(variants: Variants, kind: int, leading: int) -> str:
    """The kind of an answer, and which finish it names."""
    name = KINDS[kind]
    return f"{name}: {variants.finishes[leading]}" if name in NAMING else name


class Scan:
    """What a case comes to with each value of each of its facts, and of numbers with those about the edges."""

    def __init__(
        self,
        variants: Variants,
        case: Case,
        others: Sequence[Change] = (),
        names: Sequence[str] | None = None,
        goal: Goal | None = None,
    ) -> None:
        """Try all.

        Args:
            variants: for the rule base.
            case: the floor.
            others: changes that are made as well, each time.
            names: the facts to try; all that some rule asks for, if not given.
            goal: what is asked besides the answer.
        """
        self.variants, self.case, self.others, self.goal = variants, case, others, goal
        self.memory = working_memory(variants.base, case.facts)
        hanging = patterns_on(variants, case.as_read)
        hanging = {name: some for name, some in hanging.items() if names is None or name in names}
        self.points: Points = {
            name: points_of(variants, name, self.memory[name], some) for name, some in hanging.items()
        }
        self.marks = self._tried(self.points)
        refine(variants.base, hanging, self.points, self.marks, self._tried, ROUNDS)

    def whole(self, change: Change) -> Change:
        """A change, said as all values with which the same comes out; of a number the stretch to its edges."""
        both = dict(zip(self.points[change.fact], self.marks[change.fact], strict=True))
        if change.value not in both:
            both[change.value] = self._tried({change.fact: [change.value]})[change.fact][0]
        mark = both[change.value]
        if change.value.interval is None:
            alike = [value for value in both if both[value] == mark]
            return replace(change, value=alike[0], alike=tuple(each.shown for each in alike[1:]))
        points = sorted(both, key=lambda value: value.interval.low if value.interval else 0)
        parts = (list(some) for _, some in groupby(points, key=lambda value: both[value] == mark))
        return replace(change, alike=stretch(points, next(some for some in parts if change.value in some)))

    def cost(self, name: str, values: Sequence[Value]) -> float:
        """What the cheapest of some values of a fact takes."""
        return min(way_to(self.variants.base, name, self.memory, value)[1] for value in values)

    def thinned(self, names: Collection[str], most: int = 12) -> Points:
        """Of each of these facts that is tried, values that turn nothing alone, at most so many."""
        found: Points = {}
        for name, values in self.points.items():
            if name in names:
                idle = [value for value, mark in zip(values, self.marks[name], strict=True) if mark == self.now]
                places = {round(place * (len(idle) - 1) / (most - 1)) for place in range(most)}
                found[name] = [idle[place] for place in sorted(places) if idle]
        return found

    def _tried(self, points: Mapping[str, Sequence[Value]]) -> Marks:
        """What the case comes to with each value: the finish, or the kind of answer; `now` is it as it is."""
        changes = [Change(name, value) for name, some in points.items() for value in some]
        more = len(changes) + np.arange(len(self.others))
        sets = np.array([[place, *more] for place in (*range(len(changes)), -1)], np.int64)
        judged, possible = Search(self.variants, self.case.as_read, [*changes, *self.others]).answers(sets)
        marks = iter(self._marked(judged))
        found = [mark if can_be else IMPOSSIBLE for mark, can_be in zip(marks, possible, strict=True)]
        self.now = found.pop()
        left = iter(found)
        return {name: [next(left) for _ in some] for name, some in points.items()}

    def _marked(self, judged: Answers) -> Iterator[bytes]:
        reached = self.goal.many(judged) if self.goal else np.zeros(judged.floors, np.bool)
        for kind, leading, does in zip(judged.kind, judged.leading, reached, strict=True):
            yield (_outcome(self.variants, int(kind), int(leading)) + " reached" * bool(does)).encode()


def _words(points: Sequence[Value], turning: Sequence[Value]) -> str:
    """The values in words: of a number the stretches between their edges."""
    if turning[0].interval is None:
        return listed([value.shown for value in turning], "or")
    return listed(_stretches(points, set(turning)), "or")


def _stretches(points: Sequence[Value], turning: set[Value]) -> Iterator[str]:
    for turns, some in groupby(points, key=lambda value: value in turning):
        if turns:
            values = list(some)
            yield in_years((stretch(points, values) or (values[0].shown,))[0])


class Wholes:
    """Says changes as all values with which the same comes out; those made alone share one scan of all facts."""

    def __init__(self, variants: Variants, case: Case, goal: Goal) -> None:
        self._scan = partial(Scan, variants, case, goal=goal)

    def whole(self, changes: Sequence[Change]) -> tuple[Change, ...]:
        """Changes made together, each as all values with which, the others as they are, the same comes out."""
        if len(changes) == 1:
            return (self._alone.whole(changes[0]),)
        others = ([other for other in changes if other is not each] for each in changes)
        return tuple(self._scan(more, [each.fact]).whole(each) for each, more in zip(changes, others, strict=True))

    @cached_property
    def _alone(self) -> Scan:
        return self._scan()
