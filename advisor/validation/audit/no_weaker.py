"""Whether a rule base keeps, on every floor, what the one beneath it concludes to protect people.

A ground rule that still stands, with the same conditions or easier ones, needs no proof. For all else z3 is asked for
a floor on which the rule base below concludes something and the one above does not, both over the same facts.
Computed facts are free, so a floor may be shown that no inputs produce: what is refused may be refused too early, what
is taken is proved.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

import z3

from advisor.answer.step_cautions import cautions_of, most_of, protection, standing
from advisor.engines.smt import EveryCase
from advisor.engines.smt_logic import Logic
from advisor.engines.smt_terms import Bool, Choice, Number, Term, either, exact
from advisor.model.grounding import ground
from advisor.model.knowledge import RuleBase
from advisor.model.materials import Use
from advisor.model.procedures import Step, Task
from advisor.model.program import Conclusion, GroundRule, Program
from advisor.model.values import Value

Part = Literal["work", "upkeep"]  # what upkeep warns of later is no warning in the work
Carried = tuple[Literal["caution", "protection"], str, Part]  # with its name


class NoWeaker:
    """Two rule bases over the same facts, made ready to be compared."""

    def __init__(self, below: RuleBase, above: RuleBase, owed: Program) -> None:
        self.below, self.above = below, above
        shared = above.model_copy(update={"contradictions": below.contradictions})  # what the lower one can answer
        self.every = EveryCase(shared, ground(above))
        self.under = Logic(self.every.vocabulary, owed)

    def floor_that_loses(self, form: GroundRule, conclusion: Conclusion) -> dict[str, Value] | None:
        """The facts of a floor on which a rule below draws a conclusion that nothing above does; None: there is none.

        Args:
            form: a ground rule of the rule base below.
            conclusion: one of its own.
        """
        logic = self.every.logic
        condition = z3.And(self.under.met(form.patterns), z3.Not(logic.concluded([conclusion])))
        return self.every.floor_where(condition, self.under.cone([form]) | logic.cone(logic.drawing(conclusion)))

    def work_that_loses(self, finish: str) -> Iterator[tuple[Carried, dict[str, Value]]]:
        """What the work with a finish warns of, or has people wear, below and not above, each with a floor."""
        now = _carried(self.above, self.every.logic.terms, finish)
        for what, stands in _carried(self.below, self.every.logic.terms, finish).items():
            condition = z3.And(either(stands), z3.Not(either(now.get(what, []))))
            floor = self.every.floor_where(condition, _facts(self.below, finish) | _facts(self.above, finish))
            if floor is not None:
                yield what, floor


def _carried(base: RuleBase, terms: Mapping[str, Term], finish: str) -> dict[Carried, list[Bool]]:
    """When each caution stands with a step of a finish's work, or with its upkeep, and each thing is worn in it."""
    found: dict[Carried, list[Bool]] = {}

    def note(part: Part, task: Task, own: Mapping[str, Use], stands: Bool) -> None:
        for name in cautions_of(base, task, own):
            found.setdefault(("caution", name, part), []).append(stands)
        asked_for = {each for name in cautions_of(base, task, own) for each in _against(base, name)}
        for name in protection(base, task, own):
            sure = name in own or name in asked_for
            worn = stands if sure else z3.And(stands, z3.Not(_left_out(task, terms, name)))
            found.setdefault(("protection", name, part), []).append(worn)

    for procedure in base.procedures.values():
        if finish in procedure.finishes:
            for step, stands in standing(procedure, lambda step: _may_be_needed(base, step, terms)):
                note("work", base.tasks[step.do], step.uses, stands)
            for each in procedure.upkeep:
                note("upkeep", base.tasks[each.do], each.uses, z3.BoolVal(True))
    return found


def _against(base: RuleBase, caution: str) -> list[str]:
    return [name for name, each in base.materials.items() if caution in each.against]


def _may_be_needed(base: RuleBase, step: Step, terms: Mapping[str, Term]) -> Bool:
    among = (_among(terms[name], step.open_to(name)) for name in step.where)
    return z3.And(*among, *(_may_be_above(terms[name], most_of(base, name, each)) for name, each in step.above.items()))


def _may_be_above(term: Term, most: float) -> Bool:
    assert isinstance(term, Number)  # `checks.procedures` lets no other
    return z3.And(term.known, term.high > exact(most))


def _left_out(task: Task, terms: Mapping[str, Term], material: str) -> Bool:
    """When a task, as it is told on a floor, goes without one of its materials: the first telling that fits counts."""
    told, left_out = z3.BoolVal(False), z3.BoolVal(False)
    for each in task.elsewhere:
        here = z3.And(z3.Not(told), *(_among(terms[name], values) for name, values in each.where.items()))
        left_out = z3.Or(left_out, here) if material in each.without else left_out
        told = z3.Or(told, here)
    return left_out


def _among(term: Term, values: tuple[str, ...]) -> Bool:
    assert isinstance(term, Choice)  # `checks.procedures` lets no other
    return term.among(values)


def _facts(base: RuleBase, finish: str) -> set[str]:
    """The facts that tell what the work with a finish is."""
    found: set[str] = set()
    for procedure in base.procedures.values():
        if finish in procedure.finishes:
            done = [*(step.do for step in procedure.steps), *(each.do for each in procedure.upkeep)]
            tasks = [base.tasks[name] for name in done]
            found |= {fact for step in procedure.steps for fact in (*step.where, *step.above)}
            found |= {fact for task in tasks for each in task.elsewhere for fact in each.where}
    return found
