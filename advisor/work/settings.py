"""What quantities are taken of, and at which setting.

Each uncertain number is read at a *setting* between its cheap end (0) and its dear end (1), by the name of what it
depends on. All at 0 and all at 1 are therefore the true ends of any sum of them, and turning one setting at a time
shows what drives the range.

Quantities (`needed`, `pace`, `spots`) are written once, for one floor (`Job`: floats, truth values) and for many
(`many_costs.Jobs`: arrays, flags).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from advisor.model.knowledge import RuleBase
from advisor.model.procedures import Procedure
from advisor.physics.bounds import Interval, Span
from advisor.work.job import Job, JobStep


class Work(Protocol):
    """What quantities are taken of: a job on one floor, or one finish on many. Flags are truth values or arrays."""

    @property
    def base(self) -> RuleBase:
        """The rule base."""
        ...

    @property
    def procedure(self) -> Procedure:
        """Of the finish."""
        ...

    @property
    def extent(self) -> Any:
        """How much floor: `area` [m2] and `edges` [m], least and most."""
        ...

    @property
    def hired(self) -> bool:
        """Whether a crew does it."""
        ...

    @property
    def people(self) -> Any:
        """How many work."""
        ...

    @property
    def gang(self) -> Any:
        """How many of them are in one gang; several may work side by side, each with its own machines."""
        ...

    @property
    def rooms(self) -> Span:
        """How many rooms it goes through, least and most."""
        ...

    @property
    def parts(self) -> Any:
        """In how many parts it is done, one after the other."""
        ...

    @property
    def by_night(self) -> Any:
        """Whether it is worked at night."""
        ...

    @property
    def shift(self) -> Any:
        """Hours worked a day, or a night."""
        ...

    @property
    def steps(self) -> tuple[JobStep, ...]:
        """Those that stand."""
        ...

    @property
    def known_hours(self) -> dict[tuple[int, float], Any]:
        """Hours of its tasks that were worked out, by task and setting."""
        ...

    def norm(self, name: str) -> Interval:
        """A number of estimating."""

    def firsts(self) -> Iterable[tuple[str, Any]]:
        """The needs that come before it, each with whether (or where) it does."""

    def may_be(self, fact: str, value: str) -> Any:
        """Whether a choice has that value, or is unknown."""

    def surely(self, fact: str, value: str) -> Any:
        """Whether a choice is known to have that value."""

    def told(self, fact: str) -> tuple[Any, Span]:
        """Whether a number is known, and its ends."""


@dataclass(frozen=True)
class Setting:
    """Where in its range each uncertain number is taken; `others` for those not named."""

    others: float
    turned: Mapping[str, float] = field(default_factory=dict)
    on_top: bool = False  # what a film loses is added to what stays, and no share of what is mixed

    def of(self, driver: str) -> float:
        """The place in the range of this driver, 0 cheap to 1 dear."""
        return self.turned.get(driver, self.others)

    def at(self, driver: str, interval: Interval | Span) -> Any:
        """A number of which more costs more."""
        return interval.low + self.of(driver) * (interval.high - interval.low)

    def against(self, driver: str, interval: Interval | Span) -> Any:
        """A number of which more costs less, such as a coverage or a speed."""
        return interval.high - self.of(driver) * (interval.high - interval.low)


LOW, HIGH = Setting(0.0), Setting(1.0)
HIGH_ON_TOP = Setting(1.0, on_top=True)
AREA, EDGES, PROFILE, WASTE, PACE, TRAVEL, NIGHT = "area", "edges", "profile", "waste", "pace", "travel", "night"


def active(job: Job, setting: Setting) -> Iterator[JobStep]:
    """The steps that count: those that may not be needed only above the middle of their range."""
    return (step for step, here in counted(job, setting) if here)


def counted(job: Work, setting: Setting) -> Iterator[tuple[JobStep, Any]]:
    """The steps, each with whether (or where) it counts."""
    for step in job.steps:
        above = setting.of(need_of(step)) > 0.5
        # A step that may be the easiest way counts at the low end and gives way at the high one, others the reverse.
        yield step, step.stands if above != step.least else step.stands & step.certain


def need_of(step: JobStep) -> str:
    """The name of the uncertainty whether a step is needed."""
    return f"need:{step.id}"
