"""A case to be asked why: with how its leading finish fits the money and the days that were named."""

from __future__ import annotations

from datetime import date

from advisor.asking.causes import Inquiry
from advisor.asking.explaining import Explained
from advisor.engines.reasoning import Reasoner
from advisor.errors import AdvisorError
from advisor.facts.case import Case
from advisor.model.advice import Advice
from advisor.work.fit import fitted
from advisor.work.takeoff import begin


def explained_fully(reasoner: Reasoner, case: Case, today: date, of_causes: bool = False) -> Explained:
    """The case reasoned about.

    Args:
        reasoner: a rule base made ready.
        case: the floor.
        today: the date against which tests age.
        of_causes: whether its causes are asked about, in place of its finishes.
    """
    if of_causes:
        inquiry = Inquiry(reasoner.base)
        return Explained(inquiry.reasoner, inquiry.case(case), today)
    told = Explained(reasoner, case, today)
    told.advice = _fitted(told)
    return told


def _fitted(told: Explained) -> Advice:
    """The advice with how it fits the money and the days that were named, as far as that can be worked out."""
    named = any(told.advice.answer.leading and told.case.facts.get(each) for each in ("budget", "days_shut"))
    try:
        return fitted(begin(told.reasoner, told.case, told.today, advice=told.advice)).advice if named else told.advice
    except AdvisorError:  # why a finish leads is told whatever is wrong with the size of the floor
        return told.advice
