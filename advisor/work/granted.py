"""What a job takes for granted where nothing was said, in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.model.quantities import show, show_both
from advisor.physics.bounds import Interval, Span
from advisor.work.job import Job
from advisor.work.pace import work_hours
from explanations.wording import label, wording

MORE_ROOMS = 10.0  # how many the one room is told beside


def granted(job: Job) -> tuple[str, ...]:
    """Everything that was taken where nothing was said, and what is no part of the job's plan and price."""
    return tuple(_granted(job))


def _granted(job: Job) -> Iterator[str]:
    if not job.people_said and job.hired:
        usual = show(job.norm("crew_size"), "count")
        yield wording("job.crew", usual=usual, n=job.people)
    elif not job.people_said and not job.facts["helpers"].known:
        yield wording("job.alone")
    if not job.hired and not job.facts["who_works"].known:
        yield wording("job.self")
    if job.gangs > 1:
        yield wording("job.gangs", gangs=job.gangs, each=job.people // job.gangs)
    if not job.facts["air_temperature"].known:
        yield _warmth(job)
    if unsure := [step for step in job.steps if not step.certain]:
        yield wording("job.unsure", steps="; ".join(step.title for step in unsure))
    if job.extent.taken:
        yield _one_room(job)
    if job.parts > 1:
        yield wording("job.parts", n=round(job.parts))
    if job.by_night:
        yield wording("job.by_night", hours=f"{job.shift:g}")
    if left := left_to_others(job):
        yield wording("job.others", what="; ".join(left))


def _one_room(job: Job) -> str:
    """That it is taken for one room, and what ten, or as many as there can be, would add in edges and hours."""
    extent = job.extent
    count = min(MORE_ROOMS, extent.area.low // job.norm("least_room").low)
    if count < 2.0:
        return wording("job.one_room", n=1, edges="", hours="")
    longer = count**0.5 - 1.0
    more = Interval(extent.edges.low * longer, extent.edges.high * longer)
    edges = Interval(extent.edges.low + more.low, extent.edges.high + more.high)
    rooms = replace(job, extent=replace(extent, edges=edges, count=Span(count, count)))
    (least, most), (low, high) = work_hours(job), work_hours(rooms)
    hours = Interval(max(1.0, round(low - least)), max(1.0, round(high - most)))
    return wording("job.one_room", n=int(count), edges=show_both(more, "m", digits=2), hours=show(hours, "hour"))


def left_to_others(job: Job) -> list[str]:
    """What comes first and is no part of this job's plan and price, each with its wait where one is known."""
    done, told = {step.do for step in job.steps}, []
    for need in job.first:
        first = job.base.comes_first.get(need)
        if first and (first.others or (first.steps and not done & set(first.steps))):
            days = show(first.days, "day") if first.days else ""
            told.append(wording("job.left", what=label("need", need), days=days or "none"))
    return told


def _warmth(job: Job) -> str:
    """What was taken for the temperature, where nobody stated it."""
    taken = show_both(job.temperature, "degC")
    if not job.outdoors:
        return wording("job.room_warmth", taken=taken)
    told = [wording("job.warmth_outdoors", taken=taken)]
    if job.window:
        told.append(wording("job.window", finish=job.finish.name, span=show_both(job.window, "degC")))
    if job.facts["freezes"].choice == "yes":
        told.append(wording("job.freezes"))
    return " ".join(told)
