"""Example floors for a rule: one on which it fires, and one, a single step away, on which it just does not.

Found by working backwards: a value at the edge of each condition, through rules that conclude the findings it needs,
and for computed facts by a bounded search over what they are computed from. The engine then confirms both floors.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import islice, product

from advisor.engines.reasoning import Reasoner
from advisor.facts.computing import compute
from advisor.facts.memory import working_memory
from advisor.model.contradictions import contradicted
from advisor.model.edges import between, meeting, missing, spread
from advisor.model.program import GroundRule, Pattern, unbound
from advisor.model.values import Value
from advisor.physics.validity import OutsideValidity
from explanations.trace import Firing

MOST_WAYS = 400  # of meeting a rule's conditions through other rules
MOST_CHOICES = 600  # of values, where the first ones contradict each other
MOST_SWEEPS = 4  # over the inputs of a computed fact

ENDLESS = float("inf")

Given = dict[str, Value]


@dataclass(frozen=True)
class Witness:
    """A floor on which a rule fires, and what to change so that it just does not (nothing if it always fires)."""

    finish: str
    given: Mapping[str, Value]
    because: str
    changed: str = ""
    to: Value | None = None


class Floors:
    """Finds floors for the rules of one rule base."""

    def __init__(self, reasoner: Reasoner) -> None:
        self.reasoner, self.base = reasoner, reasoner.base
        self._blank = working_memory(self.base, {})
        self._concluding: dict[str, list[GroundRule]] = {}
        for rule in sorted(reasoner.program.rules, key=lambda rule: len(rule.patterns)):
            for finding in rule.findings:
                self._concluding.setdefault(finding, []).append(rule)

    def witness(self, rule: str) -> Witness | None:
        """Example floors for a rule; nothing if none was found within the bounds of the search."""
        found: Witness | None = None
        for finish, form in self._forms(rule):
            for patterns in islice(self._ways(form.patterns, {}), MOST_WAYS):
                given = self._floor(patterns)
                if given is None or not (firing := self._confirmed(rule, finish, given)):
                    continue
                found = found or Witness(finish, given, firing.because)
                for nearer, fact, value in self._changes(form, patterns, given):
                    other = _with(nearer, fact, value)
                    if self._fires(form, other) or self._fires_for(rule, finish, other):
                        continue
                    still = firing if nearer is given else self._confirmed(rule, finish, nearer)
                    if still:
                        return Witness(finish, nearer, still.because, fact, value)
        return found

    def _forms(self, rule: str) -> list[tuple[str, GroundRule]]:
        """The rule's ground forms, each with the finish to show it on, the best known finish first."""
        order = {"": 0, **{finish.id: finish.order for finish in self.base.finishes.values()}}
        forms = [form for form in self.reasoner.program.rules if form.rule == rule]
        chosen = [(min(form.finishes or ("",), key=lambda finish: order[finish]), form) for form in forms]
        return sorted(chosen, key=lambda each: order[each[0]])

    def _confirmed(self, rule: str, finish: str, given: Given) -> Firing | None:
        """What the engine says: the rule's firing for this finish."""
        _, trace = self.reasoner.reason(given, self._blank)
        return next((f for f in trace.firings if f.rule == rule and f.finish == finish), None)

    def _fires_for(self, rule: str, finish: str, given: Given) -> bool:
        """Whether the engine lets the rule fire for this finish."""
        fired = self.reasoner.fired(given, self._blank)
        return any(form.rule == rule and finish in (form.finishes or ("",)) for form in fired)

    def _ways(self, goals: tuple[Pattern, ...], joined: dict[str, Pattern]) -> Iterator[dict[str, Pattern]]:
        """What must be so of the facts for all goals to be met: one way for each choice of rules behind findings."""
        if not goals:
            yield joined
            return
        goal, rest = goals[0], goals[1:]
        if unbound(goal.fact)[0] in self.base.findings:
            for rule in self._concluding.get(goal.fact, ()):
                yield from self._ways((*rule.patterns, *rest), joined)
        elif pattern := _join(joined.get(goal.fact), goal):
            yield from self._ways(rest, {**joined, goal.fact: pattern})

    def _floor(self, patterns: Mapping[str, Pattern]) -> Given | None:
        """Facts to state so that every pattern is met; unknown ones are left out."""
        asked = {name: pattern for name, pattern in patterns.items() if self._asked(name)}
        options = [meeting(self.base.facts[name], pattern) for name, pattern in asked.items()]
        for values in islice(product(*options), MOST_CHOICES):
            given = {name: value for name, value in zip(asked, values, strict=True) if value.known}
            if not contradicted(self.base, given):
                return self._reached(given, patterns)
        return None

    def _reached(self, given: Given, patterns: Mapping[str, Pattern]) -> Given | None:
        """The floor with what the computed facts among the patterns follow from stated too."""
        for name, pattern in patterns.items():
            if not self._asked(name):
                reached = self._reach(name, pattern, given, patterns)
                if reached is None:
                    return None
                given = reached
        return given

    def _asked(self, name: str) -> bool:
        """Whether a case can state the fact."""
        return name in self.base.facts and self.base.facts[name].ask is not None

    def _reach(self, name: str, pattern: Pattern, given: Given, patterns: Mapping[str, Pattern]) -> Given | None:
        """State what a computed fact follows from, so that it meets the pattern: coordinate by coordinate."""
        leaves = self._leaves(name)
        options = {
            leaf: meeting(kind, patterns[leaf]) if leaf in patterns else spread(kind)
            for leaf in leaves
            if (kind := self.base.facts[leaf])
        }
        start = dict(given)
        if self._shortfall(name, pattern, start) == 0:
            return start
        for leaf in leaves:
            tried = _with(start, leaf, options[leaf][0]) if leaf not in start and options[leaf] else start
            start = start if contradicted(self.base, tried) else tried
        for leaf in leaves * MOST_SWEEPS:
            tries = [start, *(_with(start, leaf, value) for value in options[leaf])]
            start = min(tries, key=lambda tried: self._shortfall(name, pattern, tried))
            if self._shortfall(name, pattern, start) == 0:
                return start
        return None

    def _leaves(self, name: str) -> list[str]:
        """The facts that a person can state from which a computed fact follows."""
        computed = self.base.facts[unbound(name)[0]].computed
        inputs = computed.inputs if computed else ()
        found = [leaf for each in inputs for leaf in ([each] if self._asked(each) else self._leaves(each))]
        return list(dict.fromkeys(found))

    def _shortfall(self, name: str, pattern: Pattern, given: Given) -> float:
        """How far a computed fact is from meeting the pattern; endless where the facts cannot be."""
        if contradicted(self.base, given):
            return ENDLESS
        try:
            value = self._value(name, given)
        except OutsideValidity:
            return ENDLESS
        if pattern.holds(value):
            return 0.0
        assert value.interval is not None
        gaps = [
            abs((value.interval.low if c.end == "low" else value.interval.high) - c.bound) / (abs(c.bound) + 1e-9)
            for c in pattern.comparisons
            if not c.holds(value.interval)
        ]
        return sum(gaps) + 1e-6 + (pattern.known is True and not value.known)

    def _value(self, name: str, given: Given) -> Value:
        """A fact of the working memory, without working out the others."""
        plain, about = unbound(name)
        computed = self.base.facts[plain].computed
        if plain in given:
            return given[plain]
        if computed is None:
            return self._blank[plain]
        facts = {each: self._value(each, given) for each in computed.inputs}
        return compute(self.base, plain, facts, self.base.finishes.get(about))

    def _fires(self, rule: GroundRule, given: Given) -> bool:
        """The meaning of the rule base, backwards: cheaper than the engine where one rule is asked for."""
        return all(self._holds(pattern, given) for pattern in rule.patterns)

    def _holds(self, pattern: Pattern, given: Given) -> bool:
        if unbound(pattern.fact)[0] in self.base.findings:
            return any(self._fires(rule, given) for rule in self._concluding.get(pattern.fact, ()))
        return pattern.holds(self._value(pattern.fact, given))

    def _changes(
        self, form: GroundRule, patterns: Mapping[str, Pattern], given: Given
    ) -> Iterator[tuple[Given, str, Value]]:
        """Single changes that could stop the rule: the smallest steps of numbers first, then other values.

        Each comes with the floor it changes: the one given, or one moved closer to the edge.
        """
        own = [pattern.fact for pattern in form.patterns if pattern.fact in patterns]
        names = sorted(dict.fromkeys([*own, *patterns]), key=lambda name: (name not in own, self._is_choice(name)))
        for name in names:
            kind, pattern = self.base.facts[unbound(name)[0]], patterns[name]
            if self._asked(name):
                here = given.get(name) or self._blank[name]
                changes = [(given, name, value) for value in missing(kind, pattern, here)]
            else:
                changes = list(self._computed_changes(name, pattern, given))
            for nearer, fact, value in changes:
                if not contradicted(self.base, _with(nearer, fact, value)):
                    yield nearer, fact, value

    def _is_choice(self, name: str) -> bool:
        return self.base.facts[unbound(name)[0]].type != "number"

    def _computed_changes(self, name: str, pattern: Pattern, given: Given) -> Iterator[tuple[Given, str, Value]]:
        """For each input of a computed fact the edge at which the pattern is no longer met, found by halving."""
        for leaf in self._leaves(name):
            kind = self.base.facts[leaf]
            short = {v: self._shortfall(name, pattern, _with(given, leaf, v)) for v in spread(kind)}
            here = given.get(leaf) or next((value for value, gap in short.items() if gap == 0), None)
            for value in [value for value, gap in short.items() if 0 < gap < ENDLESS][:2]:
                good, bad = here, value
                while good and (middle := between(kind, good, bad)):
                    met = self._shortfall(name, pattern, _with(given, leaf, middle)) == 0
                    good, bad = (middle, bad) if met else (good, middle)
                yield (_with(given, leaf, good) if good else given), leaf, bad


def _with(given: Given, fact: str, value: Value) -> Given:
    """The floor with one fact changed; an unknown one is left out."""
    rest = {name: known for name, known in given.items() if name != fact}
    return {**rest, fact: value} if value.known else rest


def _join(one: Pattern | None, other: Pattern) -> Pattern | None:
    """One pattern that asks what both ask; nothing if no value could meet it."""
    if one is None:
        return other
    if one.values is not None and other.values is not None:
        joined = replace(one, values=one.values & other.values)
    elif None not in (one.known, other.known) and one.known != other.known:
        return None
    else:
        known = one.known if other.known is None else other.known
        joined = replace(one, comparisons=(*one.comparisons, *other.comparisons), known=known)
    return joined if joined.satisfiable else None
