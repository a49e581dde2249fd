"""The every-case reading: the rules in z3, for questions about all floors that there can be.

A choice is a proposition for each of its values, at most one of them true; none is true of a fact that is unknown. A
number is its ends, two reals within the vocabulary's range, and whether it is known; unknown, it spans the range.
There are no cycles among findings, so each holds exactly if one of its rules fires: an "or" of bodies.

Abstraction: computed facts are free. Their ends may lie anywhere in their range, whatever they are computed from;
only that they are known exactly if their inputs are is kept. So what is proved here holds of every real floor. A floor
found here may be one that no inputs produce: `realised` looks for inputs that do, by the columns reading.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Any, TypeAlias

import numpy as np
import z3

from advisor.facts.computed import FORMULAS, Formula, _needless
from advisor.facts.quantities import keep
from advisor.facts.values import Value, choice, number
from advisor.inference.columns import (
    ChoiceColumn,
    Column,
    Columns,
    Flags,
    NumberColumn,
    columns_of,
    floor_at,
    keep_all,
)
from advisor.inference.computed_columns import working_columns
from advisor.inference.conditions import Comparison, parse_condition
from advisor.inference.grounding import (
    Conclusion,
    GroundRule,
    Pattern,
    Program,
    bound,
    contradicted,
    ground,
    pattern_on,
    unbound,
)
from advisor.inference.many_cases import Fired, ManyCases, bounds_of
from advisor.physics.bounds import Interval
from advisor.rulebase.knowledge import UNKNOWN, FactKind, RuleBase

Bool: TypeAlias = Any  # z3 carries no types
Goal: TypeAlias = Callable[[Columns, Fired], Flags]  # which floors, by their columns and the rules that fire
BILLION = 10**9
TRIED = 20  # of those drawn that meet a goal, how many are looked at more closely
DRAWN = 16_384  # floors tried where the inputs of computed facts must be found


@dataclass(frozen=True)
class Choice:
    """A choice: a proposition for each of its values."""

    values: Mapping[str, Bool]

    @property
    def known(self) -> Bool:
        """One of the values is the floor's."""
        return z3.Or(*self.values.values())

    def among(self, allowed: Iterable[str]) -> Bool:
        """It has one of these values, `unknown` included."""
        wanted = set(allowed)
        return z3.Or(
            *(term for value, term in self.values.items() if value in wanted),
            *([z3.Not(self.known)] if UNKNOWN in wanted else []),
        )


@dataclass(frozen=True)
class Number:
    """A number: its ends, and whether it is known."""

    low: Any
    high: Any
    known: Bool

    def meets(self, comparison: Comparison) -> Bool:
        """One end against a bound."""
        end, limit = self.low if comparison.end == "low" else self.high, exact(comparison.bound)
        match comparison.op:
            case ">":
                return end > limit
            case ">=":
                return end >= limit
            case "<":
                return end < limit
        return end <= limit


Term: TypeAlias = Choice | Number


def exact(value: float) -> Any:
    """A kept number as z3's rational, without rounding."""
    return z3.Q(round(value * BILLION), BILLION)


def either(terms: Iterable[Bool]) -> Bool:
    """The or of propositions, made without the checks that z3's own wrapper makes of each."""
    refs = [term.as_ast() for term in terms]
    if not refs:
        return z3.BoolVal(False)
    context = z3.main_ctx()
    return z3.BoolRef(z3.Z3_mk_or(context.ref(), len(refs), (z3.Ast * len(refs))(*refs)), context)


