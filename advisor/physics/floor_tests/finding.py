"""What any test on the floor reports: a value if it was done validly, else the faults and no value."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf
from typing import Generic, TypeVar

Value = TypeVar("Value")


@dataclass(frozen=True)
class Fault:
    """One way in which a test fell short of its method: what was required, found, and wanted."""

    requirement: str
    found: str
    wanted: str

    def __str__(self) -> str:
        """Say it in a line."""
        return f"{self.requirement}: {self.found}; wanted {self.wanted}"


@dataclass(frozen=True)
class Finding(Generic[Value]):
    """The outcome of one test.  ``value`` is None when the test is invalid: it then concludes nothing."""

    method: str
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
    form: str


def conclude(method: str, value: Value, unit: str, faults: Iterable[Fault | None]) -> Finding[Value]:
    """The value if nothing was at fault, else the faults."""
    found = tuple(fault for fault in faults if fault)
    return Finding(method, None if found else value, unit, found)


def readings(
    method: str,
    values: Sequence[float],
    number: int,
    unit: str,
    faults: Iterable[Fault | None],
    required: int,
    form: str,
    worst: str = "highest",
) -> Readings:
    """Sum up a ``number`` of places; a single fault, or too few places, leaves no value."""
    few = none_or_fault("number of places", float(number), float(required), inf, "")
    found = tuple(fault for fault in [few, *faults] if fault)
    if found:
        return Readings(method, None, unit, found, None, None, None, number, required, form)
    lowest, highest = min(values), max(values)
    value = highest if worst == "highest" else lowest
    mean = sum(values) / len(values)
    return Readings(method, value, unit, (), lowest, mean, highest, number, required, form)


def none_or_fault(requirement: str, found: float | None, low: float, high: float, unit: str) -> Fault | None:
    """None if the value lies in [low, high]; a value that was not recorded is a fault, too."""
    if found is not None and low <= found <= high:
        return None
    ends = [
        f"at least {low:g}" if low > -inf else "",
        f"at most {high:g}" if high < inf else "",
    ]
    wanted = f"{' and '.join(filter(None, ends))} {unit}".rstrip()
    return Fault(requirement, "not recorded" if found is None else f"{found:g} {unit}".rstrip(), wanted)


def none_or_unmet(requirement: str, met: bool | None) -> Fault | None:
    """None if a yes/no requirement is met; "not recorded" or "no" otherwise."""
    if met:
        return None
    return Fault(requirement, "not recorded" if met is None else "no", "yes")
