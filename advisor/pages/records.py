"""The same figures as data, for `--json`: plain names, each number with its unit in its name or beside it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any

from advisor.answer.step_cautions import cautions_of, protection
from advisor.pages.calendar_page import laid_out
from advisor.pages.compare import Column
from advisor.pages.day_words import DayWords
from advisor.pages.lists import Figures, figures
from advisor.work.batches import placings
from advisor.work.before import First, before
from advisor.work.cost import Cost, shopping, swings
from advisor.work.job import Job
from advisor.work.life import break_even
from advisor.work.phases import work_hours
from advisor.work.schedule import EVERY_DAY, Schedule
from advisor.work.skills import Skills, judge
from advisor.work.takeoff import TakeOff, hazards_of
from advisor.work.weather import Weather

FORMAT = "slab-finish-estimate/1"


def _head(study: TakeOff, finish: str) -> dict[str, Any]:
    standing, advice = study.standing(finish), study.advice
    return {
        "format": FORMAT,
        "floor": study.case.floor,
        "finish": finish,
        "verdict": standing.verdict,
        "ruled_out_by": [each.because for each in standing.ruled_out_by],
        "answer": advice.answer.sentence,
        "stops": [{"who": each.who, "tell": each.tell} for each in advice.stops],
        "holds": [each.says for each in advice.holds],
        "hazards": [asdict(each) for each in hazards_of(study, finish)],
        "deference": advice.deference,
        "area_m2": [study.extent.area.low, study.extent.area.high],
        "edges_m": [study.extent.edges.low, study.extent.edges.high],
        "prices": {"book": study.book.name, "note": study.book.note, "currency": study.book.currency,
                   "tax": study.book.tax_words()},
        "date": advice.date,
        "rule_base": advice.rule_base.model_dump(mode="json"),
    }  # fmt: skip


def shopping_record(study: TakeOff, finish: str) -> dict[str, Any]:
    """What to buy and hire."""
    job = study.job(finish)
    lines = shopping(job, study.book)
    return {
        **_head(study, finish),
        "assumed": list(job.assumed),
        "lines": [
            {
                "name": line.name,
                "part": line.part,
                "unit": line.unit,
                "needed": line.need,
                "packs": [
                    {"item": article.item, "sold_as": article.sold_as, "count": count}
                    for count, article in zip(line.choice.counts, line.articles, strict=True)
                    if count
                ],
                "left_over": line.left_over,
                "cost": round(line.cost, 2),
            }
            for line in lines
        ],
        "total": round(sum(line.cost for line in lines), 2),
    }


def cost_record(study: TakeOff, finish: str, rate: float, against: str | None = None) -> dict[str, Any]:
    """Cost now and over the years, and what drives it."""
    job = study.job(finish)
    record = {
        **_head(study, finish),
        "assumed": list(job.assumed),
        **_figures(figures(study, finish, rate)),
        "discount_rate": rate,
        "swings": [asdict(each) for each in swings(job, study.book)],
    }
    if against:
        record["break_even"] = {"against": against, **asdict(break_even(job, study.job(against), study.book, rate))}
    return record


def _figures(found: Figures) -> dict[str, Any]:
    return {
        "self": [_cost(each) for each in found.own],
        "hired": [_cost(each) for each in found.hired],
        "over_years": {str(years): [round(end, 2) for end in span] for years, span in found.life.items()},
    }


def _cost(cost: Cost) -> dict[str, float]:
    return {name: round(value, 2) for name, value in {**asdict(cost), "total": cost.total}.items()}


def plan_record(
    study: TakeOff,
    finish: str,
    start: datetime,
    weather: Weather | None = None,
    days: Collection[int] = EVERY_DAY,
) -> dict[str, Any]:
    """Steps, calendar, batches and skills."""
    job, plan = study.job(finish), laid_out(study, finish, start, weather, days)
    first = before(study, finish, forecast=weather is not None)
    shown = {end: _schedule(getattr(plan, end), plan.words) if plan else None for end in ("quick", "slow")}
    return {
        **_head(study, finish),
        "before": [_first(each) for each in (*first.stopped, *first.steps)],
        "dated": first.dated,
        "not_before": plan.begins.date().isoformat() if plan else None,
        "assumed": list(job.assumed),
        "people": job.people,
        "hours": list(work_hours(job)),
        "steps": _steps(job),
        **shown,
        "batches": [
            {
                "step": each.step.id,
                "people": each.people,
                "pot_life_min": [each.pot_life.low, each.pot_life.high],
                "placed_m2": [each.placed.low, each.placed.high],
                "smallest_kit_m2": each.kit,
                "batches": list(each.count),
                "joints": each.joints,
                "possible": each.possible,
                "helps": list(each.helps),
            }
            for each in placings(job, study.book)
        ],
        "skills": _skills(judge(job)),
    }


def _steps(job: Job) -> list[dict[str, Any]]:
    return [
        {
            "id": step.id,
            "title": step.title,
            "kind": step.task.kind,
            "certain": step.certain,
            "says": step.task.says,
            "tools": list(step.task.tools),
            "hire": list(step.task.hired),
            "hard": step.task.hard,
            "mistake": step.task.mistake,
            "undo": step.task.undo,
            "wear": protection(job.base, step.task, step.uses),
            "cautions": list(cautions_of(job.base, step.task, step.uses)),
        }
        for step in job.steps
    ]


def _first(first: First) -> dict[str, Any]:
    spans = {"days_more": first.more, "days_by_calculation": first.estimate}
    named = {name: [span.low, span.high] if span else None for name, span in spans.items()}
    return {"what": first.need, "says": first.says, "why": first.why, "open": first.opens, **named}


def _schedule(found: Schedule, words: DayWords) -> dict[str, Any]:
    """The calendar; where its days have no dates, each moment is the day's number and the time."""

    def moment(at: datetime) -> str:
        return at.isoformat() if words.dated else f"day {words.number(at)}, {at:%H:%M:%S}"

    return {
        "start": moment(found.start),
        "phases": [
            {
                "id": each.phase.id,
                "title": each.phase.title,
                "work": [[moment(a), moment(b)] for a, b in each.pieces],
                "next_from": moment(each.free),
            }
            for each in found.planned
        ],
        "ready": {name: moment(at) for name, at in found.ready.items()},
        "days_shut": found.days_shut,
        "notes": list(found.notes),
        "blocked": found.blocked,
    }


def _skills(skills: Skills) -> dict[str, Any]:
    return {
        "crux": skills.crux.step.id,
        "in_words": skills.words,
        "practise": list(skills.practise),
        "hire_for": list(skills.hire_for),
        "steps": [
            {
                "step": each.step.id,
                "for_you": each.judgement,
                "asks": [
                    {"what": a.name, "grade": a.grade, "experience": a.experience, "so": a.judgement}
                    for a in each.asked
                ],
            }
            for each in skills.steps
        ],
    }


def comparison_record(study: TakeOff, columns: Sequence[Column]) -> dict[str, Any]:
    """Finishes side by side."""
    return {
        "finishes": [
            {
                **_head(study, each.finish.id),
                "name": each.finish.name,
                **_figures(each.figures),
                "crux": each.skills.words,
                "days_shut": list(each.shut),
                "days_until_full_use": list(each.full_use),
                "upkeep": each.upkeep,
                "properties": {
                    name: value.given if isinstance(value.given, str) else list(value.given)
                    for name, value in each.finish.properties.items()
                },
            }
            for each in columns
        ],
        "ruled_out": {
            each.finish: [reason.because for reason in each.ruled_out_by]
            for each in study.advice.standings
            if each.verdict == "ruled out"
        },
    }
