"""The every-case reading against the one-case reading: its floors fire what it says, its "never" never happens."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import pytest
import z3

from advisor.engines.columns import columns_of
from advisor.engines.computed_columns import working_columns
from advisor.engines.many_cases import ManyCases, bounds_of
from advisor.engines.rete import OneCase
from advisor.engines.smt import EveryCase
from advisor.engines.smt_terms import Choice, _within, exact, meets
from advisor.facts.memory import working_memory
from advisor.model.contradictions import contradicted
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value
from advisor.validation.loading import load_rulebase
from tests.floors import limits_of, random_case
from tests.referees import fixpoint


@pytest.fixture(scope="module")
def base() -> RuleBase:
    return load_rulebase()


@pytest.fixture(scope="module")
def every(base: RuleBase) -> EveryCase:
    return EveryCase(base)


def test_every_rule_fires_on_a_floor_that_z3_finds(base: RuleBase, every: EveryCase) -> None:
    """By the columns on all of them, by the engine on some: `test_many_cases` holds these two to each other."""
    engine, floors = OneCase(every.program), {rule: every.floor_where_fires(rule) or {} for rule in base.rules}
    fired = ManyCases(every.program).infer(every.working(list(floors.values())))
    for place, (rule, floor) in enumerate(floors.items()):
        assert not contradicted(base, floor), rule
        assert rule in {form.partition("/")[0] for form in fired.rules_at(place)}, rule
        if place % 16 == 0:
            assert fired.rules_at(place) == {form.name for form in engine.infer(working_memory(base, floor))}, rule


def test_floors_found_are_short(base: RuleBase, every: EveryCase) -> None:
    """A floor states what its rule needs, not a value for every fact; but for what makes computed facts so."""
    plain = [form for form in every.program.rules if not any(map(every.vocabulary.inputs, every.logic.cone([form])))]
    found = 0
    for form in plain[::5]:
        floor = every.floor_where_fires(form.name)
        if floor is not None:  # a form for a finish without such a limit may be dead; its rule is not
            assert set(floor) <= every.logic.cone([form])
            found += 1
    assert found > 20


def _stated(every: EveryCase, memory: dict[str, Value]) -> list[z3.BoolRef]:
    """A floor's working memory as z3 conditions."""
    terms = []
    for name, value in memory.items():
        term = every.logic.terms[name]
        if value.interval is None:
            terms.append(term.among([value.choice]))  # type: ignore[union-attr]
        else:
            terms += [term.low == exact(value.interval.low), term.high == exact(value.interval.high)]  # type: ignore[union-attr]
            terms.append(term.known == value.known)
    return terms


def test_z3_draws_the_same_conclusions_on_random_floors(base: RuleBase, every: EveryCase) -> None:
    """With a floor's facts asserted, exactly the bodies of the rules that fire are true; the truths all hold."""
    rng, limits = Random(4), limits_of(every.program)
    for _ in range(60):
        memory = working_memory(base, random_case(base, rng, bounds=limits))
        solver = every.solver(memory)
        solver.add(*_stated(every, memory))
        assert solver.check() == z3.sat
        model = solver.model()
        fired = {r.name for r in every.program.rules if z3.is_true(model.eval(every.logic.fires(r.name), True))}
        assert fired == fixpoint(every.program, memory)


def test_the_fixed_order_of_findings_does_not_matter(base: RuleBase, every: EveryCase) -> None:
    again = EveryCase(base, ground(base))
    names = [rule.name for rule in again.program.rules]
    for name in reversed(names):
        again.logic.fires(name)
    for name in names[::7]:
        other = every.logic.fires(name)
        solver = z3.Solver()
        solver.add(again.logic.fires(name) != other)
        assert solver.check() == z3.unsat


