"""One price for one job: a survey says of many floors what `cost` and `plan`, and so every page, say of each."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from random import Random

import numpy as np
import pytest

from advisor.answer.many_answers import NOBODY, ManyAnswers
from advisor.engines.columns import columns_of
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.model.knowledge import RuleBase
from advisor.model.values import Value, choice
from advisor.pages.compare import compared
from advisor.pages.letter import letter_page
from advisor.pages.records import cost_record, plan_record
from advisor.work.cost import cost_range
from advisor.work.fit import fitted
from advisor.work.many_costs import taken_by_leading
from advisor.work.pace import work_hours
from advisor.work.pricebook import PriceBook
from advisor.work.takeoff import TakeOff, begin
from tests.floors import random_case
from tests.views_of_work import flat

from .conftest import TODAY

DRAWN, TOLD = 900, 40


@dataclass(frozen=True)
class Surveyed:
    """A floor with the finish that leads on it and what the survey says it costs."""

    facts: dict[str, Value]
    finish: str
    cost: tuple[float, float]
    hours: tuple[float, float]


@pytest.fixture(scope="module")
def surveyed(base: RuleBase, book: PriceBook) -> list[Surveyed]:
    rng = Random(1811)
    floors = [random_case(base, rng) for _ in range(DRAWN)]
    reading = ManyAnswers(base)
    working = reading.working(columns_of(base, floors))
    answers = reading.conclude(working, reading.cases.infer(working))
    taken = taken_by_leading(base, book, working, answers)
    found = []
    for place, facts in enumerate(floors):
        size = facts["area"].interval if "area" in facts else None
        leads = answers.leading[place] != NOBODY and size is not None and size.low > 0
        ends = {name: float(each[place]) for name, each in vars(taken).items()}
        assert all(leads != np.isnan(each) for each in ends.values())
        if leads:
            finish = answers.finishes[answers.leading[place]]
            cost, hours = (ends["cost_low"], ends["cost_high"]), (ends["hours_low"], ends["hours_high"])
            found.append(Surveyed(facts, finish, cost, hours))
    return found


def study_of(reasoner: Reasoner, book: PriceBook, facts: dict[str, Value]) -> TakeOff:
    """A floor as `advise` and `cost` look at it, told in the money of the book whatever its country counts in."""
    study = begin(reasoner, Case("random floor", "", facts), TODAY)
    return replace(study, book=book.used_in(study.facts["country"].choice))


def test_a_survey_costs_each_floor_as_its_own_job_does(
    reasoner: Reasoner, book: PriceBook, surveyed: list[Surveyed]
) -> None:
    hired, finishes = set(), set()
    for floor in surveyed[:TOLD]:
        study = study_of(reasoner, book, floor.facts)
        assert study.advice.answer.leading == floor.finish
        job = study.job(floor.finish)
        low, high = cost_range(job, study.book)
        assert floor.cost == pytest.approx((low.total, high.total), rel=1e-9), floor.finish
        assert floor.hours == pytest.approx(work_hours(job), rel=1e-9), floor.finish
        hired.add(study.hired)
        finishes.add(floor.finish)
    assert hired == {True, False}
    assert len(finishes) > 8


def test_every_page_of_a_floor_has_the_survey_s_price_and_one_count_of_days(
    base: RuleBase, reasoner: Reasoner, surveyed: list[Surveyed]
) -> None:
    told = 0
    for floor in surveyed:
        if floor.facts.get("country", choice("united_states")).choice != "united_states" or told == 6:
            continue
        study = fitted(begin(reasoner, Case("random floor", "", floor.facts), TODAY).fully_advised())
        advice = study.advice
        if advice.stops or advice.holds:
            continue
        told += 1
        assert advice.fit
        assert advice.fit.cost == pytest.approx(floor.cost, rel=1e-9)
        now = cost_record(study, floor.finish, 0.03)
        parts = now.hired if study.hired else now.own
        assert tuple(each.total for each in parts) == pytest.approx(floor.cost, abs=0.006)  # in whole cents
        (column,) = compared(study, [floor.finish], 0.03)
        low, high = column.figures.hired if study.hired else column.figures.own
        assert (low.total, high.total) == pytest.approx(floor.cost, rel=1e-9)
        money = study.reader.money(*floor.cost)
        assert money in flat(letter_page(study, 0.03).blocks)
        assert any(money in each for each in advice.fit.says)
        assert column.shut == advice.fit.days
        plan = plan_record(study, floor.finish, datetime(2026, 11, 26))
        assert plan.hours == pytest.approx(floor.hours)
    assert told == 6
