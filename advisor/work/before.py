"""What comes before day 1 of the work: calls, holds, tests that decide and waits, with their days where known.

Work has a date only if nothing open comes before it. A wait of a known length moves the first day; a test that decides,
or a wait whose end nobody knows, leaves it open, and then the days are numbered. Where the floor is on hold, or a
professional comes first, there is no plan at all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from advisor.model.entry import NONNEGATIVE
from advisor.model.procedures import ComesFirst
from advisor.model.program import bound
from advisor.model.quantities import read_quantity, show_number
from advisor.model.standing import Reason, ToDo
from advisor.physics.bounds import Interval
from advisor.work.takeoff import TakeOff
from explanations.wording import wording

AT_ONCE = ComesFirst()
NO_DELAY = Interval(0.0, 0.0)


@dataclass(frozen=True)
class First:
    """One thing that comes first: what to do, why, and how long it takes."""

    need: str  # or the referral
    says: str
    why: str  # the first reason, with this floor's numbers
    more: Interval | None  # days from today, where they are known
    estimate: Interval | None  # days from today, by calculation
    opens: bool  # nobody can say when it is over

    @property
    def words(self) -> str:
        """All of it in sentences."""
        return " ".join(filter(None, (self.says, self.why, self.days)))

    @property
    def days(self) -> str:
        """How long it takes, in a sentence; empty where that is not known."""
        if self.more and self.more.high > 0:
            return wording("days.takes", days=_days(self.more))
        if self.estimate and self.estimate.high > 0:
            return wording("days.estimated", days=_days(self.estimate))
        return ""


@dataclass(frozen=True)
class Before:
    """All that comes before day 1 for one finish on one floor."""

    stopped: tuple[First, ...]  # no plan before these are done
    steps: tuple[First, ...]
    ruled_out: bool

    @property
    def dated(self) -> bool:
        """Whether the days of the work can have dates."""
        return not (self.stopped or self.ruled_out or any(each.opens for each in self.steps))

    def first_day(self, start: datetime, today: datetime) -> datetime:
        """The first day that the known waits allow, not before the one asked for."""
        longest = max((each.more.high for each in self.steps if each.more), default=0.0)
        return max(start, today + timedelta(days=math.ceil(longest - 1e-9)))


def before(study: TakeOff, finish: str, forecast: bool = False) -> Before:
    """What comes before day 1.

    Args:
        study: the floor.
        finish: which finish.
        forecast: whether a forecast tells the weather; else a wait for the weather is open.
    """
    advice, standing = study.advice, study.standing(finish)
    calls = [
        First(each.referral, wording("days.call", who=each.who), _why(each.reasons), None, None, True)
        for each in advice.stops
    ]
    holds = [_first(study, finish, each, forecast, always=True) for each in advice.holds]
    steps = [_first(study, finish, each, forecast) for each in standing.first]
    return Before((*calls, *holds), tuple(steps), standing.verdict == "ruled out")


def _first(study: TakeOff, finish: str, to_do: ToDo, forecast: bool, always: bool = False) -> First:
    delay = study.base.comes_first.get(to_do.need, AT_ONCE)
    more, estimate = _known_days(study, finish, delay), _estimate(study, finish, delay)
    waits = to_do.kind == "wait" and more is None and delay.over != "afterwards"
    told = delay.over == "weather" and forecast
    opens = always or to_do.decides or (waits and not told)
    return First(to_do.need, to_do.says, _why(to_do.reasons), more, estimate, opens)


def _why(reasons: tuple[Reason, ...]) -> str:
    return reasons[0].because if reasons else ""


def _known_days(study: TakeOff, finish: str, delay: ComesFirst) -> Interval | None:
    """How many days are missing, least and most; None where that is not known."""
    if delay.days:
        return delay.days
    passed = study.facts[delay.since].interval if delay.since and study.facts[delay.since].known else None
    if passed is None:
        return None
    kind, _, name = delay.until.partition(".")
    wanted = (
        study.base.finishes[finish].properties[name].interval
        if kind == "finish"
        else read_quantity(study.base.limits[name].given, "day", NONNEGATIVE)
    )
    if wanted is None:
        return NO_DELAY
    return Interval(max(0.0, wanted.low - passed.high), max(0.0, wanted.high - passed.low))


def _estimate(study: TakeOff, finish: str, delay: ComesFirst) -> Interval | None:
    """The days that are left by calculation; None where too little is known for it."""
    if not delay.by_calculation:
        return None
    kind = study.base.facts[delay.by_calculation]
    value = study.facts[bound(delay.by_calculation, finish if kind.of == "finish" else "")]
    return None if value.interval == kind.plausible else value.interval


def _days(span: Interval) -> str:
    low, high = math.floor(span.low), math.ceil(span.high - 1e-9)
    if high > 99:  # two digits are all that such a figure is worth
        return wording("days.span", low=_two_digits(low), high=_two_digits(high))
    return wording("days.span", low=low, high=high) if span.high - span.low >= 1 else wording("days.count", n=high)


def _two_digits(days: int) -> str:
    return show_number(float(f"{days:.2g}"))
