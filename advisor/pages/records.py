"""The figures of an estimate as data, for `--json`; their form is in `record_forms`."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from advisor.answer.step_cautions import cautions_of, protection
from advisor.pages import record_forms as forms
from advisor.pages.calendar_page import laid_out
from advisor.pages.compare import Column
from advisor.pages.day_words import DayWords
from advisor.pages.lists import Figures, figures
from advisor.physics.bounds import Interval
from advisor.work.batches import placings
from advisor.work.before import First, before
from advisor.work.cost import Cost, Line, shopping, swings
from advisor.work.granted import granted
from advisor.work.job import Job
from advisor.work.life import break_even
from advisor.work.pace import machines, work_hours
from advisor.work.schedule import Schedule
from advisor.work.skills import Skills, judge
from advisor.work.takeoff import TakeOff, hazards_of
from advisor.work.weather import Weather


def _head(study: TakeOff, finish: str) -> dict[str, Any]:
    """The fields of `OnThisFloor`."""
    standing, advice, book, extent = study.standing(finish), study.advice, study.book, study.extent
    return {
        "floor": study.case.floor,
        "finish": finish,
        "verdict": standing.verdict,
        "ruled_out_by": tuple(each.because for each in standing.ruled_out_by),
        "answer": advice.answer.sentence,
        "stops": tuple(forms.Call(who=each.who, tell=each.tell) for each in advice.stops),
        "holds": tuple(each.says for each in advice.holds),
        "hazards": tuple(hazards_of(study, finish)),
        "deference": advice.deference,
        "area_m2": (extent.area.low, extent.area.high),
        "edges_m": (extent.edges.low, extent.edges.high),
        "prices": forms.PricesUsed(book=book.name, note=book.note, currency=book.currency, tax=book.tax_words()),
        "date": advice.date,
        "rule_base": advice.rule_base,
    }


def shopping_record(study: TakeOff, finish: str) -> forms.Materials:
    """What to buy and hire."""
    job = study.job(finish)
    lines = shopping(job, study.book)
    return forms.Materials(
        **_head(study, finish),
        assumed=granted(job),
        lines=tuple(map(_bought, lines)),
        total=round(sum(line.cost for line in lines), 2),
    )


def _bought(line: Line) -> forms.Bought:
    packs = (
        forms.Packs(item=article.item, sold_as=article.sold_as, count=count)
        for count, article in zip(line.choice.counts, line.articles, strict=True)
        if count
    )
    return forms.Bought(
        name=line.name,
        part=line.part,
        unit=line.unit,
        needed=line.need,
        packs=tuple(packs),
        left_over=line.left_over,
        cost=round(line.cost, 2),
    )


def cost_record(study: TakeOff, finish: str, rate: float, against: str | None = None) -> forms.CostNow:
    """Cost now and over the years, and what drives it."""
    job, even = study.job(finish), None
    if against:
        even = forms.Overtaking(against=against, **asdict(break_even(job, study.job(against), study.book, rate)))
    return forms.CostNow(
        **_head(study, finish),
        assumed=granted(job),
        **_figures(figures(study, finish, rate)),
        discount_rate=rate,
        swings=tuple(swings(job, study.book)),
        break_even=even,
    )


def _figures(found: Figures) -> dict[str, Any]:
    """The fields of `Costs`."""
    return {
        "own": tuple(map(_cost, found.own)),
        "hired": tuple(map(_cost, found.hired)),
        "over_years": {years: (round(low, 2), round(high, 2)) for years, (low, high) in found.life.items()},
    }


def _cost(cost: Cost) -> forms.CostParts:
    return forms.CostParts(**{name: round(value, 2) for name, value in {**asdict(cost), "total": cost.total}.items()})


def plan_record(
    study: TakeOff,
    finish: str,
    start: datetime,
    weather: Weather | None = None,
    days: Collection[int] | None = None,
) -> forms.Plan:
    """Steps, calendar, batches and skills."""
    job, plan = study.job(finish), laid_out(study, finish, start, weather, days)
    first = before(study, finish, forecast=weather is not None)
    return forms.Plan(
        **_head(study, finish),
        before=tuple(_first(each) for each in (*first.stopped, *first.steps)),
        dated=first.dated,
        not_before=plan.begins.date().isoformat() if plan else None,
        assumed=granted(job),
        people=job.people,
        hours=work_hours(job),
        steps=tuple(_steps(job)),
        quick=_calendar(plan.quick, plan.words) if plan else None,
        slow=_calendar(plan.slow, plan.words) if plan else None,
        batches=tuple(_batches(job, study)),
        skills=_skills(judge(job)),
    )


def _steps(job: Job) -> Iterator[forms.StepTold]:
    for step in job.steps:
        yield forms.StepTold(
            id=step.id,
            title=step.title,
            kind=step.task.kind,
            certain=step.certain,
            says=step.task.says,
            tools=step.task.tools,
            hire=tuple(machines(job, step.task)),
            hard=step.task.hard,
            mistake=step.task.mistake,
            undo=step.task.undo,
            wear=tuple(protection(job.base, step.task, step.uses)),
            cautions=cautions_of(job.base, step.task, step.uses),
        )


def _batches(job: Job, study: TakeOff) -> Iterator[forms.Batches]:
    for each in placings(job, study.book):
        yield forms.Batches(
            step=each.step.id,
            people=each.people,
            pot_life_min=(each.pot_life.low, each.pot_life.high),
            placed_m2=(each.placed.low, each.placed.high),
            smallest_kit_m2=each.kit,
            batches=each.count,
            joints=each.joints,
            possible=each.possible,
            helps=each.helps,
        )


def _first(first: First) -> forms.ComesFirst:
    return forms.ComesFirst(
        what=first.need,
        says=first.says,
        why=first.why,
        open=first.opens,
        days_more=_ends(first.more),
        days_by_calculation=_ends(first.estimate),
    )


def _ends(span: Interval | None) -> forms.Range | None:
    return (span.low, span.high) if span else None


def _calendar(found: Schedule, words: DayWords) -> forms.Calendar:
    """The calendar; where its days have no dates, each moment is the day's number and the time."""

    def moment(at: datetime) -> str:
        return at.isoformat() if words.dated else f"day {words.number(at)}, {at:%H:%M:%S}"

    phases = (
        forms.PhaseDated(
            id=each.phase.id,
            title=each.phase.title,
            work=tuple((moment(a), moment(b)) for a, b in each.pieces),
            next_from=moment(each.free),
        )
        for each in found.planned
    )
    return forms.Calendar(
        start=moment(found.start),
        phases=tuple(phases),
        ready={name: moment(at) for name, at in found.ready.items()},
        days_shut=found.days_shut,
        notes=found.notes,
        blocked=found.blocked,
    )


