"""Facts as z3's variables, and what is true of them on every floor.

A choice is a proposition for each of its values, at most one of them true; none is true of a fact that is unknown. A
number is its ends, two reals within the vocabulary's range, and whether it is known; unknown, it spans the range.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, TypeAlias

import z3

from advisor.facts.computing import needless_where
from advisor.facts.formula import Formula, Subject
from advisor.facts.formulas import FORMULAS
from advisor.model.conditions import Comparison
from advisor.model.contradictions import Clash, clashes
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.program import Pattern, bound, unbound
from advisor.model.quantities import UNITS
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Span

Bool: TypeAlias = Any  # z3 carries no types
BILLION = 10**9


@dataclass(frozen=True)
class Choice:
    """A choice: a proposition for each of its values."""

    values: Mapping[str, Bool]

    @property
    def known(self) -> Bool:
        """One of the values is the floor's."""
        return either(self.values.values())

    def among(self, allowed: Iterable[str]) -> Bool:
        """It has one of these values, `unknown` included."""
        wanted = set(allowed)
        there = [term for value, term in self.values.items() if value in wanted]
        return either([*there, z3.Not(self.known)] if UNKNOWN in wanted else there)


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


@lru_cache(4096)
def exact(value: float) -> Any:
    """A kept number as z3's rational, without rounding."""
    return z3.Q(round(value * BILLION), BILLION)


def either(terms: Iterable[Bool]) -> Bool:
    """The or of propositions, made without the checks that z3's own wrapper makes of each."""
    return _joined(z3.Z3_mk_or, terms)


def both(terms: Iterable[Bool]) -> Bool:
    """The and of propositions, made in the same way."""
    return _joined(z3.Z3_mk_and, terms)


def _joined(by: Callable[..., Any], terms: Iterable[Bool]) -> Bool:
    kept = list(terms)  # held until z3 holds them: an iterator's last one would be freed on the way
    context = z3.main_ctx()
    return z3.BoolRef(by(context.ref(), len(kept), (z3.Ast * len(kept))(*(each.as_ast() for each in kept))), context)


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
            true += [z3.IsInt(end) for end in (term.low, term.high) if UNITS[kind.unit].whole]
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
        return both(
            either([terms[each].known, *(meets(terms[p.fact], p) for p in needless_where(self.base, each))])
            for each in self.inputs(name)
        )

    def left_free(self, names: Iterable[str]) -> set[str]:
        """Of some facts, the computed ones whose formula z3 cannot say: they may have any value in their range."""
        return {name for name in names if self.inputs(name) and not self.formula(name).in_logic}

    def worked_out(self, name: str, terms: Mapping[str, Term]) -> Bool | None:
        """That a computed fact's ends are what its formula says; None where z3 cannot say the formula."""
        formula, term, kind = self.formula(name), terms[name], self.kind(name)
        if not formula.in_logic:
            return None
        assert isinstance(term, Number)
        about = self.base.finishes.get(unbound(name)[1])
        span = formula.function(InLogic(terms), Subject(self.base, about))
        low, high = exact(kind.plausible.low), exact(kind.plausible.high)
        off = exact(1 / BILLION + 4 * math.ulp(max(abs(kind.plausible.low), abs(kind.plausible.high))))
        return z3.And(
            _nearly(term.low, _within(span.low, low, high), off), _nearly(term.high, _within(span.high, low, high), off)
        )

    @cached_property
    def excluded(self) -> list[tuple[frozenset[str], Bool]]:
        """For each contradiction, the facts that it is about, and that it does not hold."""
        return [
            (frozenset(clash.facts), z3.Not(_holds(clash, self.terms)))
            for clash in clashes(self.base, soft=False).values()  # a soft one is possible, and set aside by the case
            if not any(self.base.facts[name].assume for name in clash.facts)
        ]


class Sum:
    """A number of z3's that formulas over floats and arrays can work with: + - * and the greater or lesser of two."""

    def __init__(self, term: Any) -> None:
        self.term = term

    def __add__(self, other: object) -> Sum:
        return Sum(self.term + _term(other))

    def __sub__(self, other: object) -> Sum:
        return Sum(self.term - _term(other))

    def __rsub__(self, other: object) -> Sum:
        return Sum(_term(other) - self.term)

    def __mul__(self, other: object) -> Sum:
        return Sum(self.term * _term(other))

    __radd__, __rmul__ = __add__, __mul__

    def __array_ufunc__(self, ufunc: Any, _method: str, one: object, other: object) -> Sum:
        """What `elementwise.greatest` and `least` come down to."""
        a, b = _term(one), _term(other)
        over = {"maximum": a > b, "minimum": a < b}[ufunc.__name__]
        return Sum(z3.If(over, a, b))


def _term(value: object) -> Any:
    return value.term if isinstance(value, Sum) else exact(float(str(value)))


@dataclass(frozen=True)
class InLogic:
    """The facts of a floor as z3's variables, for a formula to read."""

    terms: Mapping[str, Term]

    def span(self, name: str, scale: float = 1.0) -> Span:
        """Its two ends."""
        term = self.terms[name]
        assert isinstance(term, Number)
        return Span(Sum(term.low) * scale, Sum(term.high) * scale)

    def has(self, name: str, value: str) -> Any:
        """Whether a choice is known to have a value."""
        return meets(self.terms[name], Pattern(name, values=frozenset({value})))

    def once(self, _: object, work: Callable[[], Any], /) -> Any:
        """Worked out anew."""
        return work()


def _within(end: object, low: Any, high: Any) -> Any:
    """An end of a formula, kept within what is plausible."""
    if not isinstance(end, Sum):
        number = float(str(end))
        return low if number == -math.inf else high if number == math.inf else exact(number)
    return z3.If(end.term < low, low, z3.If(end.term > high, high, end.term))


def _nearly(term: Any, worked_out: Any, off: Any) -> Bool:
    """Facts are kept to nine decimals, and worked out in floats, which lie further apart from ten million on."""
    return z3.And(worked_out - off <= term, term <= worked_out + off)


def _holds(clash: Clash, terms: Mapping[str, Term]) -> Bool:
    """A contradiction over the variables of facts that are stated."""
    known = [terms[name].known for name in clash.facts]
    met = [meets(terms[pattern.fact], pattern) for pattern in clash.patterns]
    return both([*known, *met, *(each.met_by(lambda name, end: getattr(terms[name], end)) for each in clash.between)])


def meets(term: Term, pattern: Pattern) -> Bool:
    """A pattern over a fact's variables."""
    if isinstance(term, Choice):
        assert pattern.values is not None
        return term.among(pattern.values)
    met = [term.meets(comparison) for comparison in pattern.comparisons]
    if pattern.known is not None:
        met.append(term.known if pattern.known else z3.Not(term.known))
    return both(met)
