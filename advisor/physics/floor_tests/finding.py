"""What any test on the floor reports: a value if it was done validly, else the faults and no value."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from math import inf
from typing import Generic, TypeVar

from advisor.physics.bounds import Interval

Value = TypeVar("Value")


@dataclass(frozen=True)
class Fault:
    """One way in which a test fell short of its method: as data, for the caller to word.

    ``requirement`` is its key; ``found`` a number in ``unit``, False for what was not so, where a dolly broke, or
    None for what was not recorded; ``wanted`` the range that counts, None for a requirement of yes; ``place`` the
    number of the dish, probe or pull, 0 for the test as a whole.
    """

    requirement: str
    found: float | Enum | None
    wanted: Interval | None = None
    unit: str = ""
    place: int = 0


@dataclass(frozen=True)
class Finding(Generic[Value]):
    """The outcome of one test.  ``value`` is None when the test is invalid: it then concludes nothing."""

    value: Value | None
    unit: str
    faults: tuple[Fault, ...]

    @property
    def valid(self) -> bool:
        """Whether the test was done as its method asks, so that ``value`` may be used."""
        return not self.faults


@dataclass(frozen=True)
class Readings(Finding[float]):
    """The outcome of a test of several places; ``value`` is the one to hold against a limit: the worst.

    A floor is no drier than its wettest place (common practice, no source); ``lowest``, ``mean`` and
    ``highest`` show the spread and are None, too, when the test is invalid.  ``required`` is the number of
    places that the method asks for this area.
    """

    lowest: float | None
    mean: float | None
    highest: float | None
    number: int
    required: int


def conclude(value: Value, unit: str, faults: Iterable[Fault | None]) -> Finding[Value]:
    """The value if nothing was at fault, else the faults."""
    found = tuple(fault for fault in faults if fault)
    return Finding(None if found else value, unit, found)


def readings(
    values: Sequence[float],
    number: int,
    unit: str,
    faults: Iterable[Fault | None],
    required: int,
    worst: str = "highest",
) -> Readings:
    """Sum up a ``number`` of places; a single fault, or too few places, leaves no value."""
    few = none_or_fault("number_of_places", float(number), Interval(float(required), inf))
    found = tuple(fault for fault in [few, *faults] if fault)
    if found:
        return Readings(None, unit, found, None, None, None, number, required)
    lowest, highest = min(values), max(values)
    value = highest if worst == "highest" else lowest
    mean = sum(values) / len(values)
    return Readings(value, unit, (), lowest, mean, highest, number, required)


def none_or_fault(
    requirement: str, found: float | None, wanted: Interval, unit: str = "", place: int = 0
) -> Fault | None:
    """None if the value lies in the range that counts; a value that was not recorded is a fault, too."""
    return None if found is not None and found in wanted else Fault(requirement, found, wanted, unit, place)


def none_or_unmet(requirement: str, met: bool | None, place: int = 0) -> Fault | None:
    """None if a yes/no requirement is met; a fault if it is not, or not recorded."""
    return None if met else Fault(requirement, met, place=place)
