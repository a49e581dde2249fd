"""The hazards of the work with each floor's leading finish, as arrays."""

from __future__ import annotations

from functools import partial

import numpy as np

from advisor.answer.many_answers import Answers
from advisor.answer.step_cautions import above, cautions_of, standing
from advisor.engines.columns import ChoiceColumn, Columns, Flags, told_number
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.procedures import Step


def step_cautions(base: RuleBase, working: Columns, answers: Answers) -> dict[str, Flags]:
    """For each caution the floors on which a step of the leading finish's procedure carries it."""

    def may_be_needed(step: Step) -> Flags:
        met = leads
        for name in step.where:
            column = working.facts[name]
            assert isinstance(column, ChoiceColumn)
            values = (UNKNOWN, *column.values)  # by code
            met = met & np.isin(column.codes, [values.index(value) for value in step.open_to(name)])
        for may, _ in above(base, step, partial(told_number, working.facts)):
            met = met & may
        return met

    found: dict[str, Flags] = {}
    for procedure in base.procedures.values():
        places = [place for place, finish in enumerate(answers.finishes) if finish in procedure.finishes]
        leads: Flags = np.isin(answers.leading, places)
        if leads.any():
            for step, here in standing(procedure, may_be_needed):
                for name in cautions_of(base, base.tasks[step.do], step.uses):
                    found[name] = found[name] | here if name in found else here
    return found
