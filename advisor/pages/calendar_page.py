"""The days of a plan for its readers: what comes before day 1, the calendar by date or by number, and its picture."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime, time
from typing import TYPE_CHECKING

from advisor.model.quantities import show_both
from advisor.model.reader import days_words, hours_words
from advisor.pages.blocks import Block, Listing, Notice, Paragraph, Table
from advisor.pages.day_words import DAY, DayParts, DayWords
from advisor.pages.parts import too_long
from advisor.work.before import Before, before
from advisor.work.job import Job
from advisor.work.phases import USES
from advisor.work.schedule import Schedule, from_hour, numbered_from, schedules, usual_days
from advisor.work.takeoff import TakeOff
from advisor.work.weather import Weather
from explanations.wording import wording

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Laid:
    """A plan as it can be told today: what comes first, the days at both ends, and how they are named."""

    first: Before
    quick: Schedule
    slow: Schedule
    asked: datetime  # midnight of the day from which it was asked for
    begins: datetime  # midnight of day 1; of the first day it may be, where the days are numbered
    forecast: bool
    parts: DayParts
    longest: float  # days; a longer plan is told by days and weeks
    nights: bool = False  # whether it is worked at night

    @property
    def words(self) -> DayWords:
        """How its days are named."""
        return DayWords(self.begins, self.first.dated, self.parts, self.nights)

    @property
    def coarse(self) -> bool:
        """Whether it is so long that only days and weeks are told."""
        last = max((each.free for each in self.slow.planned), default=self.begins)
        return last - self.begins > self.longest * DAY


def laid_out(
    study: TakeOff, finish: str, start: datetime, weather: Weather | None = None, days: Collection[int] | None = None
) -> Laid | None:
    """The plan of a finish; None where something must be done before any plan is made.

    Args:
        study: the floor.
        finish: which finish.
        start: not before this day.
        weather: a forecast or season; of use only where the days have dates.
        days: the weekdays worked, Monday is 0; else the usual ones.
    """
    first = before(study, finish, forecast=weather is not None)
    if first.stopped:
        return None
    begins = first.first_day(start, datetime.combine(study.today, time()))
    job, day_1 = study.job(finish), begins
    if not first.dated:
        weather = None
        day_1 = numbered_from(day_1, usual_days(job) if days is None else days)
    quick, slow = schedules(job, from_hour(job, day_1), weather, days)
    longest = study.base.norms["told_by_hours"].interval.low
    return Laid(first, quick, slow, start, day_1, weather is not None, DayParts.of(study.base), longest, job.by_night)


def no_plan_blocks(study: TakeOff, finish: str) -> Iterator[Block]:
    """That there is no plan, and how long what stands above takes where that is known."""
    known = filter(None, (each.days for each in before(study, finish).stopped))
    yield Paragraph(" ".join([wording("days.no_plan"), *known]), strong=True)


def first_blocks(plan: Laid) -> Iterator[Block]:
    """What comes before day 1, and what that makes of the dates."""
    if plan.first.steps:
        yield Notice(wording("days.before"), tuple(each.words for each in plan.first.steps))
    if not plan.first.dated:
        told = [wording("days.no_dates", why="ruled_out" if plan.first.ruled_out else "open")]
        if plan.begins > plan.asked:
            told.append(wording("days.not_before", day=plan.begins))
        yield Paragraph(" ".join(told), strong=True)
    elif plan.begins > plan.asked:
        yield Paragraph(wording("days.begins", day=plan.begins), strong=True)


def calendar_blocks(study: TakeOff, job: Job, plan: Laid) -> Iterator[Block]:
    """When each phase is worked on, and when the floor may be used."""
    words, quick, slow = plan.words, plan.quick, plan.slow
    hours = {each.phase.id: each.phase.hours for each in quick.planned}
    rows = [
        (
            each.phase.title,
            *((words.weeks(each.pieces),) if plan.coarse else ()),
            words.work(each.pieces, plan.coarse),
            hours_words(hours.get(each.phase.id, 0.0), each.phase.hours),
            words.part(each.free) if plan.coarse else words.clock(each.free),
        )
        for each in slow.planned
        if each.phase.kind != "cure"
    ]
    columns = ("work", *(("week",) if plan.coarse else ()), "when", "by_the_clock", "next_from")
    widths = (7, *([3] if plan.coarse else []), 6, 4, 5)
    yield Table(tuple(wording(f"days.column.{each}") for each in columns), tuple(rows), frozenset(), widths)
    if slow.blocked or quick.blocked:
        yield Paragraph(slow.blocked or quick.blocked, strong=True)
    if slow.ready and quick.ready:
        shut = quick.days_shut or 0.0, slow.days_shut or 0.0
        yield Paragraph(wording("days.shut", place=job.place, days=days_words(*shut)))
        yield Listing(
            tuple(wording("days.from", use=_use(name), when=_from(words, quick, slow, name)) for name in USES)
        )
        if warning := too_long(study, shut):
            yield Paragraph(warning, strong=True)
    if notes := dict.fromkeys((*quick.notes, *slow.notes, *_idle(job, slow))):
        yield Paragraph(wording("days.think_of"))
        yield Listing(tuple(notes))
    if job.outdoors and not plan.forecast:
        window = show_both(job.window, "degC") if job.window else ""
        key = "days.weather_window" if window else "days.weather_decides"
        yield Paragraph(wording(key, window=window), strong=True)
    if plan.first.dated:
        yield Paragraph(wording("days.holidays"))
    if not plan.forecast:
        yield Paragraph(wording("days.no_forecast" if plan.first.dated else "days.no_forecast_helps"))


def _use(name: str) -> str:
    return wording(f"days.use.{name}")


def _idle(job: Job, slow: Schedule) -> Iterator[str]:
    """Where a long time of work leaves people idle, because one set of tools is taken."""
    week = 5 * job.norm("workday").low
    for each in slow.planned:
        if each.phase.kind != "cure" and each.phase.hours > week and each.phase.people < job.people:
            yield wording("days.idle", work=each.phase.title, busy=each.phase.people, people=job.people)


def _from(words: DayWords, quick: Schedule, slow: Schedule, name: str) -> str:
    soonest, latest = words.part(quick.ready[name]), words.part(slow.ready[name])
    return soonest if soonest == latest else wording("days.soonest", soonest=soonest, latest=latest)


def plan_picture(plan: Laid, title: str) -> Figure:
    """The days of the job, if it goes slowly, as a figure."""
    from advisor.charts.calendar import Bar, calendar

    bars = [Bar(each.phase.title, each.pieces, each.free, each.phase.kind == "cure") for each in plan.slow.planned]
    figure = calendar(bars, {_use(name): moment for name, moment in plan.slow.ready.items()}, title)
    if not plan.first.dated:
        from matplotlib.dates import date2num
        from matplotlib.ticker import FuncFormatter, MaxNLocator

        first = float(date2num(plan.begins))  # type: ignore[no-untyped-call]
        axis = figure.axes[0].xaxis
        axis.set_major_locator(MaxNLocator(integer=True))
        axis.set_major_formatter(FuncFormatter(lambda at, _: wording("days.numbered.day", n=round(at - first) + 1)))
    return figure