def _skills(skills: Skills) -> forms.SkillsAsked:
    return forms.SkillsAsked(
        crux=skills.crux.step.id,
        in_words=skills.words,
        practise=skills.practise,
        hire_for=skills.hire_for,
        steps=tuple(
            forms.StepForYou(
                step=each.step.id,
                for_you=each.judgement,
                asks=tuple(
                    forms.Demand(what=a.name, grade=a.grade, experience=a.experience, so=a.judgement)
                    for a in each.asked
                ),
            )
            for each in skills.steps
        ),
    )


def comparison_record(study: TakeOff, columns: Sequence[Column]) -> forms.Comparison:
    """Finishes side by side."""
    finishes = (
        forms.BesideOthers(
            **_head(study, each.finish.id),
            name=each.finish.name,
            **_figures(each.figures),
            crux=each.skills.words,
            days_shut=each.shut,
            days_until_full_use=each.full_use,
            upkeep=each.upkeep,
            properties={name: value.given for name, value in each.finish.properties.items()},
        )
        for each in columns
    )
    return forms.Comparison(
        finishes=tuple(finishes),
        ruled_out={
            each.finish: tuple(reason.because for reason in each.ruled_out_by)
            for each in study.advice.standings
            if each.verdict == "ruled out"
        },
    )
