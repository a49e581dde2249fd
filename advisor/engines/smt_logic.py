"""The program in z3, over some facts' variables: when each rule fires, and when each conclusion holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.engines.smt_terms import Bool, Term, Vocabulary, both, either, meets
from advisor.model.program import Conclusion, GroundRule, Pattern, Program


class Logic:
    """The program over some facts' variables: when each rule fires, and when each conclusion holds.

    Everything is made when first asked for. `with_facts` gives a second floor that takes from the first all that does
    not rest on the facts in which they differ.
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
        self._by_kind: dict[str, dict[Conclusion, list[GroundRule]]] = {}
        for conclusion, rules in self._concluding.items():
            self._by_kind.setdefault(conclusion.kind, {})[conclusion] = rules
        self._bodies: dict[str, Bool] = {}
        self._conclusions: dict[Conclusion, Bool] = {}
        self._patterns: dict[Pattern, Bool] = {}
        self._cones: dict[str, frozenset[str]] = {}
        self._cones_of_conclusions: dict[Conclusion, frozenset[str]] = {}
        self._first: Logic | None = None  # the floor from which this one differs, and in what
        self._changed: frozenset[str] = frozenset()

    def fires(self, rule: str) -> Bool:
        """When a ground rule fires."""
        if rule not in self._bodies:
            if self._first and self._changed.isdisjoint(self._beneath_rule(rule)):
                self._bodies[rule] = self._first.fires(rule)
            else:
                self._bodies[rule] = self.met(self._of[rule].patterns)
        return self._bodies[rule]

    def _met(self, pattern: Pattern) -> Bool:
        if pattern not in self._patterns:
            if self._first and self._changed.isdisjoint(self._beneath(pattern.fact)):
                met = self._first._met(pattern)
            elif pattern.fact in self.terms:
                met = meets(self.terms[pattern.fact], pattern)
            else:
                met = either(self.fires(rule.name) for rule in self.finding(pattern.fact))
            self._patterns[pattern] = met
        return self._patterns[pattern]

    def met(self, patterns: Iterable[Pattern]) -> Bool:
        """When all of some patterns hold, on facts or findings."""
        return both(self._met(pattern) for pattern in patterns)

    def concluding(self, kind: str, finish: str | None = None) -> dict[Conclusion, list[GroundRule]]:
        """The conclusions of a kind, about a finish, with the rules that conclude each."""
        return {c: rules for c, rules in self._by_kind.get(kind, {}).items() if finish in (None, c.finish)}

    def drawing(self, conclusion: Conclusion) -> list[GroundRule]:
        """The rules that draw a conclusion; none if nothing does."""
        return self._concluding.get(conclusion, [])

    def finding(self, name: str) -> list[GroundRule]:
        """The rules that conclude a finding, by its name in working memory; none if nothing does."""
        return self._found.get(name, [])

    def concluded(self, conclusions: Iterable[Conclusion]) -> Bool:
        """When at least one of some conclusions is drawn."""
        return either(self._drawn(conclusion) for conclusion in conclusions)

    def _drawn(self, conclusion: Conclusion) -> Bool:
        if conclusion not in self._conclusions:
            if self._first and self._changed.isdisjoint(self._beneath_conclusion(conclusion)):
                self._conclusions[conclusion] = self._first._drawn(conclusion)
            else:
                self._conclusions[conclusion] = either(self.fires(rule.name) for rule in self.drawing(conclusion))
        return self._conclusions[conclusion]

    def cone(self, rules: Iterable[GroundRule]) -> frozenset[str]:
        """The facts that rules rest on, through findings as well."""
        return self.facts_beneath(pattern.fact for rule in rules for pattern in rule.patterns)

    def facts_beneath(self, names: Iterable[str]) -> frozenset[str]:
        """The facts themselves, and those beneath findings."""
        return frozenset().union(*(self._beneath(name) for name in names))

    def _beneath(self, name: str) -> frozenset[str]:
        if name not in self._cones:
            self._cones[name] = frozenset({name}) if name in self.terms else self.cone(self.finding(name))
        return self._cones[name]

    def _beneath_rule(self, rule: str) -> frozenset[str]:
        key = f"rule {rule}"
        if key not in self._cones:
            self._cones[key] = self.cone([self._of[rule]])
        return self._cones[key]

    def _beneath_conclusion(self, conclusion: Conclusion) -> frozenset[str]:
        if conclusion not in self._cones_of_conclusions:
            self._cones_of_conclusions[conclusion] = self.cone(self.drawing(conclusion))
        return self._cones_of_conclusions[conclusion]

    def with_facts(self, terms: Mapping[str, Term]) -> Logic:
        """The program on a floor that has other variables for some facts."""
        other = Logic.__new__(Logic)
        other.__dict__.update(self.__dict__)
        other.terms = {**self.terms, **terms}
        other._first, other._changed = self, frozenset(terms)
        other._bodies, other._patterns, other._conclusions = {}, {}, {}
        return other
