"""What turned one answer into another: of all that is concluded or counted otherwise, what makes the difference.

Each change (what one rule says of one finish or of the floor; what one point under a criterion counts) is tried by
taking it back while all others stay, and by itself while no other comes. A change is

- *needed* if another answer is given without it;
- *enough* if another answer than before is given with it alone;
- *together* if no change is either, and it is among the fewest of which one must stay.

All else makes no difference, whatever it changes. Every trial is one floor, a bit of a whole number (`concluding`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from advisor.answer.concluding import Concluding
from advisor.answer.ranking import Recommendation, parts
from advisor.model.knowledge import RuleBase
from advisor.model.program import Conclusion, GroundRule, Program
from explanations.trace import Firing, Trace

Turns = Literal["needed", "enough", "together"]
Said = dict[tuple[str, str], tuple[Conclusion, ...]]  # by rule and finish: what the answer is made of
Change = tuple[str, str]  # a rule and the finish that it speaks of, or an importance: "", and its criterion


@dataclass(frozen=True)
class Reasoned:
    """One of two answers: what fired, and what one point under each criterion counts."""

    trace: Trace
    weights: Mapping[str, int]
    finishes: Collection[str]


@dataclass(frozen=True)
class Turner:
    """A change that turns the answer.

    Attributes:
        turns: whether it is needed for that, enough, or only together with others.
        gone: whether the rule spoke before, and no more.
        firing: the rule as it fired, last where it fired for both; none of an importance.
        criterion: that counts otherwise, of an importance.
        importance: the fact that says how much it matters.
        points: of the finish that the rule speaks of: weighted, before and after; or what one point counts.
    """

    turns: Turns
    gone: bool = False
    firing: Firing | None = None
    criterion: str = ""
    importance: str = ""
    points: tuple[int, int] = (0, 0)


def turners(base: RuleBase, before: Reasoned, after: Reasoned) -> tuple[Turner, ...]:
    """The changes that turn the one answer into the other; none where both come to the same.

    Those needed come first, then those that are enough; of each, what only gives back the answer before comes first.

    Args:
        base: the rule base of the answer after.
        before: the answer before.
        after: the answer after.
    """
    return tuple(_Shift(base, before, after).turners())


class _Shift:
    def __init__(self, base: RuleBase, before: Reasoned, after: Reasoned) -> None:
        self.base, self.before, self.after = base, before, after
        both = set(before.finishes) & set(after.finishes)
        self.was, self.now = (self._said(each, both) for each in (before, after))
        self.rules = [key for key in {**self.now, **self.was} if self.was.get(key) != self.now.get(key)]
        self.weights = [name for name in base.criteria if before.weights.get(name) != after.weights[name]]
        self.changes: list[Change] = [*self.rules, *(("", name) for name in self.weights)]

    def _said(self, one: Reasoned, both: Collection[str]) -> Said:
        """By rule and finish what bears on the answer; of finishes that only one answer knows, what is said after."""
        fired = [each for each in one.trace.firings if not each.finish or each.finish in both]
        fired += [each for each in self.after.trace.firings if each.finish and each.finish not in both]
        found: dict[tuple[str, str], set[Conclusion]] = {}
        for firing in fired:
            for each in firing.conclusions:
                conclusion = Conclusion(each.kind, each.name, each.finish, each.points)
                if (not each.finish or each.finish in self.base.finishes) and parts(self.base, conclusion):
                    found.setdefault((firing.rule, firing.finish), set()).add(conclusion)
        return {key: tuple(sorted(some, key=lambda each: (each.kind, each.name))) for key, some in found.items()}

    def without(self, sets: Sequence[Collection[Change]]) -> list[Recommendation]:
        """What is recommended with each of these sets of changes taken back, and all others made."""
        everything, back = (1 << len(sets)) - 1, dict.fromkeys(self.changes, 0)
        for place, some in enumerate(sets):
            for each in some:
                back[each] |= 1 << place
        pieces: list[tuple[GroundRule, int]] = []
        for key in {**self.now, **self.was}:
            undone = back.get(key, 0)
            for conclusions, where in ((self.now.get(key, ()), everything & ~undone), (self.was.get(key, ()), undone)):
                for conclusion in conclusions:
                    for counted, on in self._weighed(conclusion, where, back):
                        pieces += [(GroundRule(str(len(pieces)), "", "", (), (counted,)), on)] if on else []
        concluding = Concluding(self.base, Program(tuple(rule for rule, _ in pieces), {}))
        found = concluding.recommendations(pieces, everything, everything, dict.fromkeys(self.base.criteria, 1))
        places = {place: each for each, have in found.items() for place in range(len(sets)) if have >> place & 1}
        return [places[place] for place in range(len(sets))]

    def _weighed(
        self, conclusion: Conclusion, where: int, back: Mapping[Change, int]
    ) -> Iterator[tuple[Conclusion, int]]:
        """A conclusion with its points as they count: on some floors as before, on the others as after."""
        if conclusion.kind != "points":
            yield conclusion, where
            return
        as_before = back.get(("", conclusion.name), 0)
        for side, on in ((self.after, where & ~as_before), (self.before, where & as_before)):
            yield replace(conclusion, points=conclusion.points * side.weights.get(conclusion.name, 1)), on

    def turners(self) -> Iterator[Turner]:
        """What turns it, in order."""
        everything = frozenset(self.changes)
        now, was = self.without([(), everything])
        if now == was:
            return
        taken_back = dict(zip(self.changes, self.without([[each] for each in self.changes]), strict=True))
        by_itself = dict(zip(self.changes, self.without([everything - {each} for each in self.changes]), strict=True))
        needed = [each for each in self.changes if taken_back[each] != now]
        enough = [each for each in self.changes if by_itself[each] != was and each not in needed]
        for each in sorted(needed, key=lambda each: (taken_back[each] != was, self._place(each))):
            yield self._turner(each, "needed")
        for each in sorted(enough, key=lambda each: (by_itself[each] != now, self._place(each))):
            yield self._turner(each, "enough")
        if not needed and not enough:
            for each in sorted(self._fewest(now), key=self._place):
                yield self._turner(each, "together")

    def _fewest(self, now: Recommendation) -> list[Change]:
        """A set of changes which, all taken back, give another answer, and of which none can be spared."""
        kept, step = sorted(self.changes, key=self._place, reverse=True), len(self.changes)
        while step:
            for start in range(0, len(kept), step):
                fewer = kept[:start] + kept[start + step :]
                if self.without([fewer])[0] != now:
                    kept = fewer
                    break
            else:
                step //= 2
        return kept

    def _place(self, each: Change) -> tuple[bool, int, Change]:
        """What stops, excludes or holds first, then the widest points."""
        was, after = self._points(each)
        return was != after, -abs(after - was), each

    def _points(self, each: Change) -> tuple[int, int]:
        if not each[0]:
            return self.before.weights.get(each[1], 1), self.after.weights[each[1]]
        was, now = (
            sum(c.points * side.weights.get(c.name, 1) for c in said.get(each, ()) if c.kind == "points")
            for side, said in ((self.before, self.was), (self.after, self.now))
        )
        return was, now

    def _turner(self, each: Change, turns: Turns) -> Turner:
        if not each[0]:
            fact = self.base.criteria[each[1]].importance or ""
            return Turner(turns, criterion=each[1], importance=fact, points=self._points(each))
        gone = each not in self.now
        trace = (self.before if gone else self.after).trace
        firing = next(fired for fired in trace.firings if (fired.rule, fired.finish) == each)
        return Turner(turns, gone, firing, points=self._points(each))