class Vocabulary:
    """The facts as z3's variables, and what is true of each on every floor."""

    def __init__(self, base: RuleBase) -> None:
        self.base = base
        names = [n for n, kind in base.facts.items() if kind.of == "floor"]
        names += [bound(n, f) for n, kind in base.facts.items() if kind.of == "finish" for f in base.finishes]
        self.terms: dict[str, Term] = {name: self.fresh(name) for name in names}

    def kind(self, name: str) -> FactKind:
        """The kind of a fact, also of one about a finish."""
        return self.base.facts[unbound(name)[0]]

    def fresh(self, name: str, mark: str = "") -> Term:
        """New variables for a fact."""
        kind = self.kind(name)
        if kind.type != "number":
            return Choice({value: z3.Bool(f"{name}{mark}={value}") for value in kind.choices})
        return Number(z3.Real(f"{name}{mark}.low"), z3.Real(f"{name}{mark}.high"), z3.Bool(f"{name}{mark}.known"))

    def truths(self, name: str, term: Term) -> list[Bool]:
        """What is true of a fact on every floor."""
        kind = self.kind(name)
        if isinstance(term, Choice):
            true = [z3.AtMost(*term.values.values(), 1)] if len(term.values) > 1 else []
            return true + ([term.known] if kind.assume else [])
        low, high = exact(kind.plausible.low), exact(kind.plausible.high)
        true = [low <= term.low, term.low <= term.high, term.high <= high]
        if kind.assume:
            true.append(term.known)
        elif kind.computed is None:
            true.append(z3.Or(term.known, z3.And(term.low == low, term.high == high)))
        return true

    def inputs(self, name: str) -> tuple[str, ...]:
        """The facts that a computed fact is worked out from."""
        kind = self.kind(name)
        return kind.computed.inputs if kind.computed else ()

    def formula(self, name: str) -> Formula:
        """The formula of a computed fact."""
        computed = self.kind(name).computed
        assert computed is not None
        return FORMULAS[computed.by]

    def known_with_inputs(self, name: str, terms: Mapping[str, Term]) -> list[Bool]:
        """A computed fact is known exactly if its inputs are, but for those not needed; or if it is stated."""
        inputs = self.inputs(name)
        if not inputs:
            return []
        excused = {
            each: meets(terms["vapour_retarder"], Pattern("vapour_retarder", values=frozenset({value})))
            for value in self.base.facts["vapour_retarder"].choices
            for each in _needless({"vapour_retarder": choice(value)})
        }
        there = [z3.Or(terms[each].known, excused.get(each, z3.BoolVal(False))) for each in inputs]
        known = terms[name].known
        return [z3.Implies(z3.And(*there), known) if self.kind(name).ask else z3.And(*there) == known]

    def joint_truths(self, names: set[str], terms: Mapping[str, Term]) -> list[Bool]:
        """What is true of several facts together: computed facts are known with their inputs; no contradictions."""
        true = [truth for name in names for truth in self.known_with_inputs(name, terms)]
        for contradiction in self.base.contradictions.values():
            involved = set(contradiction.when) | {
                parse_condition(t).operand.removeprefix("fact.") for ts in contradiction.when.values() for t in ts
            } & self.base.facts.keys()
            hard = contradiction.test is None  # what hardly goes together is possible, and set aside by the case
            if hard and involved <= names and not any(self.base.facts[name].assume for name in involved):
                true.append(z3.Not(self._contradicted(contradiction.when, terms)))
        return true

    def _contradicted(self, when: Mapping[str, tuple[str, ...]], terms: Mapping[str, Term]) -> Bool:

        met = []
        for name, texts in when.items():
            term = terms[name]
            met.append(term.known)
            plain = tuple(text for text in texts if "fact." not in text)
            if plain:
                pattern = pattern_on(self.base, name, plain, None)
                assert pattern is not None
                met.append(meets(term, pattern))
            for asks in (parse_condition(text) for text in texts if "fact." in text):
                other = terms[asks.operand.removeprefix("fact.")]
                assert isinstance(term, Number)
                assert isinstance(other, Number)
                met += [
                    other.known,
                    {
                        "above": term.low > other.high,
                        "at least": term.low >= other.high,
                        "below": term.high < other.low,
                        "at most": term.high <= other.low,
                    }[asks.order or "above"],
                ]
        return z3.And(*met)


