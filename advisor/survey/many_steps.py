"""The hazards of the work with each floor's leading finish, as arrays; the meaning is that of `answer.steps`."""

from __future__ import annotations

import numpy as np

from advisor.answer.steps import cautions_of
from advisor.inference.columns import ChoiceColumn, Columns, Flags
from advisor.rulebase.knowledge import RuleBase
from advisor.rulebase.procedures import Step
from advisor.survey.many_answers import Answers


def step_cautions(base: RuleBase, working: Columns, answers: Answers) -> dict[str, Flags]:
    """For each caution the floors on which a step of the leading finish's procedure carries it."""
    found: dict[str, Flags] = {}
    for procedure in base.procedures.values():
        places = [place for place, finish in enumerate(answers.finishes) if finish in procedure.finishes]
        leads = np.isin(answers.leading, places)
        if not leads.any():
            continue
        stands: dict[str, Flags] = {}
        for step in procedure.steps:
            here = leads & _may_be_needed(step, working)
            if step.alongside in stands:
                here &= stands[step.alongside]
            stands[step.id] = here
            for name in cautions_of(base, base.tasks[step.do], step.uses):
                found[name] = found[name] | here if name in found else here
    return found


def _may_be_needed(step: Step, working: Columns) -> Flags:
    met = np.ones(working.floors, np.bool)
    for name, values in step.where.items():
        column = working.facts[name]
        assert isinstance(column, ChoiceColumn)
        met &= np.isin(column.codes, [0, *(column.values.index(value) + 1 for value in values)])
    return met
