"""The page of a plan: steps with hours, hazards and what makes each hard, the calendar, the crew against the clock."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import datetime

from advisor.answer.step_cautions import protection
from advisor.model.reader import Reader, hours_words
from advisor.pages.blocks import Block, Heading, Listing, Page, Paragraph, Picture, Table
from advisor.pages.calendar_page import calendar_blocks, first_blocks, laid_out, no_plan_blocks
from advisor.pages.day_words import long_words
from advisor.pages.lists import assumptions, extent_words
from advisor.pages.parts import floor_hazards, footing, hazard_notice, heads
from advisor.physics.bounds import Interval
from advisor.work.batches import METHOD, Placing, placings
from advisor.work.job import Job
from advisor.work.phases import longest_chain, work_hours
from advisor.work.schedule import EVERY_DAY
from advisor.work.skills import UNDOING, WORDS, Skills, judge
from advisor.work.takeoff import TakeOff
from advisor.work.weather import Weather
from explanations.words import counted, listing


def plan_page(
    study: TakeOff,
    finish: str,
    start: datetime,
    weather: Weather | None = None,
    days: Collection[int] = EVERY_DAY,
    picture: str = "",
) -> Page:
    """How a finish is made, day by day."""
    blocks = tuple(_plan(study, finish, start, weather, days, picture))
    return Page(f"Plan: {study.base.finishes[finish].name}", blocks)


def _plan(
    study: TakeOff, finish: str, start: datetime, weather: Weather | None, days: Collection[int], picture: str
) -> Iterator[Block]:
    job, plan = study.job(finish), laid_out(study, finish, start, weather, days)
    yield from heads(study, f"Plan: {job.finish.name}", finish, waits=False)
    if plan is None:
        yield from no_plan_blocks(study, finish)
        yield from floor_hazards(study)
        yield from footing(study, finish)
        return
    yield from first_blocks(plan)
    yield hazard_notice(study, finish)
    who = f"a crew of {job.people}" if job.hired else counted(job.people, "person", "people") + " working"
    low, high = work_hours(job)
    yield Paragraph(f"{extent_words(study)} With {who}: {hours_words(low, high)} of work in all.")
    yield Heading("The days, if it goes slowly")
    yield from calendar_blocks(study, job, plan)
    if picture:
        yield Picture(picture, "The days of the job, if it goes slowly: work, waits, and when the floor may be used.")
    yield from _chain(job)
    yield Heading("Step by step")
    yield Listing(tuple(step_words(job)), numbered=True)
    if timed := placings(job, study.book):
        yield Heading("Against the clock")
        yield Listing(tuple(placing_words(each, study.reader) for each in timed))
        yield Paragraph(f"How: {METHOD}.")
    yield from skill_blocks(judge(job))
    yield from assumptions(job)
    yield from footing(study, finish)


def _chain(job: Job) -> Iterator[Block]:
    _, slow, expected = longest_chain(job)
    titles = {step.id: step.title.lower() for step in job.steps}
    chain = ", ".join(titles[name] for name in slow.critical)
    text = (
        f"What sets the length: {chain}. Without nights and days off that chain takes {long_words(expected.mean)} to "
        f"full use, give or take {long_words(expected.spread)} (PERT)."
    )
    slack = [titles[name] for name, times in slow.times.items() if times.slack > 0.5]
    if slack:
        text += f" Can be done while others wait: {', '.join(slack)}."
    yield Paragraph(text)


def step_words(job: Job) -> Iterator[str]:
    """Each step: what to do and to wear, what makes it hard, and whether a mistake can be undone."""
    for step in job.steps:
        task = step.task
        only = "" if step.certain else f" (if needed: {', '.join(name.replace('_', ' ') for name in step.hinges_on)})"
        tools = f" Tools: {', '.join(task.tools)}." if task.tools else ""
        hire = f" Hire: {', '.join(job.base.hire[name].name for name in task.hired)}." if task.hired else ""
        worn = listing(job.base.materials[name].name for name in protection(job.base, task, step.uses))
        wear = f" Wear: {worn}." if worn else ""
        undoing = UNDOING[task.undo]
        what = f"{step.title}{only}. {task.says}{tools}{hire}{wear}"
        yield f"{what} Hard: {task.hard} Mistakes: {task.mistake} ({undoing})"


def placing_words(placing: Placing, reader: Reader) -> str:
    """Whether the crew can place a timed step, in how many batches, with which joints; if not, what helps."""
    life, placed = placing.pot_life, placing.placed
    fewest, most = placing.count
    batches = f"{fewest} batches" if fewest == most else f"{fewest} to {most} batches"
    people = "one person places" if placing.people == 1 else f"{placing.people} people place"
    text = (
        f"{placing.step.title}: the mix can be worked for {life.low:.0f} to {life.high:.0f} minutes; {people} "
        f"{reader.span(Interval(*placed), 'm2')} in that time."
    )
    if placing.kit:
        text += f" The smallest kit covers {reader.amount(placing.kit, 'm2')}."
    verdict = {
        "yes": f"It can be done, in {batches}",
        "only if it goes fast": f"It can be done only if all goes fast, in {batches}",
        "no": "It cannot be done so",
    }[placing.possible]
    joints = (
        f" with {placing.joints} taped joint{'s' if placing.joints > 1 else ''} across the floor"
        if placing.joints
        else ""
    )
    helps = f" What would help: {' '.join(placing.helps)}" if placing.helps else ""
    return f"{text} {verdict}{joints}.{helps}"


def skill_blocks(skills: Skills) -> Iterator[Block]:
    """How hard each step is for these people, the crux, and what to practise."""
    yield Heading("How hard it is for you")
    rows = tuple(
        (
            each.step.title,
            ", ".join(f"{asked.name} ({asked.grade})" for asked in each.asked) or "-",
            WORDS[each.judgement],
        )
        for each in skills.steps
    )
    yield Table(("Step", "What it asks", "For you"), rows, frozenset(), (6, 9, 6))
    yield Paragraph(f"The crux: {skills.words}", strong=True)
    if skills.practise:
        yield Listing(skills.practise)
    if skills.hire_for:
        yield Paragraph(f"Think of hiring someone for: {', '.join(title.lower() for title in skills.hire_for)}.")
