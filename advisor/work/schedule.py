"""The days of a job: phases put on a calendar, in working hours, around waits and weather.

One crew works one phase at a time; while one phase waits, another that may begin does. Waits run through the night. A
phase that is done without a stop is not begun when the day is too short for what is left of it, and none that the
weather limits is begun unless its hours, and the guarded hours after it, are fit.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from advisor.physics.bounds import Interval
from advisor.work.job import Job
from advisor.work.phases import Phase, phases, ready_hours
from advisor.work.settings import HIGH, LOW, Setting
from advisor.work.weather import HOUR, Weather, forbidden, weather_limits
from explanations.wording import wording

EVERY_DAY, WEEKDAYS = frozenset(range(7)), frozenset(range(5))
FORTNIGHT = timedelta(days=14)
LONGEST_SEARCH = timedelta(days=120)
MOMENT = timedelta(seconds=1)

Piece = tuple[datetime, datetime]


@dataclass(frozen=True)
class Planned:
    """A phase on the calendar: when it is worked on, and when what follows may begin."""

    phase: Phase
    pieces: tuple[Piece, ...]
    free: datetime

    @property
    def start(self) -> datetime:
        """When work on it begins."""
        return self.pieces[0][0]

    @property
    def end(self) -> datetime:
        """When work on it ends."""
        return self.pieces[-1][1]


@dataclass(frozen=True)
class Schedule:
    """The calendar of a job. `blocked` says why it stops where no fit hour was found."""

    start: datetime
    planned: tuple[Planned, ...]
    ready: Mapping[str, datetime]  # by use: when the floor stands it
    notes: tuple[str, ...]
    blocked: str = ""
    parts_shut: float = 0.0  # of a floor that is done in parts: days that the one shut longest is shut

    @property
    def days_shut(self) -> float | None:
        """Days from the start until one may walk on the floor; a day begun counts whole where it is the only one.

        Of a floor that is done in parts, those of one part: the rest stays in use.
        """
        if self.ready and self.parts_shut:
            return self.parts_shut
        return max(1.0, (self.ready["walked_on"] - self.start) / timedelta(days=1)) if self.ready else None


def usual_days(job: Job) -> Collection[int]:
    """The weekdays worked if nobody says: a crew has its weekend, who does it oneself has none."""
    return WEEKDAYS if job.hired else EVERY_DAY


def days_asked(weekdays: bool | None) -> Collection[int] | None:
    """The weekdays that were asked for; None where nobody did."""
    return None if weekdays is None else WEEKDAYS if weekdays else EVERY_DAY


def begins(job: Job) -> float:
    """The hour of the day at which work begins."""
    return job.norm("night_begins" if job.by_night else "day_begins").low


def first_day(job: Job, today: date) -> datetime:
    """The hour at which days without dates begin, from today on."""
    return numbered_from(from_hour(job, datetime.combine(today, time())), usual_days(job))


def from_hour(job: Job, start: datetime) -> datetime:
    """The first hour of work on a day, not before the hour asked for: windows of coats are searched from there."""
    return max(start, datetime.combine(start.date(), time()) + timedelta(hours=begins(job)))


def numbered_from(start: datetime, days: Collection[int]) -> datetime:
    """Day 1 of days without dates, on or after a day: a Monday, where there is a weekend."""
    return start + timedelta(days=-start.weekday() % 7 if EVERY_DAY - frozenset(days) else 0)


class _NoHour(Exception):
    pass


@dataclass
class _Calendar:
    """Where work can go."""

    job: Job
    days: Collection[int]
    weather: Weather | None

    def __post_init__(self) -> None:
        self.opens = timedelta(hours=begins(self.job))
        self.length = timedelta(hours=self.job.shift)
        self.least_piece = timedelta(hours=self.job.norm("least_piece").low)
        self.limits = weather_limits(self.job.base, self.job.finish)
        self.reasons: dict[datetime, str] = {}  # why an hour is not fit; empty where it is

    def window(self, moment: datetime) -> Piece:
        """The first working window that ends after a moment, from that moment on."""
        day = datetime(moment.year, moment.month, moment.day) - timedelta(days=1)  # whose night may last until now
        while True:
            opens, closes = day + self.opens, day + self.opens + self.length
            if day.weekday() in self.days and closes - MOMENT > moment:
                return max(moment, opens), closes
            day += timedelta(days=1)

    def place(self, phase: Phase, earliest: datetime) -> tuple[Piece, ...]:
        """The first pieces of working time for a phase.

        Raises:
            _NoHour: the weather forbids it for as long as one may search.
        """
        time = timedelta(hours=phase.hours)
        moment, reasons = earliest, Counter[str]()
        while moment - earliest < LONGEST_SEARCH:
            start, closes = self.window(moment)
            short = min(self.least_piece, time) if not phase.together or time > self.length else time
            if start + short > closes + MOMENT:
                moment = closes
                continue
            pieces = self._pieces(start, time)
            reason = self._unfit(phase, pieces[0][0], pieces[-1][1])
            if not reason:
                return pieces
            reasons[reason] += 1
            moment = start.replace(minute=0, second=0) + HOUR
        raise _NoHour("; ".join(reason for reason, _ in reasons.most_common(2)))

    def _pieces(self, start: datetime, time: timedelta) -> tuple[Piece, ...]:
        pieces: list[Piece] = []
        while True:
            start, closes = self.window(start)
            end = min(start + time, closes)
            pieces.append((start, end))
            time -= end - start
            if time <= MOMENT:
                return tuple(pieces)
            start = end

    def _unfit(self, phase: Phase, start: datetime, end: datetime) -> str:
        if not (self.weather and phase.weather):
            return ""
        hour = start.replace(minute=0, second=0, microsecond=0)
        last = end + timedelta(hours=phase.guard)
        while hour < last:
            if hour not in self.reasons:
                self.reasons[hour] = self._unfit_hour(self.weather, hour)
            if reason := self.reasons[hour]:
                return reason
            hour += HOUR
        return ""

    def _unfit_hour(self, weather: Weather, hour: datetime) -> str:
        now = weather.at(hour)
        return wording("weather.no_further", weather=weather.words) if now is None else forbidden(self.limits, now)

    def temperature(self, moment: datetime) -> Interval:
        """Air temperature of the day that follows: the weather's, else the job's."""
        mean = self.weather.mean_air(moment) if self.weather else None
        return self.job.temperature if mean is None else Interval(mean, mean)


def schedule(
    job: Job,
    setting: Setting,
    start: datetime,
    weather: Weather | None = None,
    days: Collection[int] | None = None,
) -> Schedule:
    """Put a job on the calendar.

    Args:
        job: the job.
        setting: the quick end, the slow end, or between.
        start: not before this.
        weather: a forecast or season; without it every hour counts as fit.
        days: the weekdays worked, Monday is 0; else the usual ones.
    """
    part, parts = job.one_part(), round(job.parts)
    calendar = _Calendar(part, usual_days(job) if days is None else days, weather)
    laid = _schedule(calendar, setting, start)
    if parts == 1:
        return laid
    planned, notes = [_of_part(each, 1) for each in laid.planned], list(laid.notes)
    shut = laid.days_shut or 0.0
    for n in range(2, parts + 1):  # what stood on the next part is put on the one before
        if laid.blocked:
            break
        laid = _schedule(calendar, setting, laid.ready["furniture"])
        planned += [_of_part(each, n) for each in laid.planned]
        shut = max(shut, laid.days_shut or 0.0)
        notes += [note for note in laid.notes if note not in notes]
    return Schedule(
        planned[0].start if planned else start, tuple(planned), laid.ready, tuple(notes), laid.blocked, shut
    )


def _of_part(planned: Planned, n: int) -> Planned:
    """The same, named for its part."""
    return replace(planned, phase=replace(planned.phase, id=f"{planned.phase.id}_{n}", part=n))


def _schedule(calendar: _Calendar, setting: Setting, start: datetime) -> Schedule:
    """One part of the floor, or all of it at once."""
    job = calendar.job
    todo = phases(job, setting)
    over: dict[str, Planned] = {}
    notes: list[str] = []
    crew_free = start
    while work := [phase for phase in todo if phase.id not in over and phase.kind != "cure"]:
        can = [phase for phase in work if all(name in over for name in phase.after)]
        earliest = {p.id: max(crew_free, *(over[name].free for name in p.after), start) for p in can}
        phase = min(can, key=lambda each: earliest[each.id])
        try:
            pieces = _within_windows(calendar, phase, earliest[phase.id], todo)
        except _NoHour as why:
            blocked = wording("days.no_fit_hours", work=phase.title, why=why)
            return Schedule(start, tuple(over.values()), {}, tuple(notes), blocked)
        notes += _notes(phase, pieces, over)
        crew_free = pieces[-1][1]
        over[phase.id] = Planned(phase, pieces, crew_free + timedelta(hours=phase.wait))
    coats = [each for each in over.values() if each.phase.kind == "application"] or list(over.values())
    last = max(each.end for each in coats)
    ready = {
        name: last + timedelta(hours=time)
        for name, time in ready_hours(job.procedure.ready, calendar.temperature(last), setting).items()
    }
    for phase in todo:
        if phase.kind == "cure":
            end = max(ready.values())
            over[phase.id] = Planned(phase, ((last, end),), end)
    return Schedule(next(iter(over.values())).start, tuple(over.values()), ready, tuple(notes))


def _within_windows(calendar: _Calendar, phase: Phase, earliest: datetime, todo: list[Phase]) -> tuple[Piece, ...]:
    """Pieces of time for a phase, after which each coat can follow before the one below is too hard for it.

    Begun late in the week, a coat would miss its window over the weekend, so it waits for an hour at which the
    whole chain fits; where there is none within a fortnight, it is begun at once, and a note says what to abrade.

    Raises:
        _NoHour: the weather forbids it for as long as one may search.
    """
    soonest = pieces = calendar.place(phase, earliest)
    while not _keeps_windows(calendar, phase, pieces[-1][1], todo):
        later = pieces[0][0] + HOUR
        if later - earliest > FORTNIGHT:
            return soonest
        try:
            pieces = calendar.place(phase, later)
        except _NoHour:
            return soonest
    return pieces


def _keeps_windows(calendar: _Calendar, phase: Phase, end: datetime, todo: list[Phase]) -> bool:
    """Whether the coats over a phase, one after the other, can each begin in time."""
    if phase.latest is None:
        return True
    for over in (each for each in todo if phase.id in each.after and each.kind != "cure"):
        try:
            pieces = calendar.place(over, end + timedelta(hours=phase.wait))
        except _NoHour:
            return False
        if pieces[0][0] > end + timedelta(hours=phase.latest):
            return False
        if not _keeps_windows(calendar, over, pieces[-1][1], todo):
            return False
    return True


def schedules(
    job: Job, start: datetime, weather: Weather | None = None, days: Collection[int] | None = None
) -> tuple[Schedule, Schedule]:
    """The calendar if all goes quickly, and if it goes slowly."""
    return schedule(job, LOW, start, weather, days), schedule(job, HIGH, start, weather, days)


def _notes(phase: Phase, pieces: tuple[Piece, ...], over: Mapping[str, Planned]) -> list[str]:
    notes = []
    if phase.together and len(pieces) > 1:
        notes.append(wording("days.long_day", work=phase.title))
    for name in phase.after:
        before = over[name]
        if before.phase.latest and pieces[0][0] > before.end + timedelta(hours=before.phase.latest):
            below = "unabraded" if before.phase.unabraded else "abraded"
            notes.append(wording("days.recoat_over", work=phase.title, below=below))
    return notes