def test_what_cannot_be_is_not_found(base: RuleBase, every: EveryCase) -> None:
    term = every.logic.terms["slab_humidity"]
    plausible = base.facts["slab_humidity"].plausible
    assert every.floor_where(term.high > exact(plausible.high), ["slab_humidity"]) is None
    assert every.floor_where(z3.And(z3.Not(term.known), term.low > exact(50.0)), ["slab_humidity"]) is None
    assumed = every.logic.terms["ground_humidity"]
    assert every.floor_where(z3.Not(assumed.known), ["ground_humidity"]) is None
    sheet, perms = every.logic.terms["vapour_retarder"], every.logic.terms["retarder_permeance"]
    contradiction = z3.And(sheet.among(["absent"]), perms.known)  # type: ignore[union-attr]
    assert every.floor_where(contradiction, ["vapour_retarder", "retarder_permeance"]) is None
    older = every.logic.terms["time_in_use"].low > every.logic.terms["slab_age"].high  # type: ignore[union-attr]
    both = z3.And(older, every.logic.terms["time_in_use"].known, every.logic.terms["slab_age"].known)
    assert every.floor_where(both, ["time_in_use", "slab_age"]) is None


def test_limits_are_exact_rationals() -> None:
    assert exact(0.1).as_fraction() == Fraction(1, 10)
    assert exact(75.000000001).as_fraction() == Fraction(75000000001, 10**9)


def test_a_second_floor_shares_all_but_what_differs(every: EveryCase) -> None:
    fresh = every.vocabulary.fresh("slab_humidity", "'")
    after = every.logic.with_facts({"slab_humidity": fresh})
    for rule in every.program.rules:
        same = z3.eq(every.logic.fires(rule.name), after.fires(rule.name))
        assert same == ("slab_humidity" not in every.logic.cone([rule])), rule.name


def test_a_broken_translation_is_caught(base: RuleBase, every: EveryCase, monkeypatch: pytest.MonkeyPatch) -> None:
    """Were "unknown" read as "may not", some pattern would differ from its meaning on some floor."""
    from advisor.engines.smt_terms import Choice

    def never_unknown(self: Choice, allowed: frozenset[str]) -> z3.BoolRef:
        return z3.Or(*(self.values[value] for value in allowed if value in self.values))

    monkeypatch.setattr(Choice, "among", never_unknown)
    rng, caught = Random(5), False
    memories = [working_memory(base, random_case(base, rng)) for _ in range(3)]
    for memory in memories:
        for pattern in (p for rule in every.program.rules for p in rule.patterns if p.fact in memory and p.values):
            value = memory[pattern.fact]
            term = every.logic.terms[pattern.fact]
            chosen = [(it, z3.BoolVal(name == value.choice)) for name, it in term.values.items()]  # type: ignore[union-attr]
            met = z3.is_true(z3.simplify(z3.substitute(meets(term, pattern), *chosen)))
            caught |= met != pattern.holds(value)
    assert caught


def test_a_floor_that_rests_on_computed_facts_is_made_real(base: RuleBase, every: EveryCase) -> None:
    names = {n for n in every.logic.terms if every.vocabulary.inputs(n)}
    computed = [form for form in every.program.rules if names.intersection(p.fact for p in form.patterns)]
    found = 0
    for form in computed[::6]:
        floor = every.floor_where_fires(form.name)
        if floor is not None:
            columns = working_columns(base, columns_of(base, [floor]), bounds_of(every.program))
            assert ManyCases(every.program).infer(columns).where(form.name).all()
            found += 1
    assert found > 5


def test_a_choice_has_any_value_but_one_at_most(base: RuleBase, every: EveryCase) -> None:
    choices = {name: term for name, term in every.logic.terms.items() if isinstance(term, Choice)}
    for name, term in list(choices.items())[::5]:
        one, *others = term.values.values()
        solver = z3.Solver()
        solver.add(*every.vocabulary.truths(name, term), one)
        assert solver.check() == z3.sat, name
        assert all(solver.check(other) == z3.unsat for other in others), name


@pytest.mark.parametrize(("end", "kept"), [(float("-inf"), 1), (float("inf"), 9), (float("4.5"), Fraction(9, 2))])
def test_an_end_without_bound_is_kept_within_what_is_plausible(end: float, kept: Fraction) -> None:
    """Worked out anew, an infinity is another object than the one of `math`."""
    assert z3.simplify(_within(end, exact(1.0), exact(9.0)) == z3.RealVal(kept))
