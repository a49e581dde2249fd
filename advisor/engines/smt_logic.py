"""The program in z3, over some facts' variables: when each rule fires, and when each conclusion holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import z3

from advisor.engines.smt_terms import Bool, Term, Vocabulary, either, meets
from advisor.model.grounding import Conclusion, GroundRule, Pattern, Program


class Logic:
    """The program over some facts' variables: when each rule fires, and when each conclusion holds.

    Everything is made when first asked for. `with_facts` gives a second floor that shares with the first all that
    does not rest on the facts in which they differ.
    """

    def __init__(self, vocabulary: Vocabulary, program: Program) -> None:
        self.vocabulary = vocabulary
        self.program = program
        self.terms: dict[str, Term] = dict(vocabulary.terms)
        self._of = {rule.name: rule for rule in program.rules}
        self._concluding: dict[Conclusion, list[GroundRule]] = {}
        for rule in program.rules:
            for conclusion in rule.conclusions:
                self._concluding.setdefault(conclusion, []).append(rule)
        self._found = {
            name: [rule for rule in program.rules if name in rule.findings]
            for name in dict.fromkeys(name for rule in program.rules for name in rule.findings)
        }
        self._bodies: dict[str, Bool] = {}
        self._conclusions: dict[Conclusion, Bool] = {}
        self._patterns: dict[Pattern, Bool] = {}
        self._cones: dict[str, frozenset[str]] = {}

    def fires(self, rule: str) -> Bool:
        """When a ground rule fires."""
        if rule not in self._bodies:
            self._bodies[rule] = z3.And(*(self._met(pattern) for pattern in self._of[rule].patterns))
        return self._bodies[rule]

    def _met(self, pattern: Pattern) -> Bool:
        if pattern not in self._patterns:
            if pattern.fact in self.terms:
                met = meets(self.terms[pattern.fact], pattern)
            else:
                met = either([self.fires(rule.name) for rule in self._found.get(pattern.fact, ())])
            self._patterns[pattern] = met
        return self._patterns[pattern]

    def met(self, patterns: Iterable[Pattern]) -> Bool:
        """When all of some patterns hold, on facts or findings."""
        return z3.And(*(self._met(pattern) for pattern in patterns))

    def concluding(
        self, kind: str, finish: str | None = None, name: str | None = None
    ) -> dict[Conclusion, list[GroundRule]]:
        """The conclusions of a kind, about a finish or of a name, with the rules that conclude each."""
        return {
            c: rules
            for c, rules in self._concluding.items()
            if c.kind == kind and finish in (None, c.finish) and name in (None, c.name)
        }

    def concluded(self, conclusions: Iterable[Conclusion]) -> Bool:
        """When at least one of some conclusions is drawn."""
        return either([self._drawn(conclusion) for conclusion in conclusions])

    def _drawn(self, conclusion: Conclusion) -> Bool:
        if conclusion not in self._conclusions:
            rules = self._concluding.get(conclusion, ())
            self._conclusions[conclusion] = either([self.fires(rule.name) for rule in rules])
        return self._conclusions[conclusion]

    def cone(self, rules: Iterable[GroundRule]) -> frozenset[str]:
        """The facts that rules rest on, through findings as well."""
        return self.facts_beneath(pattern.fact for rule in rules for pattern in rule.patterns)

    def facts_beneath(self, names: Iterable[str]) -> frozenset[str]:
        """The facts themselves, and those beneath findings."""
        return frozenset().union(*(self._beneath(name) for name in names))

    def _beneath(self, name: str) -> frozenset[str]:
        if name not in self._cones:
            self._cones[name] = frozenset({name}) if name in self.terms else self.cone(self._found.get(name, ()))
        return self._cones[name]

    def _beneath_rule(self, rule: str) -> frozenset[str]:
        key = f"rule {rule}"
        if key not in self._cones:
            self._cones[key] = self.cone([self._of[rule]])
        return self._cones[key]

    def with_facts(self, terms: Mapping[str, Term]) -> Logic:
        """The program on a floor that has other variables for some facts."""
        other = Logic.__new__(Logic)
        other.__dict__.update(self.__dict__)
        other.terms = {**self.terms, **terms}
        changed = terms.keys()
        other._bodies = {n: b for n, b in self._bodies.items() if changed.isdisjoint(self._beneath_rule(n))}
        other._patterns = {p: b for p, b in self._patterns.items() if changed.isdisjoint(self._beneath(p.fact))}
        other._conclusions = {
            c: b
            for c, b in self._conclusions.items()
            if all(rule.name in other._bodies for rule in self._concluding.get(c, ()))
        }
        return other
