"""Days and hours as a person plans with them: whole hours, parts of the day, dates or day numbers; never too early."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from advisor.model.knowledge import RuleBase
from explanations.wording import wording

HOUR, DAY = timedelta(hours=1), timedelta(days=1)


@dataclass(frozen=True)
class DayParts:
    """The hours at which the parts of a day begin; what is ready in the night is ready in the morning."""

    morning: float
    afternoon: float
    evening: float

    @classmethod
    def of(cls, base: RuleBase) -> DayParts:
        """Those that the rule base states."""
        names = ("day_begins", "afternoon_begins", "evening_begins")
        return cls(*(base.norms[name].interval.low for name in names))

    def waking(self, moment: datetime) -> datetime:
        """The moment, or the morning that follows it where it lies in the night."""
        midnight = _midnight(moment)
        morning, evening = (midnight + HOUR * hour for hour in (self.morning, self.evening))
        if moment <= morning:
            return morning
        return morning + DAY if moment > evening else moment

    def name(self, moment: datetime) -> str:
        """The part of the day that begins no earlier than a moment by day: morning, afternoon or evening."""
        hour = (moment - _midnight(moment)) / HOUR
        return "morning" if hour <= self.morning else "afternoon" if hour <= self.afternoon else "evening"


@dataclass(frozen=True)
class DayWords:
    """How the days of one plan are named: by date, or by number where day 1 has no date yet."""

    first: datetime  # midnight of day 1
    dated: bool
    parts: DayParts
    nights: bool = False  # worked at night: what is ready then is taken up then

    def number(self, moment: datetime) -> int:
        """Which day it is, counted from day 1."""
        return (moment - self.first) // DAY + 1

    def day(self, moment: datetime) -> str:
        """The day, as `Tue 1 Dec` or `day 5`; with its year where that is another than day 1's."""
        if not self.dated:
            return wording("days.numbered.day", n=self.number(moment))
        return wording("days.dated.day" if moment.year == self.first.year else "days.dated.day_and_year", day=moment)

    def clock(self, moment: datetime) -> str:
        """The next whole hour of the day, as `Tue 1 Dec 13:00`; of the night too where nights are worked."""
        hour = _whole_hour(moment)
        return self._at(hour if self.nights else self.parts.waking(hour))

    def part(self, moment: datetime) -> str:
        """From which part of the day on, as `Tue 1 Dec, afternoon`."""
        moment = self.parts.waking(moment)
        return wording("days.part", day=self.day(moment), part=self.parts.name(moment))

    def work(self, pieces: Sequence[tuple[datetime, datetime]], coarse: bool) -> str:
        """When something is worked on, from its first piece to its last; `coarse` names the days only."""
        start, end = pieces[0][0], pieces[-1][1]
        if coarse:
            return _span(self.day(start), self.day(end))
        start = _whole_hour(start)
        end = max(_whole_hour(end), start + HOUR)
        until = wording("days.hour", hour=end.hour) if end.date() == start.date() else self._at(end)
        return _span(self._at(start), until)

    def weeks(self, pieces: Sequence[tuple[datetime, datetime]]) -> str:
        """In which weeks, counted from day 1."""
        return _span(*(str((self.number(moment) - 1) // 7 + 1) for moment in (pieces[0][0], pieces[-1][1])))

    def _at(self, hour: datetime) -> str:
        key = "days.dated.clock" if self.dated else "days.numbered.clock"
        return wording(key, day=self.day(hour), hour=wording("days.hour", hour=hour.hour))


def _span(first: str, last: str) -> str:
    return first if first == last else wording("days.from_to", first=first, last=last)


def _midnight(moment: datetime) -> datetime:
    return datetime(moment.year, moment.month, moment.day)


def _whole_hour(moment: datetime) -> datetime:
    """The next whole hour; not before the moment, to the second."""
    floor = moment.replace(minute=0, second=0, microsecond=0)
    return floor if moment - floor < timedelta(seconds=2) else floor + HOUR


def long_words(hours: float) -> str:
    """A length of time: hours up to two days, else days to the half, rounded up.

    >>> long_words(30.2), long_words(259)
    ('31 hours', '11 days')
    """
    if hours <= 48:
        return wording("days.hours_long", hours=math.ceil(hours))
    return wording("days.days_long", days=f"{math.ceil(hours / 12) / 2:g}")
