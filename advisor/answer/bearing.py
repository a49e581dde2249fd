"""What bears on an answer: which of the rules that fired it hangs on, tried by leaving each of them out.

The one notion of a reason that decides; whatever tells reasons in short (sentence, paragraph, gist, letter, lesson)
takes them from here. With everything else as it is, a rule

- *turns it* if without it alone another answer is given;
- turns it *together* with others if without all of them another is given, and without any one fewer of them the same;
  the last of them may be that two finishes are level then, and fewer needs or the order of the rules decide;
- holds it *too* if that is so, and each of them holds the answer by itself (two stops, two exclusions);
- else does not bear on it, and is no reason for it.

All are tried at once, a floor a set of rules left out (`judging`). Of sets the smallest with each rule is taken: of
what stops or holds the floor, of what the leading finish waits for, of what puts it before a finish that is left, and
of what rules out a finish that would else lead.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from advisor.answer.concluding import LEVEL
from advisor.answer.judging import Judge
from advisor.answer.ranking import NAMING, Recommendation, Standing, order_of, parts, weight_of, weights
from advisor.model.bearing import Bearing, Bears, Does
from advisor.model.program import Conclusion
from advisor.model.values import Value
from explanations.trace import ConclusionRecord, Firing, Trace

Rules = frozenset[str]
FLOOR: dict[str, Does] = {"stops": "stops", "holds": "holds", "asks": "holds"}


@dataclass(frozen=True)
class _Set:
    """Rules that may turn the answer together, over which other finish, and whether each suffices to hold it."""

    rules: Rules
    over: str = ""
    each_suffices: bool = False


def bearings(
    judge: Judge, memory: Mapping[str, Value], trace: Trace, ranked: Sequence[Standing]
) -> tuple[Bearing, ...]:
    """The rules that an answer hangs on, in the order in which they are told.

    First what stops or holds the floor, or what the leading finish waits for; then what puts the leading finish before
    the next, the widest first; then all else, what turns the answer alone before what does so together with others.
    Where all points are of one kind, as signs of a cause are, the strongest comes first, of equal ones what the fewest
    share, and last what the others build on: that something went wrong.

    Args:
        judge: for the rule base.
        memory: the floor's working memory.
        trace: of its inference.
        ranked: its standings, best first.
    """
    return tuple(_Bearings(judge, memory, trace, ranked).told())


def leading_so_far(
    judge: Judge, memory: Mapping[str, Value], trace: Trace, ranked: Sequence[Standing]
) -> tuple[Bearing, ...]:
    """Where something stops or holds the floor: the rules by which, were it not for that, the leading finish leads."""
    told = _Bearings(judge, memory, trace, ranked, but=tuple(FLOOR)).told()
    return tuple(each for each in told if each.puts_ahead(ranked[0].finish))


def importance_alone(judge: Judge, memory: Mapping[str, Value], criteria: Sequence[str]) -> dict[str, Recommendation]:
    """The criteria of which only their importance puts the answer where it is, and what would be recommended else.

    Args:
        judge: for the rule base.
        memory: the floor's working memory.
        criteria: each of them is tried as if it mattered as usual, the others as they do.
    """
    fired, weighing, usual = judge.deciding(memory), weights(judge.base, memory), weight_of(judge.base, "normal")
    now = judge.without(fired, weighing, [()])[0]
    found = {each: judge.without(fired, {**weighing, each: usual}, [()])[0] for each in criteria}
    return {each: other for each, other in found.items() if other != now}


class _Bearings:
    """What an answer hangs on; with `but`, as if no rule did any of that (stop the floor, hold it)."""

    def __init__(
        self,
        judge: Judge,
        memory: Mapping[str, Value],
        trace: Trace,
        ranked: Sequence[Standing],
        but: Collection[str] = (),
    ) -> None:
        self.judge, self.base, self.but = judge, judge.base, but
        self.weights, self.fired = weights(judge.base, memory), judge.deciding(memory)
        self.firings: dict[str, list[Firing]] = {}
        for firing in trace.firings:
            self.firings.setdefault(firing.rule, []).append(firing)
        self.standing = {each.finish: each for each in ranked}
        self.left = [each.finish for each in ranked if each.verdict != "ruled out"]
        self.out = [each.finish for each in ranked if each.verdict == "ruled out"]
        self._tried: dict[Rules, Recommendation] = {}
        self.now = self.without([frozenset()])[0]

    def without(self, sets: Sequence[Rules]) -> list[Recommendation]:
        """What is recommended without each of these sets of rules."""
        if new := [each for each in dict.fromkeys(sets) if each not in self._tried]:
            self._tried.update(zip(new, self.judge.without(self.fired, self.weights, new, self.but), strict=True))
        return [self._tried[each] for each in sets]

    def told(self) -> Iterator[Bearing]:
        """All that bears on it, in order."""
        found = [*self._alone(), *self._together()]
        runner_up = self.left[1] if len(self.left) > 1 else ""

        def place(each: Bearing) -> tuple[bool, bool, bool, bool, int, tuple[int, str]]:
            on_floor = each.does in ("stops", "holds", "waits")
            if len(self.base.criteria) == 1:
                return not on_floor, self._opens(each.rule), False, False, -each.points, self._shared(each.rule)
            apart = each.does in ("points", "excludes", "conditions") and (not runner_up or each.over == runner_up)
            return not on_floor, not apart, each.bears != "alone", each.does == "finds", -each.points, (0, each.rule)

        return iter(sorted(found, key=place))

    def _opens(self, rule: str) -> bool:
        """Whether it concludes a finding besides its points, which others build on."""
        return {each.kind for each in self.firings[rule][0].conclusions} >= {"finding", "points"}

    def _shared(self, rule: str) -> tuple[int, str]:
        return len(self.firings[rule]), rule

    # ---- alone ---------------------------------------------------------------------------------------------

    @cached_property
    def alone(self) -> dict[str, Recommendation]:
        """The rules that turn it alone, and what is recommended without each."""
        rules = list(self.firings)
        found = zip(rules, self.without([frozenset([rule]) for rule in rules]), strict=True)
        return {rule: other for rule, other in found if other != self.now}

    def _alone(self) -> Iterator[Bearing]:
        for rule, other in self.alone.items():
            over = other.finish if other.finish and other.finish not in self.left[:1] else ""
            yield self._bearing(rule, over, "alone", frozenset([rule]), other)

    # ---- together ------------------------------------------------------------------------------------------

    def _together(self) -> Iterator[Bearing]:
        """Each rule that turns it with others, by the first of the sets that does and cannot do without it."""
        candidates = [each for each in self._sets() if len(each.rules) > 1]
        told: set[str] = set(self.alone)
        for each, least in zip(candidates, self._least([each.rules for each in candidates]), strict=True):
            for rule in sorted(each for each in least - told if not each.startswith(LEVEL)):
                told.add(rule)
                bears: Bears = "too" if each.each_suffices else "together"
                yield self._bearing(rule, each.over, bears, least, self._tried[least])

    def _least(self, sets: Sequence[Rules]) -> list[Rules]:
        """Of each set of rules that turn it together, some of which none can be spared; empty where they do not."""
        turns = [other != self.now for other in self.without(sets)]
        least = [rules if so else frozenset() for rules, so in zip(sets, turns, strict=True)]
        open_ = set(range(len(sets)))
        while open_ := {at for at in open_ if least[at]}:
            self.without([least[at] - {rule} for at in open_ for rule in least[at]])
            for at in list(open_):
                spared = (least[at] - {rule} for rule in sorted(least[at]))
                fewer = next((some for some in spared if self._tried[some] != self.now), None)
                if fewer is None:
                    open_.discard(at)
                else:
                    least[at] = fewer
        return least

    def _sets(self) -> Iterator[_Set]:
        if self.now.kind not in NAMING:
            for part in ("stops", "holds", "asks"):
                yield _Set(frozenset(self._concluding(part)), each_suffices=True)
            if not self.left:  # then what holds the floor is not all that does
                held = frozenset(rule for part in ("holds", "asks") for rule in self._concluding(part))
                yield from (_Set(held | self._excluding(finish), finish, not held) for finish in self.out)
            return
        leading = self.left[0]
        yield _Set(frozenset(self._concluding("waits", leading)), each_suffices=True)
        for finish in self.left[1:]:
            yield from self._overtaking(leading, finish)
        for finish in self.out:
            yield _Set(self._excluding(finish), finish, True)

    def _concluding(self, part: str, finish: str = "") -> Iterator[str]:
        """The rules that add this part to the answer; of a finish's parts, of this one."""
        for rule, firings in self.firings.items():
            if any(
                part in self._parts(c) and (not finish or c.finish == finish) for f in firings for c in f.conclusions
            ):
                yield rule

    def _parts(self, conclusion: ConclusionRecord) -> tuple[str, ...]:
        return parts(self.base, Conclusion(conclusion.kind, conclusion.name, conclusion.finish, conclusion.points))

    def _excluding(self, finish: str) -> Rules:
        return frozenset(each.rule for each in self.standing[finish].ruled_out_by)

    def _overtaking(self, leading: str, other: str) -> Iterator[_Set]:
        """For each rule that puts the leading finish before another, the smallest set with it that would not."""
        first, second = self.standing[leading], self.standing[other]
        apart = {rule: points for rule, points in self.apart(leading, other).items() if points > 0}
        order = order_of(self.base)
        ahead = (len(first.conditions), order[leading]) < (len(second.conditions), order[other])
        level = first.total - second.total  # points to take away so that the two are level
        for rule in sorted(apart, key=lambda each: (-apart[each], each)):
            others = {each: points for each, points in apart.items() if each != rule}
            for needed, more in ((level + 1, ()), (level, (LEVEL + other,))) if ahead else ((level, ()),):
                if (some := _adding_up(others, needed - apart[rule], needed)) is not None:
                    yield _Set(frozenset([rule, *some, *more]), other)
                    break

    def apart(self, leading: str, other: str) -> dict[str, int]:
        """By rule the weighted points by which it puts the one finish before the other."""
        found: dict[str, int] = {}
        for finish, sign in ((leading, 1), (other, -1)):
            for award in self.standing[finish].awards:
                points = sign * award.points * self.weights[award.criterion]
                found[award.rule] = found.get(award.rule, 0) + points
        return found

    # ---- how it is told ------------------------------------------------------------------------------------

    def _bearing(self, rule: str, over: str, bears: Bears, rules: Rules, other: Recommendation) -> Bearing:
        does, firing, criterion = self._as_told(rule, over)
        points = self.apart(self.left[0], over).get(rule, 0) if over in self.left and self.left else 0
        return Bearing(
            rule=rule,
            because=firing.because,
            finish=firing.finish,
            does=does,
            criterion=criterion,
            points=points,
            over=over or None,
            bears=bears,
            others=tuple(sorted(each for each in rules - {rule} if not each.startswith(LEVEL))),
            level=any(each.startswith(LEVEL) for each in rules),
            to=other.kind,
            to_finish=other.finish or None,
        )

    def _as_told(self, rule: str, over: str) -> tuple[Does, Firing, str]:
        """What the rule does to the answer, and in which of its firings it says so."""
        leading = self.left[0] if self.left else ""
        firings = self.firings[rule]
        if self.now.kind not in NAMING and self.left:
            leading = ""
        for firing in firings:
            for part in (part for each in firing.conclusions for part in self._parts(each)):
                if part in FLOOR and part not in self.but:
                    return FLOOR[part], firing, ""
        about = {firing.finish: firing for firing in firings}
        sides = [about[finish] for finish in (leading, over) if finish and finish in about]
        for firing in sides:
            kinds = {part for each in firing.conclusions for part in self._parts(each)}
            if firing.finish == over and "out" in kinds:
                return "excludes", firing, ""
            if firing.finish == leading and "waits" in kinds:
                return "waits", firing, ""
        awards = [(award.criterion, finish, award.points * self.weights[award.criterion])
                  for finish in dict.fromkeys((leading, over)) if finish
                  for award in self.standing[finish].awards if award.rule == rule]  # fmt: skip
        speaking = [each for each in awards if (each[1] == leading) == (each[2] > 0)]
        if speaking or awards:
            criterion, finish, _ = max(speaking or awards, key=lambda each: abs(each[2]))
            return "points", about[finish], criterion
        if any(each.kind == "first" for firing in sides for each in firing.conclusions):
            return "conditions", sides[-1], ""
        return "finds", sides[0] if sides else firings[0], ""


def _adding_up(points: Mapping[str, int], least: int, most: int) -> tuple[str, ...] | None:
    """The fewest rules whose points add up to at least so much, and to less than `most`; none if none do.

    >>> _adding_up({"a": 5, "b": 3, "c": 1}, 4, 5)
    ('b', 'c')
    >>> _adding_up({"a": 5}, -2, 3)
    ()
    """
    reached: dict[int, tuple[str, ...]] = {0: ()}
    for rule, worth in points.items():
        for total, some in sorted(reached.items(), reverse=True):
            more = total + worth
            if more < most and (more not in reached or len(reached[more]) > len(some) + 1):
                reached[more] = (*some, rule)
    found = [some for total, some in reached.items() if least <= total < most]
    return min(found, key=lambda some: (len(some), some)) if found else None
