"""Facts as z3's variables, and what is true of them on every floor.

A choice is a proposition for each of its values, at most one of them true; none is true of a fact that is unknown. A
number is its ends, two reals within the vocabulary's range, and whether it is known; unknown, it spans the range.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

import z3

from advisor.facts.computed import DAYS_A_YEAR, FORMULAS, Formula, needless, slab_age_at_least
from advisor.facts.quantities import read_quantity
from advisor.facts.values import choice
from advisor.inference.conditions import Comparison, parse_condition
from advisor.inference.grounding import Pattern, bound, pattern_on, unbound
from advisor.physics.bounds import Interval
from advisor.rulebase.knowledge import UNKNOWN, FactKind, RuleBase

Bool: TypeAlias = Any  # z3 carries no types
BILLION = 10**9


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

    def beneath(self, names: Iterable[str]) -> set[str]:
        """These facts, and all that any of them is worked out from."""
        found, new = set[str](), set(names)
        while new:
            found |= new
            new = {each for name in new for each in self.inputs(name)} - found
        return found

    def inputs(self, name: str) -> tuple[str, ...]:
        """The facts that a computed fact is worked out from."""
        kind = self.kind(name)
        return kind.computed.inputs if kind.computed else ()

    def formula(self, name: str) -> Formula:
        """The formula of a computed fact."""
        computed = self.kind(name).computed
        assert computed is not None
        return FORMULAS[computed.by]

    def with_inputs(self, name: str, terms: Mapping[str, Term]) -> list[Bool]:
        """A computed fact is known exactly if its inputs are, but for those not needed; or if it is stated.

        Where z3 can say the formula, its ends are also what follows from the inputs, unless it is stated.
        """
        if not self.inputs(name):
            return []
        there, known = self.inputs_known(name, terms), terms[name].known
        true = [z3.Implies(there, known) if self.kind(name).ask else there == known]
        worked_out = self.worked_out(name, terms)
        return true if worked_out is None else [*true, z3.Or(known, worked_out)]

    def inputs_known(self, name: str, terms: Mapping[str, Term]) -> Bool:
        """Whether all that a computed fact needs is known."""
        excused = {
            each: meets(terms["vapour_retarder"], Pattern("vapour_retarder", values=frozenset({value})))
            for value in self.base.facts["vapour_retarder"].choices
            for each in needless({"vapour_retarder": choice(value)})
        }
        return z3.And(*(z3.Or(terms[each].known, excused.get(each, z3.BoolVal(False))) for each in self.inputs(name)))

    def worked_out(self, name: str, terms: Mapping[str, Term]) -> Bool | None:
        """That a computed fact's ends are what its formula says; None where z3 cannot say the formula."""
        if self.formula(name).function is not slab_age_at_least:
            return None
        age, used, built = (terms[each] for each in (name, *self.inputs(name)))
        assert isinstance(age, Number)
        assert isinstance(used, Number)
        assert isinstance(built, Number)
        this_year = read_quantity(self.base.norms["this_year"].given, "calendar_year", Interval(0.0, 1e9)).low
        since = (exact(this_year - 1.0) - built.high) * exact(DAYS_A_YEAR)
        least, most = z3.If(since > used.low, since, used.low), exact(self.kind(name).plausible.high)
        least = z3.If(least > most, most, least)
        kept = z3.And(least - exact(1 / BILLION) <= age.low, age.low <= least + exact(1 / BILLION))  # nine decimals
        return z3.And(kept, age.high == most)

    def joint_truths(self, names: set[str], terms: Mapping[str, Term]) -> list[Bool]:
        """What is true of several facts together: computed facts are known with their inputs; no contradictions."""
        true = [truth for name in names for truth in self.with_inputs(name, terms)]
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
