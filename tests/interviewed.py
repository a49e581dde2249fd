"""Interviews held with floors that know themselves: what is asked of each until it ends, and how it ends."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from advisor.answer.judging import judge_of
from advisor.asking.interview import OPENING, Interview
from advisor.engines.reasoning import Reasoner
from advisor.errors import BadCase
from advisor.facts.case import Case
from advisor.facts.statements import Statement
from advisor.model.entry import UNKNOWN

MOST = 80  # questions, after which something is wrong


class Held(NamedTuple):
    """One interview: what was asked, how it ended, and the fact named then."""

    asked: tuple[str, ...]
    ends: str
    helps: str
    case: Case


def hold(reasoner: Reasoner, floor: Mapping[str, str], today: date) -> Held:
    """Ask about a floor until it ends.

    Args:
        reasoner: a rule base made ready.
        floor: what is so, by fact; what is not in it the customer does not know.
        today: the date against which tests age.
    """
    interview = Interview(reasoner, judge_of(reasoner), today)
    base = reasoner.base
    try:
        for _ in range(MOST):
            coming = interview.upcoming()
            if coming.ends:
                helps = coming.question.fact if coming.question else ""
                return Held(interview.asked, coming.ends, helps, interview.case)
            if coming.opening:
                asked, facts = OPENING + coming.opening, base.conversation[coming.opening].settles
                said = {
                    name: Statement(floor.get(name, UNKNOWN))
                    for name in facts
                    if name not in interview.case.stated and (name in floor or not base.facts[name].unknown_means)
                }
                said = {name: each for name, each in said.items() if each.text != UNKNOWN or name not in _weighs(base)}
            else:
                assert coming.question is not None
                asked = coming.question.fact
                said = {asked: Statement(floor.get(asked, UNKNOWN))}
            try:
                interview.tell(asked, said)
            except BadCase:  # rounded in writing, it contradicts what was said
                interview.tell(asked, {name: Statement(UNKNOWN) for name in said})
        raise AssertionError(f"still asking after {MOST} questions: {interview.asked}")
    finally:
        interview.close()


def _weighs(base: object) -> set[str]:
    return {each.importance for each in base.criteria.values()}  # type: ignore[attr-defined]
