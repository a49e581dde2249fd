"""The network of a job's steps: earliest and latest times, slack, the critical path, and PERT's expectation.

Activity on node with finish-to-start lags (the waits). Source: the critical path method and PERT, as in any handbook
of project management; a step's spread is a sixth of its range.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from graphlib import TopologicalSorter


@dataclass(frozen=True)
class Activity:
    """A step: how long it takes, how long one waits after it, and what must be over first."""

    duration: float  # h
    wait: float = 0.0  # h until what follows may begin
    after: tuple[str, ...] = ()


@dataclass(frozen=True)
class Times:
    """When a step can begin and end, at the earliest and without delaying the whole, and its slack, all in hours."""

    start: float
    end: float
    latest_start: float

    @property
    def slack(self) -> float:
        """By how much it may slip."""
        return self.latest_start - self.start


@dataclass(frozen=True)
class Plan:
    """The times of every step, the length of the whole [h], and one longest chain of steps."""

    times: Mapping[str, Times]
    length: float
    critical: tuple[str, ...]


def critical_path(activities: Mapping[str, Activity]) -> Plan:
    """Earliest and latest times of every activity; the whole ends when the last wait is over.

    Raises:
        CycleError: an activity comes after itself.

    >>> plan = critical_path({"a": Activity(2, 1), "b": Activity(5), "c": Activity(1, 0, ("a", "b"))})
    >>> plan.length, plan.critical, plan.times["a"].slack
    (6.0, ('b', 'c'), 2.0)
    """
    order = list(TopologicalSorter({name: set(each.after) for name, each in activities.items()}).static_order())
    start: dict[str, float] = {}
    bound_by: dict[str, str] = {}
    for name in order:
        start[name] = 0.0
        for before in activities[name].after:
            ready = start[before] + activities[before].duration + activities[before].wait
            if ready > start[name] or name not in bound_by:
                start[name], bound_by[name] = ready, before
    over = {name: start[name] + activities[name].duration + activities[name].wait for name in order}
    length = max(over.values(), default=0.0)
    latest = {name: length - each.wait for name, each in activities.items()}  # of their end
    for name in reversed(order):
        for before in activities[name].after:
            allowed = latest[name] - activities[name].duration - activities[before].wait
            latest[before] = min(latest[before], allowed)
    times = {
        name: Times(start[name], start[name] + each.duration, latest[name] - each.duration)
        for name, each in activities.items()
    }
    last = max(order, key=lambda name: over[name], default=None)
    chain: list[str] = []
    while last is not None:
        chain.append(last)
        last = bound_by.get(last)
    return Plan(times, length, tuple(reversed(chain)))


@dataclass(frozen=True)
class Expected:
    """PERT's expectation of a chain's length and its standard deviation [h]."""

    mean: float
    spread: float


def pert(ranges: Sequence[tuple[float, float, float]]) -> Expected:
    """Expectation of a chain whose links have (shortest, likeliest, longest) durations [h], taken as independent.

    >>> pert([(1, 2, 3), (2, 4, 12)])
    Expected(mean=7.0, spread=1.699673171197595)
    """
    mean = sum((low + 4.0 * likely + high) / 6.0 for low, likely, high in ranges)
    return Expected(mean, math.sqrt(sum(((high - low) / 6.0) ** 2 for low, _, high in ranges)))
