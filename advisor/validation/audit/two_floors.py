"""Claims about two floors that differ in one fact: moved one way, or found out."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from functools import partial
from itertools import pairwise, zip_longest
from typing import Any

import z3

from advisor.engines.columns import Columns, Flags, value_at
from advisor.engines.many_cases import Firing, bounds_of
from advisor.engines.smt import EveryCase, model_of
from advisor.engines.smt_terms import Bool, Choice, Number, Term, both, either, exact
from advisor.model.contradictions import contradicted
from advisor.model.entry import UNKNOWN
from advisor.model.program import Conclusion
from advisor.model.quantities import keep
from advisor.model.rules import Claim
from advisor.model.values import Value, choice, number
from advisor.physics.bounds import Interval
from advisor.validation.audit.alike import Alike
from advisor.validation.audit.one_floor import AnswerLogic
from advisor.validation.audit.search import Search, drawn_any, missing, rules_for
from explanations.wording import label, wording


def stays(search: Search) -> None:
    """A second floor differs from the first in one fact, moved one way; what was concluded must still be."""
    every, logic, claim = search.every, search.every.logic, search.claim
    first, second = logic.terms[claim.fact], every.vocabulary.fresh(claim.fact, "'")
    moved = _moved(claim, first, second)
    changed = {claim.fact: second, **_follows(every, claim.fact, "'")}
    after = logic.with_facts(changed)
    truths = [truth for name, term in changed.items() for truth in every.vocabulary.truths(name, term)]
    for finish in search.finishes() if claim.judges else [""]:
        kept = list(logic.concluding(claim.keeps, finish))
        rules = rules_for(every, kept)
        facts = logic.cone(rules)
        if claim.fact not in facts:
            continue
        condition = z3.And(moved, *truths, logic.concluded(kept), z3.Not(after.concluded(kept)))
        search.questions += 1
        search.facts |= facts
        search.free |= facts & changed.keys() - {claim.fact}
        solver = every.solver(facts)
        solver.add(condition)
        if (model := model_of(solver)) is not None:
            floor = every.read(model, facts)
            other = every.read(model, [claim.fact], changed).get(claim.fact)
            becomes = other.shown if other else label("value", UNKNOWN)
            said = wording("audit.no_longer", fact=claim.fact, value=becomes)
            about = {"conclusion": label("conclusion", claim.keeps), "finish": finish}
            what = wording("audit.concluded_of_finish" if finish else "audit.concluded_of_floor", **about)
            goal, still = partial(_drawn, every, kept), partial(_lost, every, kept, claim.fact, other)
            search.note(what, floor, facts, goal, still, said)


def _drawn(every: EveryCase, conclusions: Iterable[Conclusion], _: Columns, firing: Firing) -> Flags:
    return drawn_any(every, conclusions, firing)


def _lost(
    every: EveryCase, conclusions: Iterable[Conclusion], fact: str, value: Value | None, floor: dict[str, Value]
) -> bool:
    """Whether nothing is concluded any more once a fact of a floor is another; the fact must be stated before."""
    if fact not in floor or value is None:
        return False
    return not drawn_any(every, conclusions, every.fired_on([{**floor, fact: value}])).any()


def _moved(claim: Claim, first: Term, second: Term) -> Bool:
    if isinstance(first, Choice):
        assert isinstance(second, Choice)
        steps = [
            z3.And(first.values[low], second.values[high])
            for place, low in enumerate(claim.order)
            for high in claim.order[place + 1 :]
        ]
        return z3.Or(*steps)
    assert isinstance(second, Number)
    up = z3.And(first.known, second.known, second.low >= first.low, second.high >= first.high)
    down = z3.And(first.known, second.known, second.low <= first.low, second.high <= first.high)
    return up if claim.rises else down


def _follows(every: EveryCase, fact: str, mark: str) -> dict[str, Term]:
    """New variables for the computed facts that follow from a fact, and from what follows from it."""
    names = {fact}
    while new := {n for n in every.logic.terms if names.intersection(every.vocabulary.inputs(n))} - names:
        names |= new
    return {n: every.vocabulary.fresh(n, mark) for n in every.logic.terms if n in names and n != fact}


def no_bolder_unknown(search: Search) -> None:
    """For each fact: whatever stands before a finish for all values that the fact may have, stands before it now."""
    every, logic, answer = search.every, search.every.logic, AnswerLogic.of(search.every)
    between = {finish: answer.between(finish) for finish in every.base.finishes}
    if search.below is not None:
        under = AnswerLogic.of(search.below.below)
        between = {finish: now for finish, now in between.items() if not _as_below(search.below, under, finish, now)}
    rules = {finish: rules_for(every, conclusions) for finish, conclusions in between.items()}
    cones = {finish: logic.cone(some) for finish, some in rules.items()}
    facts = frozenset().union(*cones.values())
    clear = {finish: z3.Not(logic.concluded(conclusions)) for finish, conclusions in between.items()}
    solver = every.solver(facts)
    for name in sorted(facts):
        if "@" in name or not every.base.facts[name].ask:
            continue
        resting = [finish for finish, cone in cones.items() if name in cone]
        solver.push()
        allowed: dict[str, list[Bool]] = {finish: [] for finish in resting}
        term = logic.terms[name]
        found_out: dict[str, list[Number]] = {}  # the computed facts that follow, for each value
        for place, (value, possible) in enumerate(_values(every, name)):
            changed = {name: value, **_follows(every, name, f"'{place}")}
            after = logic.with_facts(changed)
            for other, follows in list(changed.items())[1:]:
                solver.add(*every.vocabulary.truths(other, follows), _narrower(follows, logic.terms[other]))
                solver.add(*every.vocabulary.with_inputs(other, after.terms))
                solver.add(*_unmoved(every, other, name, after.terms))
                assert isinstance(follows, Number)
                found_out.setdefault(other, []).append(follows)
            at_all = both([possible, z3.Not(after.concluded([*answer.stops, *answer.holds, *answer.asks]))])
            for finish in resting:
                allowed[finish].append(both([at_all, z3.Not(after.concluded(answer.about(finish)))]))
        for other, each in found_out.items():
            solver.add(*_spanned(every, other, name, each))
        if isinstance(term, Choice):
            solver.add(z3.Not(term.known))
        solver.add(either(both([clear[f], z3.Not(either(allowed[f]))]) for f in resting))
        search.questions += 1
        if (model := model_of(solver)) is not None:
            bold = [
                f
                for f in resting
                if z3.is_true(model.eval(clear[f], model_completion=True))
                and not any(z3.is_true(model.eval(each, model_completion=True)) for each in allowed[f])
            ]
            # Several finishes at once: a few are looked at until one proves real; else the last stands for them.
            before = search.breaks
            for finish in bold[:3]:
                search.breaks = [*before]
                floor, goal = every.read(model, cones[finish]), partial(missing, every, (), between[finish])
                what = wording("audit.bolder", finish=finish, fact=name)
                confirm = partial(_bolder, every, name, between[finish], cones[finish])
                if search.note(what, floor, cones[finish], goal, confirm):
                    break
        solver.pop()
    search.facts |= facts
    search.held = wording("audit.spans")


def _as_below(below: Alike, under: AnswerLogic, finish: str, now: list[Conclusion]) -> bool:
    """Whether the same stands between every floor and a finish as in the rule base beneath."""
    return finish in under.ruled_out and set(under.between(finish)) == set(now) and below.draws(now)


def _bolder(
    every: EveryCase, name: str, between: Iterable[Conclusion], needed: Container[str], floor: dict[str, Value]
) -> bool:
    """Whether a floor that nothing stands in the way of gets something in its way for each value of a fact."""
    kind = every.base.facts[name]
    now = value_at(kind, every.working([floor], {name}).facts[name], 0)
    if now.interval is None:
        values = [choice(each) for each in kind.choices] if not now.known else []
    else:
        ends, bounds = now.interval, [b for b in bounds_of(every.program).get(name, ()) if b in now.interval]
        points = [ends.low, *bounds, *((a + b) / 2 for a, b in pairwise([ends.low, *bounds, ends.high])), ends.high]
        values = [number(Interval(point, point), kind.unit) for point in map(keep, points)]
    floors = [{**floor, name: value} for value in values]
    floors = [each for each in floors if not contradicted(every.base, each)]
    return bool(floors) and bool(drawn_any(every, between, every.fired_on(floors, needed)).all())


def _values(every: EveryCase, name: str) -> Iterator[tuple[Term, Bool]]:
    """Values that a fact may turn out to have, with when each is possible: of a number, one on each side of bounds."""
    term = every.logic.terms[name]
    if isinstance(term, Choice):
        for value in term.values:
            yield Choice({each: z3.BoolVal(each == value) for each in term.values}), z3.BoolVal(True)
        return
    points: list[Any] = [term.low, term.high]
    bounds = sorted(
        {c.bound for rule in every.program.rules for p in rule.patterns if p.fact == name for c in p.comparisons}
    )
    halves = [(a + b) / 2 for a, b in pairwise(map(exact, bounds))]
    points += [point for pair in zip_longest(map(exact, bounds), halves) for point in pair if point is not None]
    for point in points:
        yield Number(point, point, z3.BoolVal(True)), both([term.low <= point, point <= term.high])


def _spanned(every: EveryCase, computed: str, name: str, parts: Sequence[Number]) -> list[Bool]:
    """How a computed fact spans what it is for each value that one input may have, in the order of `_values`.

    Its ends are ends of what it is for some value, of a number for its least or greatest. Where its formula says that
    it rises or falls with the input, each end belongs to one of these, and those between lie between.
    """
    whole, how = every.logic.terms[computed], every.vocabulary.formula(computed)
    assert isinstance(whole, Number)
    at_ends = parts if isinstance(every.logic.terms[name], Choice) else parts[:2]
    spans = [
        either(whole.low == part.low for part in at_ends),
        either(whole.high == part.high for part in at_ends),
    ]
    if name in (*how.rises_with, *how.falls_with):
        least, greatest, *between = parts
        upward = [least, *between, greatest]
        steps = pairwise(upward if name in how.rises_with else reversed(upward))
        spans += [both([a.low <= b.low, a.high <= b.high]) for a, b in steps]
    return spans


def _unmoved(every: EveryCase, computed: str, name: str, after: Mapping[str, Term]) -> list[Bool]:
    """A computed fact stays what it was where it was stated, and where none of its inputs moved."""
    vocabulary, before = every.vocabulary, every.logic.terms
    inputs, same = vocabulary.inputs(computed), _same(before[computed], after[computed])
    true = []
    if vocabulary.kind(computed).ask:
        true.append(z3.Implies(both([before[computed].known, z3.Not(vocabulary.inputs_known(computed, before))]), same))
        ends = [vocabulary.worked_out(computed, terms) for terms in (before, after)]
        true += [either([same, both(ends)])] if all(each is not None for each in ends) else []
    if name not in inputs:
        moved = [each for each in inputs if before[each] is not after[each]]
        true.append(z3.Implies(both(_same(before[each], after[each]) for each in moved), same))
    return true


def _same(term: Term, other: Term) -> Bool:
    assert isinstance(term, Number)
    assert isinstance(other, Number)
    return both([term.low == other.low, term.high == other.high, term.known == other.known])


def _narrower(term: Term, than: Term) -> Bool:
    assert isinstance(term, Number)
    assert isinstance(than, Number)
    return both([than.low <= term.low, term.high <= than.high, z3.Implies(than.known, term.known)])
