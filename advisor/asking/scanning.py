"""What a case comes to with each value of each of its facts, one tried of each region that nothing tells apart."""

from __future__ import annotations

from collections.abc import Collection, Container, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property, partial
from itertools import groupby

import numpy as np

from advisor.answer.many_answers import Answers
from advisor.answer.ranking import KINDS, NAMING, Recommendation
from advisor.answer.variants import Variants
from advisor.asking.changes import REFUSED, Change, Marks, Points, Regions, stretch, way_to
from advisor.asking.searching import Goal, Search
from advisor.facts.case import Case
from advisor.facts.memory import working_memory
from advisor.model.values import Value

IMPOSSIBLE = b"contradicts what else is said"


class Scan:
    """What a case comes to with each value of each of its facts; of numbers with those next to the edges.

    Attributes:
        case: the floor.
        points: by fact its values, a number's in order.
        marks: what the case comes to with each: the finish, or the kind of answer.
        recommended: what it comes to as it is; `now` as a mark.
        search: among the changes tried, one of each region.
    """

    def __init__(
        self,
        variants: Variants,
        case: Case,
        given: Mapping[str, Value] | None = None,
        names: Container[str] | None = None,
        goal: Goal | None = None,
    ) -> None:
        """Try all.

        Args:
            variants: for the rule base.
            case: the floor.
            given: the facts that it states, if others than its own.
            names: the facts to try; all that some rule asks for, if not given.
            goal: what is asked besides the answer.
        """
        self.variants, self.case, self._goal = variants, case, goal
        self.memory = working_memory(variants.base, case.facts)
        given = case.as_read if given is None else given
        self._regions = Regions(variants, given, self.memory, names)
        self.points = self._regions.points
        entered = list(self._regions.entered())
        self.search = Search(variants, given, [change for change, _ in entered], goal, apart=())
        _, judged, possible = self.search.alone
        *found, self.now = self._marked(judged)
        kind, leading = KINDS[int(judged.kind[-1])], int(judged.leading[-1])
        self.recommended = Recommendation.of(kind, variants.finishes[leading] if leading >= 0 else None)
        self._outcomes = dict.fromkeys(self._regions.now.items(), self.now)
        for (change, mark), outcome, can_be in zip(entered, found, possible[:-1], strict=True):
            self._outcomes[change.fact, mark] = outcome if can_be else IMPOSSIBLE
        self.marks: Marks = {
            name: [self._outcome(name, mark) for mark in some] for name, some in self._regions.marks.items()
        }

    def whole(self, change: Change) -> Change:
        """A change, said as all values with which the same comes out; of a number the stretch to its edges."""
        points, marks = self.points[change.fact], self.marks[change.fact]
        if change.value not in points:
            fresh = self._outcome(change.fact, self._regions.mark(change.fact, change.value))
            both = {**dict(zip(points, marks, strict=True)), change.value: fresh}
            points = sorted(both, key=lambda value: value.interval.low if value.interval else 0)
            marks = [both[value] for value in points]
        own = points.index(change.value)
        if change.value.interval is None:
            alike = [value for value, mark in zip(points, marks, strict=True) if mark == marks[own]]
            return replace(change, value=alike[0], alike=tuple(each.shown for each in alike[1:]))
        parts = ([at for at, _ in some] for _, some in groupby(enumerate(marks), key=lambda each: each[1]))
        return replace(change, alike=stretch(points, next(places for places in parts if own in places)))

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

    def _outcome(self, name: str, mark: bytes) -> bytes:
        return IMPOSSIBLE if mark == REFUSED else self._outcomes[name, mark]

    def _marked(self, judged: Answers) -> Iterator[bytes]:
        reached = self._goal.many(judged) if self._goal else np.zeros(judged.floors, np.bool)
        for kind, leading, does in zip(judged.kind, judged.leading, reached, strict=True):
            yield (outcome(self.variants, int(kind), int(leading)) + " reached" * bool(does)).encode()


def outcome(variants: Variants, kind: int, leading: int) -> str:
    """The kind of an answer, and which finish it names."""
    name = KINDS[kind]
    return f"{name}: {variants.finishes[leading]}" if name in NAMING else name


class Wholes:
    """Says changes as all values with which the same comes out; those made alone share one scan of all facts."""

    def __init__(self, variants: Variants, case: Case, goal: Goal) -> None:
        self._given, self._scan = case.as_read, partial(Scan, variants, case, goal=goal)

    def whole(self, changes: Sequence[Change]) -> tuple[Change, ...]:
        """Changes made together, each as all values with which, the others as they are, the same comes out."""
        if len(changes) == 1:
            return (self._alone.whole(changes[0]),)
        others = ({other.fact: other.value for other in changes if other is not each} for each in changes)
        scans = (self._scan({**self._given, **more}, [each.fact]) for each, more in zip(changes, others, strict=True))
        return tuple(scan.whole(each) for each, scan in zip(changes, scans, strict=True))

    @cached_property
    def _alone(self) -> Scan:
        return self._scan()
