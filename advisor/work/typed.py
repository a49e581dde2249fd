"""What is typed beside the floor: a discount rate, and the day on which work starts."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from advisor.errors import Fault
from advisor.model.knowledge import RuleBase
from advisor.model.quantities import NotAQuantity, read_quantity
from advisor.physics.bounds import Interval
from advisor.work.extent import BadJob
from explanations.wording import wording

HIGHEST_RATE = 50.0  # percent a year
YEARS = (2000, 2200)  # in which a plan may start


def read_rate(text: str | None, base: RuleBase) -> float:
    """A real discount rate a year, as a share; the rule base's where none is typed.

    Raises:
        BadJob: it is none, or out of range.
    """
    if text is None:
        return base.norms["discount_rate"].interval.low / 100.0
    try:
        return read_quantity(text, "percent", Interval(0.0, HIGHEST_RATE)).low / 100.0
    except NotAQuantity as error:
        raise BadJob([Fault("--rate", wording("plan.unread", given=text, why=error), wording("plan.rate"))]) from None


def read_start(text: str | None, today: date) -> datetime:
    """The first day of work, as 2026-12-01; tomorrow where none is typed.

    Raises:
        BadJob: it is none, or of a year far away.
    """
    try:
        day = date.fromisoformat(text) if text else today + timedelta(days=1)
    except ValueError:
        raise BadJob([Fault("--start", wording("plan.no_date", given=text), wording("plan.date"))]) from None
    if not YEARS[0] <= day.year <= YEARS[1]:
        raise BadJob([Fault("--start", wording("plan.no_day", day=day), wording("plan.days_allowed"))])
    return datetime.combine(day, time())