def meets(term: Term, pattern: Pattern) -> Bool:
    """A pattern over a fact's variables."""
    if isinstance(term, Choice):
        assert pattern.values is not None
        return term.among(pattern.values)
    met = [term.meets(comparison) for comparison in pattern.comparisons]
    if pattern.known is not None:
        met.append(term.known if pattern.known else z3.Not(term.known))
    return z3.And(*met)


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


class EveryCase:
    """A rule base made ready for questions about every floor."""

    def __init__(self, base: RuleBase, program: Program | None = None) -> None:
        self.base = base
        self.program = program or ground(base)
        self.vocabulary = Vocabulary(base)
        self.logic = Logic(self.vocabulary, self.program)

    @cached_property
    def _truths(self) -> dict[str, list[Bool]]:
        return {}

    def solver(self, facts: Iterable[str]) -> Any:
        """A solver that holds what is true of these facts, and of the inputs of those that are computed."""
        names = set(facts)
        names |= {each for name in names for each in self.vocabulary.inputs(name)}
        if any(map(self.vocabulary.inputs, names)):
            names.add("vapour_retarder")  # it says whether a sheet's permeance is needed
        solver = z3.SimpleSolver()
        for name in sorted(names):
            if name not in self._truths:
                self._truths[name] = self.vocabulary.truths(name, self.vocabulary.terms[name])
            solver.add(*self._truths[name])
        solver.add(*self.vocabulary.joint_truths(names, self.vocabulary.terms))
        return solver

    def floor_where(self, condition: Bool, facts: Iterable[str]) -> dict[str, Value] | None:
        """The facts of a floor that meets a condition (computed ones free), or None: no floor does.

        Args:
            condition: over the variables of `logic`.
            facts: the facts that it rests on; all others are left unstated.
        """
        names = set(facts)
        solver = self.solver(names)
        solver.add(condition)
        outcome = solver.check()
        if outcome == z3.unsat:
            return None
        if outcome != z3.sat:
            raise RuntimeError(f"z3 gave up: {solver.reason_unknown()}")
        return self.read(solver.model(), names)

    def read(self, model: Any, names: Iterable[str], terms: Mapping[str, Term] | None = None) -> dict[str, Value]:
        """The known facts of the floor that a model describes, computed ones included."""
        read = {n: self._value(n, (terms or self.vocabulary.terms)[n], model) for n in sorted(names)}
        return {name: value for name, value in read.items() if value is not None}

    def _value(self, name: str, term: Term, model: Any) -> Value | None:
        if isinstance(term, Choice):
            true = (value for value, it in term.values.items() if z3.is_true(model.eval(it)))
            chosen = next(true, None)
            return choice(chosen) if chosen else None
        if not z3.is_true(model.eval(term.known)):
            return None
        ends = (model.eval(end, model_completion=True).as_fraction() for end in (term.low, term.high))
        low, high = (keep(float(end)) for end in ends)
        return number(Interval(low, high), self.vocabulary.kind(name).unit)

    def floor_where_fires(self, rule: str) -> dict[str, Value] | None:
        """The facts to state of a floor on which a rule fires.

        Args:
            rule: a rule's id, or the name of one ground form of it.

        Returns:
            The facts that a case would state; None if it was proved that no floor fires the rule, or if only values
            of computed facts do that none of the inputs tried produce.
        """
        for form in self.program.rules:
            if rule in (form.rule, form.name):
                facts = self.logic.cone([form])
                found = self.floor_where(self.logic.fires(form.name), facts)
                if found is not None:
                    stated = self.realised(found, facts, partial(_firing, form.name))
                    if stated is not None:
                        return stated
        return None

    def realised(
        self,
        found: Mapping[str, Value],
        rests_on: Iterable[str],
        goal: Goal,
        confirm: Callable[[dict[str, Value]], bool] | None = None,
    ) -> dict[str, Value] | None:
        """The facts to state so that a floor found with computed facts free is a real one, or None.

        Facts that can be stated are kept; where a computed fact stands in the way, its inputs are drawn at random.

        Args:
            found: the known facts of the floor.
            rests_on: the facts that the goal rests on.
            goal: what the floor must meet.
            confirm: what else the facts to state must meet, asked of a few floors that meet the goal.
        """
        stated = {name: value for name, value in found.items() if self._asked(name)}
        rests_on = set(rests_on)
        computed = [name for name in rests_on if self.vocabulary.inputs(name)]
        if not computed:
            return stated if confirm is None or confirm(stated) else None
        for floors, free in ((1, ()), (DRAWN, self._inputs(computed))):
            columns = columns_of(self.base, [stated])
            drawn = {name: _drawn(self.base.facts[name], name, floors) for name in free}
            given = Columns(floors, {**columns.facts, **drawn})
            working = working_columns(self.base, given, self._bounds, rests_on)
            for floor in np.flatnonzero(goal(working, self._columns.infer(working)))[:TRIED]:
                facts = floor_at(self.base, given, int(floor))
                if not contradicted(self.base, facts) and (confirm is None or confirm(facts)):
                    return facts
        return None

    def shrunk(
        self,
        facts: Mapping[str, Value],
        rests_on: Iterable[str],
        goal: Goal,
        confirm: Callable[[dict[str, Value]], bool] | None = None,
    ) -> dict[str, Value]:
        """A floor that meets a goal, without the facts that it meets the goal without."""
        needed, rests_on = dict(facts), set(rests_on)
        for name in facts:
            fewer = {each: value for each, value in needed.items() if each != name}
            working = self.working([fewer], rests_on)
            if goal(working, self._columns.infer(working))[0] and (confirm is None or confirm(fewer)):
                needed = fewer
        return needed

    def working(self, floors: Sequence[Mapping[str, Value]], needed: Container[str] | None = None) -> Columns:
        """The working memory of floors that state these facts; only computed facts that are needed are worked out."""
        return working_columns(self.base, columns_of(self.base, floors), self._bounds, needed)

    def fired_on(self, floors: Sequence[Mapping[str, Value]], needed: Container[str] | None = None) -> Fired:
        """Which rules fire on floors that state these facts, by the columns reading."""
        return self._columns.infer(self.working(floors, needed))

    @cached_property
    def _bounds(self) -> dict[str, tuple[float, ...]]:
        return bounds_of(self.program)

    @cached_property
    def _columns(self) -> ManyCases:
        return ManyCases(self.program)

    def _asked(self, name: str) -> bool:
        return self.vocabulary.kind(name).ask is not None and "@" not in name

    def worked_out(self, name: str) -> bool:
        """Whether a fact can only be worked out, never stated."""
        return not self._asked(name)

    def _inputs(self, computed: Iterable[str]) -> list[str]:
        """The facts that can be stated beneath computed ones."""
        names = dict.fromkeys(each for name in computed for each in self.vocabulary.inputs(name))
        return [name for name in names if self._asked(name)]


def _firing(rule: str, _: Columns, fired: Fired) -> Flags:
    return fired.where(rule)


def _drawn(kind: FactKind, name: str, floors: int) -> Column:
    """Random values of a fact: a fifth unknown; of a number some ranges, and more values near its least."""
    chance = np.random.default_rng(list(name.encode()))  # the same for a name, and no two names alike
    known = chance.random(floors) < 0.8
    if kind.type != "number":
        codes = chance.integers(1, len(kind.choices) + 1, floors)
        return ChoiceColumn((codes * known).astype(np.uint8), kind.choices)
    span = kind.plausible
    places = np.sort(chance.random((2, floors)) ** chance.choice([1.0, 1.0, 6.0], floors), axis=0)
    places[1] = np.where(chance.random(floors) < 0.2, places[1], places[0])
    low, high = keep_all(span.low + (span.high - span.low) * places)
    return NumberColumn(np.where(known, low, span.low), np.where(known, high, span.high), known)
