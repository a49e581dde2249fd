"""The every-case reading: the rules in z3, for questions about all floors that there can be.

There are no cycles among findings, so each holds exactly if one of its rules fires: an "or" of bodies.

Abstraction: computed facts are free. Their ends may lie anywhere in their range, whatever they are computed from;
only that they are known exactly if their inputs are is kept. So what is proved here holds of every real floor. A floor
found here may be one that no inputs produce: `realised` looks for inputs that do, by the columns reading.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping, Sequence
from functools import cached_property, partial
from typing import Any, TypeAlias

import numpy as np
import z3

from advisor.engines.columns import (
    ChoiceColumn,
    Column,
    Columns,
    Flags,
    NumberColumn,
    columns_of,
    floor_at,
    keep_all,
)
from advisor.engines.computed_columns import working_columns
from advisor.engines.many_cases import Firing, ManyCases, bounds_of
from advisor.engines.smt_logic import Logic
from advisor.engines.smt_terms import Bool, Choice, Term, Vocabulary
from advisor.model.contradictions import contradicted
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.program import GroundRule, Program
from advisor.model.quantities import UNITS, keep
from advisor.model.values import Value, choice, number
from advisor.model.vocabulary import FactKind
from advisor.physics.bounds import Interval

Goal: TypeAlias = Callable[[Columns, Firing], Flags]  # which floors, by their columns and the rules that fire
TRIED = 20  # of those drawn that meet a goal, how many are looked at more closely
FOUND = 8  # floors of z3 for which inputs are sought; which it finds first hangs on what it was asked before
DRAWN = 16_384  # floors tried where the inputs of computed facts must be found


class GaveUp(RuntimeError):
    """z3 neither found a floor nor proved that there is none."""


def model_of(solver: Any) -> Any | None:
    """A model of what the solver holds; None where it is proved that there is none.

    Raises:
        GaveUp: neither was found.
    """
    outcome = solver.check()
    if outcome == z3.unknown:
        raise GaveUp(solver.reason_unknown())
    return solver.model() if outcome == z3.sat else None


class EveryCase:
    """A rule base made ready for questions about every floor."""

    def __init__(self, base: RuleBase, program: Program | None = None) -> None:
        self.base = base
        self.program = program or ground(base)
        self.vocabulary = Vocabulary(base)
        self.logic = Logic(self.vocabulary, self.program)

    def forms(self, rule: str) -> list[GroundRule]:
        """The ground forms of a rule; of the name of one of them, that one."""
        return self._forms.get(rule, [])

    @cached_property
    def _forms(self) -> dict[str, list[GroundRule]]:
        found: dict[str, list[GroundRule]] = {}
        for form in self.program.rules:
            for name in {form.rule, form.name}:
                found.setdefault(name, []).append(form)
        return found

    @cached_property
    def _truths(self) -> dict[str, list[Bool]]:
        return {}

    def solver(self, facts: Iterable[str]) -> Any:
        """A solver that holds what is true of these facts, and of the inputs of those that are computed."""
        vocabulary = self.vocabulary
        names = vocabulary.beneath(facts)
        solver = z3.SimpleSolver()
        solver.set("ctrl_c", False)  # else z3 takes an interrupt for itself, and gives up
        for name in sorted(names):
            if name not in self._truths:
                terms = vocabulary.terms
                self._truths[name] = [*vocabulary.truths(name, terms[name]), *vocabulary.with_inputs(name, terms)]
            solver.add(*self._truths[name])
        solver.add(*(excluded for about, excluded in vocabulary.excluded if about <= names))
        return solver

    def floor_where(self, condition: Bool, facts: Iterable[str], seed: int = 0) -> dict[str, Value] | None:
        """The facts of a floor that meets a condition (computed ones free), or None: no floor does.

        Args:
            condition: over the variables of `logic`.
            facts: the facts that it rests on; all others are left unstated.
            seed: another one may find another floor.
        """
        names = set(facts)
        solver = self.solver(names)
        if seed:
            solver.set("random_seed", seed)
            solver.set("phase_selection", 5)  # at random
            solver.set("arith.random_initial_value", True)
        solver.add(condition)
        model = model_of(solver)
        return None if model is None else self.read(model, names)

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
        for form in self.forms(rule):
            facts = self.logic.cone([form])
            stated = self.real_floor_where(self.logic.fires(form.name), facts, partial(_firing, form.name))
            if stated is not None:
                return stated
        return None

    def real_floor_where(self, condition: Bool, facts: Iterable[str], goal: Goal) -> dict[str, Value] | None:
        """The facts to state of a real floor that meets a condition; None if none does, or none of those tried is real.

        Args:
            condition: over the variables of `logic`.
            facts: the facts that it rests on.
            goal: the same condition, of floors whose computed facts are worked out.
        """
        facts = set(facts)
        for seed in range(FOUND):
            found = self.floor_where(condition, facts, seed)
            if found is None:
                return None
            stated = self.realised(found, facts, goal)
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
        tries = [[], self._inputs(name for name in computed if name not in stated), self._inputs(computed)]
        for free in tries:
            floors = DRAWN if free else 1
            columns = columns_of(self.base, [stated])
            drawn = {name: _drawn(self.base.facts[name], name, floors) for name in free}
            given = Columns(floors, {**columns.facts, **drawn})
            working = working_columns(self.base, given, self._bounds, rests_on)
            for floor in np.flatnonzero(goal(working, Firing(self._columns, working)))[:TRIED]:
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
            if goal(working, Firing(self._columns, working))[0] and (confirm is None or confirm(fewer)):
                needed = fewer
        return needed

    def working(self, floors: Sequence[Mapping[str, Value]], needed: Container[str] | None = None) -> Columns:
        """The working memory of floors that state these facts; only computed facts that are needed are worked out."""
        return working_columns(self.base, columns_of(self.base, floors), self._bounds, needed)

    def fired_on(self, floors: Sequence[Mapping[str, Value]], needed: Container[str] | None = None) -> Firing:
        """Which rules fire on floors that state these facts, by the columns reading."""
        return Firing(self._columns, self.working(floors, needed))

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
        inputs = {each for name in computed for each in self.vocabulary.inputs(name)}
        return [name for name in sorted(self.vocabulary.beneath(inputs)) if self._asked(name)]


def _firing(rule: str, _: Columns, firing: Firing) -> Flags:
    return firing.where(rule)


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
    if UNITS[kind.unit].whole:
        low, high = np.rint(low), np.rint(high)
    return NumberColumn(np.where(known, low, span.low), np.where(known, high, span.high), known)
