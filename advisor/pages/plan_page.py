"""The page of a plan: steps with hours, hazards and what makes each hard, the calendar, the crew against the clock."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import datetime

from advisor.answer.step_cautions import protection
from advisor.model.procedures import Task
from advisor.model.reader import Reader, hours_words
from advisor.pages.blocks import Block, Heading, Listing, Page, Paragraph, Picture, Table
from advisor.pages.calendar_page import calendar_blocks, first_blocks, laid_out, no_plan_blocks
from advisor.pages.day_words import long_words
from advisor.pages.lists import assumptions, extent_words
from advisor.pages.parts import floor_hazards, footing, hazard_notice, heads
from advisor.physics.bounds import Interval
from advisor.work.batches import Placing, placings
from advisor.work.job import Job
from advisor.work.pace import machines, work_hours
from advisor.work.phases import longest_chain
from advisor.work.settings import HIGH, LOW
from advisor.work.skills import Skills, judge
from advisor.work.spots import run_length, spot_area
from advisor.work.takeoff import TakeOff
from advisor.work.weather import Weather
from explanations.wording import label, listed, wording


def plan_page(
    study: TakeOff,
    finish: str,
    start: datetime,
    weather: Weather | None = None,
    days: Collection[int] | None = None,
    picture: str = "",
) -> Page:
    """How a finish is made, day by day."""
    blocks = tuple(_plan(study, finish, start, weather, days, picture))
    return Page(wording("plan.title", finish=study.base.finishes[finish].name), blocks)


def _plan(
    study: TakeOff, finish: str, start: datetime, weather: Weather | None, days: Collection[int] | None, picture: str
) -> Iterator[Block]:
    job, plan = study.job(finish), laid_out(study, finish, start, weather, days)
    yield from heads(study, wording("plan.title", finish=job.finish.name), finish, waits=False)
    if plan is None:
        yield from no_plan_blocks(study, finish)
        yield from floor_hazards(study)
        yield from footing(study, finish)
        return
    yield from first_blocks(plan)
    yield hazard_notice(study, finish)
    who, hours = "crew" if job.hired else "self", hours_words(*work_hours(job))
    yield Paragraph(wording("plan.extent", extent=extent_words(study), who=who, n=job.people, hours=hours))
    yield Heading(wording("plan.days"))
    yield from calendar_blocks(study, job, plan)
    if picture:
        yield Picture(picture, wording("plan.picture"))
    yield from _chain(job)
    yield Heading(wording("plan.steps"))
    yield Listing(tuple(step_words(job, study.reader)), numbered=True)
    if timed := placings(job, study.book):
        yield Heading(wording("placing.title"))
        yield Listing(tuple(placing_words(each, study.reader) for each in timed))
        yield Paragraph(wording("placing.method"))
    if not job.hired:  # a crew does it every week
        yield from skill_blocks(judge(job))
    yield from assumptions(job)
    yield from footing(study, finish)


def _chain(job: Job) -> Iterator[Block]:
    _, slow, expected = longest_chain(job)
    titles = {step.id: step.title for step in job.steps}
    chain = "; ".join(titles[name] for name in slow.critical)
    mean, spread = long_words(expected.mean), long_words(expected.spread)
    told = [wording("plan.chain", chain=chain, mean=mean, spread=spread)]
    if slack := [titles[name] for name, times in slow.times.items() if times.slack > 0.5]:
        told.append(wording("plan.slack", steps="; ".join(slack)))
    yield Paragraph(" ".join(told))


def step_words(job: Job, reader: Reader) -> Iterator[str]:
    """Each step: what to do and to wear, what makes it hard, and whether a mistake can be undone."""
    for step in job.steps:
        task = step.task
        facts = ", ".join(label("fact", name) for name in step.hinges_on)
        key = "plan.step" if step.certain else "plan.step_if"
        told = [wording(key, step=step.title, facts=facts, says=task.says)]
        if task.spots:
            told.append(_extent_of(job, task, reader))
        if task.tools:
            told.append(wording("plan.tools", what=", ".join(task.tools)))
        if hired := machines(job, task):
            told.append(wording("plan.hire", what=", ".join(job.base.hire[name].name for name in hired)))
        if worn := protection(job.base, task, step.uses):
            told.append(wording("plan.wear", what=listed(job.base.materials[name].name for name in worn)))
        told.append(wording("plan.hard", what=task.hard))
        told.append(wording("plan.mistakes", what=task.mistake, undo=wording(f"skills.undo.{task.undo}")))
        yield " ".join(told)


def _extent_of(job: Job, task: Task, reader: Reader) -> str:
    """How much there is of what is worked on a part of the floor: a length where it runs in lines, else an area."""
    measured, unit = (run_length, "m") if task.run_speed else (spot_area, "m2")
    low, high = (float(measured(job, task.spots, setting)) for setting in (LOW, HIGH))
    return wording("plan.so_much", much=reader.span(Interval(low, high), unit))


def placing_words(placing: Placing, reader: Reader) -> str:
    """Whether the crew can place a timed step, in how many batches, with which joints; if not, what helps."""
    life, (fewest, most) = placing.pot_life, placing.count
    told = [
        wording(
            "placing.mix",
            step=placing.step.title,
            low=f"{life.low:.0f}",
            high=f"{life.high:.0f}",
            people=placing.people,
            area=reader.span(Interval(*placing.placed), "m2"),
        )
    ]
    if placing.kit:
        told.append(wording("placing.kit", area=reader.amount(placing.kit, "m2")))
    span = fewest != most
    batches = wording("placing.batch_span", fewest=fewest, most=most) if span else wording("placing.batches", n=fewest)
    told.append(wording("placing.verdict", possible=placing.possible, batches=batches, joints=placing.joints))
    if placing.helps:
        told.append(wording("placing.help", helps=" ".join(placing.helps)))
    return " ".join(told)


def skill_blocks(skills: Skills) -> Iterator[Block]:
    """How hard each step is for these people, the crux, and what to practise."""
    yield Heading(wording("skills.title"))
    rows = tuple(
        (
            each.step.title,
            ", ".join(asked.words for asked in each.asked) or wording("skills.nothing"),
            wording(f"skills.judgement.{each.judgement}"),
        )
        for each in skills.steps
    )
    head = wording("skills.step"), wording("skills.asks"), wording("skills.for_you")
    yield Table(head, rows, frozenset(), (6, 9, 6))
    yield Paragraph(wording("skills.the_crux", crux=skills.words), strong=True)
    if skills.practise:
        yield Listing(skills.practise)
    if skills.hire_for:
        yield Paragraph(wording("skills.hire_for", steps="; ".join(skills.hire_for)))
