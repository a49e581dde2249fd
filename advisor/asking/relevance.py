"""Which open facts can still matter: what surely holds of a set of floors, and which finishes are in the running.

A set of floors is given by the values that each fact can have. A rule surely fires if all values meet its patterns,
and may fire if some do.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from itertools import combinations_with_replacement, pairwise

from advisor.answer.judging import Judge
from advisor.answer.ranking import parts
from advisor.asking.sampling import mooted, open_facts
from advisor.model.program import Conclusion, GroundRule, Pattern, unbound
from advisor.model.values import Value, number, unknown
from advisor.physics.bounds import Interval

Domains = dict[str, list[Value]]


def domains_of(judge: Judge, memory: Mapping[str, Value]) -> Domains:
    """For each fact the values that the rules can tell apart; one where it is known."""
    base, undecided = judge.base, open_facts(judge, memory)
    moot = {name for each in base.contradictions.values() for name in mooted(each)}
    found: Domains = {}
    for fact, value in memory.items():
        name = unbound(fact)[0]
        if judge.is_computed(memory, fact) and _loose(memory, fact, undecided):
            found[fact] = list(_within(judge, fact, value))
        elif name in undecided:
            found[fact] = _told_apart(judge, fact, [outcome.value for outcome in undecided[name]])
            if name in moot:
                found[fact].append(unknown(base.facts[name]))
        else:
            found[fact] = [value]
    return found


def _told_apart(judge: Judge, fact: str, values: Iterable[Value]) -> list[Value]:
    """One value of each group that every pattern treats alike."""
    patterns = judge.patterns.get(fact, ())
    if judge.base.facts[unbound(fact)[0]].type != "number" and fact in judge.contradictable:
        return list(values)  # contradictions tell them apart too
    groups: dict[tuple[bool, ...], Value] = {}
    for value in values:
        groups.setdefault(tuple(pattern.holds(value) for pattern in patterns), value)
    return list(groups.values())


def _loose(memory: Mapping[str, Value], fact: str, undecided: Collection[str]) -> bool:
    """Whether a computed fact rests on an open one."""
    return any(each in undecided or _loose(memory, each, undecided) for each in memory[fact].inputs)


def _within(judge: Judge, fact: str, value: Value) -> Iterable[Value]:
    """What a computed fact can be once its inputs are known: any interval within its bounds."""
    assert value.interval is not None
    unit = judge.base.facts[unbound(fact)[0]].unit
    low, high = value.interval.low, value.interval.high
    cuts = sorted({each for each in judge.limits.get(fact, ()) if low <= each <= high})
    edges = [low, *cuts, high]
    ends = sorted({*edges, *((one + other) / 2 for one, other in pairwise(edges))})
    # A pattern asks something of each end apart, so that it is asked once of each and not of all pairs.
    patterns = [each for each in judge.patterns.get(fact, ()) if each.known is not False]
    as_low, as_high = ([_met_by(patterns, which, Interval(each, each)) for each in ends] for which in ("low", "high"))
    groups: dict[int, tuple[float, float]] = {}
    for one, other in combinations_with_replacement(range(len(ends)), 2):
        groups.setdefault(as_low[one] & as_high[other], (ends[one], ends[other]))
    return [number(Interval(*pair), unit, "computed") for pair in groups.values()]


def _met_by(patterns: Iterable[Pattern], which: str, end: Interval) -> int:
    """The patterns whose comparisons of the low, or the high, end hold for it, each as one bit."""
    return sum(
        1 << place
        for place, pattern in enumerate(patterns)
        if all(each.holds(end) for each in pattern.comparisons if each.end == which)
    )


class Relevance:
    """A set of floors: what surely holds of all of them, and which facts can still matter."""

    def __init__(self, judge: Judge, domains: Domains, weights: Mapping[str, int]) -> None:
        self.base, self.domains = judge.base, domains
        self.surely: set[str] = set()  # findings
        self.maybe: set[str] = set()
        self.sure: list[GroundRule] = []
        self.unsure: list[GroundRule] = []
        self._holding: dict[Pattern, tuple[bool, bool]] = {}
        for rule in judge.rules:
            every = [self._holds(pattern) for pattern in rule.patterns]
            if all(surely for surely, _ in every):
                self.sure.append(rule)
                self.surely.update(rule.findings)
                self.maybe.update(rule.findings)
            elif all(may for _, may in every):
                self.unsure.append(rule)
                self.maybe.update(rule.findings)
        self.surely_stops = any("stops" in parts(self.base, c) for rule in self.sure for c in rule.conclusions)
        self.alive = self._in_the_running(weights)
        self.asked: dict[str, int] = {}
        self.matter = self._facts_that_matter()

    def _holds(self, pattern: Pattern) -> tuple[bool, bool]:
        """Whether the pattern is met on all floors, and on some."""
        if pattern.fact not in self.domains:
            return pattern.fact in self.surely, pattern.fact in self.maybe
        if pattern not in self._holding:
            met = [pattern.holds(value) for value in self.domains[pattern.fact]]
            self._holding[pattern] = all(met), any(met)
        return self._holding[pattern]

    def _in_the_running(self, weights: Mapping[str, int]) -> set[str]:
        """The finishes that lead on some floor, as far as sums of points can tell."""
        out = {c.finish for rule in self.sure for c in rule.conclusions if c.kind == "rule_out"}
        may_out = {c.finish for rule in self.unsure for c in rule.conclusions if c.kind == "rule_out"}
        left = [finish for finish in self.base.finishes if finish not in out]
        fixed = dict.fromkeys(left, 0)
        for rule in self.sure:
            for finish, counted in _points(rule, weights).items():
                if finish in fixed:
                    fixed[finish] += counted
        swings = [(rule, points) for rule in self.unsure if (points := _points(rule, weights))]
        behind = set()
        for better in left:
            if better in may_out:
                continue
            for worse in left:
                if worse != better and worse not in behind and better not in behind:
                    least = fixed[better] - fixed[worse] + self._least(swings, better, worse)
                    if least > 0:
                        behind.add(worse)
        return set(left) - behind

    def _least(self, swings: list[tuple[GroundRule, dict[str, int]]], better: str, worse: str) -> int:
        """Least that the unsure rules can add to the lead of one finish over another.

        Rules that hang on one fact alone cannot fire together where its values exclude each other.
        """
        least = 0
        alone: dict[str, list[tuple[Pattern, int]]] = {}
        for rule, points in swings:
            lead = points.get(better, 0) - points.get(worse, 0)
            if not lead:
                continue
            unsure = [pattern for pattern in rule.patterns if not self._holds(pattern)[0]]
            if len(unsure) == 1 and unsure[0].fact in self.domains:
                alone.setdefault(unsure[0].fact, []).append((unsure[0], lead))
            else:
                least += min(lead, 0)
        for fact, leads in alone.items():
            least += min(sum(lead for pattern, lead in leads if pattern.holds(value)) for value in self.domains[fact])
        return least

    def _facts_that_matter(self) -> list[str]:
        """The open facts that unsure rules ask for, of those that can move the recommendation."""
        pending = [rule for rule in self.unsure if any(self._moves(c) for c in rule.conclusions)]
        facts: set[str] = set()
        seen: set[str] = set()
        while pending:
            rule = pending.pop()
            for pattern in rule.patterns:
                if pattern.fact in self.domains:
                    if len(self.domains[pattern.fact]) > 1:
                        facts.add(pattern.fact)
                        self.asked[pattern.fact] = self.asked.get(pattern.fact, 0) + 1
                elif pattern.fact not in self.surely and pattern.fact not in seen:
                    seen.add(pattern.fact)
                    pending += [each for each in self.unsure if pattern.fact in each.findings]
        return [name for name in self.domains if name in facts]

    def _moves(self, conclusion: Conclusion) -> bool:
        """Whether it can change the answer; points and conditions do only where there is another finish."""
        found = set(parts(self.base, conclusion))
        if not conclusion.finish:
            return bool(found)
        return conclusion.finish in self.alive and (
            bool(found & {"out", "waits"}) or (bool(found) and len(self.alive) > 1)
        )


def _points(rule: GroundRule, weights: Mapping[str, int]) -> dict[str, int]:
    found: dict[str, int] = {}
    for conclusion in rule.conclusions:
        if conclusion.kind == "points":
            found[conclusion.finish] = found.get(conclusion.finish, 0) + weights[conclusion.name] * conclusion.points
    return found
