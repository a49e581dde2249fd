"""A case to be asked why, or revised: with how its leading finish fits the money and the days that were named."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from advisor.asking.causes import Inquiry
from advisor.asking.explaining import Explained
from advisor.asking.revision import Revision, revise
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
    told.advice = _fitting(reasoner, case, today, told.advice)
    return told


def revised_fully(reasoner: Reasoner, case: Case, said: Iterable[str], today: date) -> Revision:
    """The answer anew, before and after with how it fits; arguments and errors are those of `revise`."""
    found = revise(reasoner, case, said, today)
    before = _fitting(reasoner, case, today, found.before)
    return replace(found, before=before, after=_fitting(reasoner, found.case, today, found.after))


def _fitting(reasoner: Reasoner, case: Case, today: date, advice: Advice) -> Advice:
    """The advice with how it fits the money and the days that were named, as far as that can be worked out."""
    named = any(advice.answer.leading and case.facts.get(each) for each in ("budget", "days_shut"))
    try:
        return fitted(begin(reasoner, case, today, advice=advice)).advice if named else advice
    except AdvisorError:  # why a finish leads is told whatever is wrong with the size of the floor
        return advice
