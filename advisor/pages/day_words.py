"""Days and hours as a person plans with them: whole hours, parts of the day, dates or day numbers; never too early."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
EARLIEST = 8  # o'clock: what is ready in the night is ready in the morning
PARTS = ((EARLIEST, "morning"), (13, "afternoon"), (18, "evening"))


@dataclass(frozen=True)
class DayWords:
    """How the days of one plan are named: by date, or by number where day 1 has no date yet."""

    first: datetime  # midnight of day 1
    dated: bool

    def number(self, moment: datetime) -> int:
        """Which day it is, counted from day 1."""
        return (moment - self.first) // DAY + 1

    def day(self, moment: datetime) -> str:
        """The day, as `Tue 1 Dec` or `day 5`; with its year where that is another than day 1's."""
        year = f" {moment.year}" if moment.year != self.first.year else ""
        return f"{moment:%a} {moment.day} {moment:%b}{year}" if self.dated else f"day {self.number(moment)}"

    def clock(self, moment: datetime) -> str:
        """The next whole hour of the day, as `Tue 1 Dec 13:00`."""
        moment = _waking(_whole_hour(moment))
        return f"{self.day(moment)}{'' if self.dated else ','} {moment.hour}:00"

    def part(self, moment: datetime) -> str:
        """From which part of the day on, as `Tue 1 Dec, afternoon`."""
        moment = _waking(moment)
        time = (moment - datetime(moment.year, moment.month, moment.day)) / HOUR
        return f"{self.day(moment)}, {next(name for hour, name in PARTS if time <= hour)}"

    def work(self, pieces: Sequence[tuple[datetime, datetime]], coarse: bool) -> str:
        """When something is worked on, from its first piece to its last; `coarse` names the days only."""
        start, end = pieces[0][0], pieces[-1][1]
        if coarse:
            first, last = self.day(start), self.day(end)
            return first if first == last else f"{first} to {last}"
        start = _whole_hour(start)
        end = max(_whole_hour(end), start + HOUR)
        comma = "" if self.dated else ","
        until = f"{end.hour}:00" if end.date() == start.date() else f"{self.day(end)}{comma} {end.hour}:00"
        return f"{self.day(start)}{comma} {start.hour}:00 to {until}"

    def weeks(self, pieces: Sequence[tuple[datetime, datetime]]) -> str:
        """In which weeks, counted from day 1."""
        first, last = ((self.number(moment) - 1) // 7 + 1 for moment in (pieces[0][0], pieces[-1][1]))
        return str(first) if first == last else f"{first} to {last}"


def _whole_hour(moment: datetime) -> datetime:
    """The next whole hour; not before the moment, to the second."""
    floor = moment.replace(minute=0, second=0, microsecond=0)
    return floor if moment - floor < timedelta(seconds=2) else floor + HOUR


def _waking(moment: datetime) -> datetime:
    """The moment, or the morning that follows it where it lies in the night."""
    morning = datetime(moment.year, moment.month, moment.day, EARLIEST)
    if moment <= morning:
        return morning
    return morning + DAY if moment > morning.replace(hour=PARTS[-1][0]) else moment


def long_words(hours: float) -> str:
    """A length of time: hours up to two days, else days to the half, rounded up.

    >>> long_words(30.2), long_words(259)
    ('31 hours', '11 days')
    """
    return f"{math.ceil(hours)} hours" if hours <= 48 else f"{math.ceil(hours / 12) / 2:g} days"
