"""Cost over the years: upkeep and renewal by the finish's schedule, discounted to today's money.

Discount factors as in NIST Handbook 135 (Life-Cycle Costing Manual) and ASTM E917, in constant money at a real rate.
A renewal that would fall on the last day of the period, or later, is not counted; yearly upkeep is, at each year's end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from advisor.physics.bounds import Interval
from advisor.physics.validity import within
from advisor.work.cost import cost, labour_cost, price, priced
from advisor.work.job import Job
from advisor.work.needed import upkeep_needed
from advisor.work.pace import hours, machines
from advisor.work.pricebook import PriceBook
from advisor.work.settings import HIGH, LOW, Setting

LONGEST = 60  # years
MIDDLE = Setting(0.5)


def single_present_value(rate: float, years: float) -> float:
    """SPV, (1 + d)^-n: today's worth of one unit paid after so many years.  Source: NIST Handbook 135.

    Valid: rate over -0.5 up to 1 (0.03 is 3 %), 0 to 100 years, else OutsideValidity.

    >>> round(single_present_value(0.03, 10), 4)
    0.7441
    """
    rate = float(within("discount_rate", rate, -0.5, 1.0, ""))
    return float((1.0 + rate) ** -float(within("years", years, 0.0, 100.0, "years")))


def uniform_present_value(rate: float, years: float) -> float:
    """UPV, ((1 + d)^n - 1) / (d (1 + d)^n): today's worth of one unit paid at the end of each year; n where d is 0.

    Source: NIST Handbook 135.

    >>> round(uniform_present_value(0.03, 10), 4)
    8.5302
    """
    factor = single_present_value(rate, years)
    return years if abs(rate) < 1e-12 else (1.0 - factor) / rate


def growing_present_value(rate: float, growth: float, years: float) -> float:
    """UPV*: the same for a payment that grows by a rate each year; n where both rates are equal.

    Source: NIST Handbook 135.

    >>> round(growing_present_value(0.03, 0.02, 10), 4)
    9.4813
    """
    single_present_value(rate, years)
    growth = float(within("growth", growth, -0.5, 1.0, ""))
    if abs(rate - growth) < 1e-12:
        return years
    ratio = (1.0 + growth) / (1.0 + rate)
    return float((1.0 + growth) / (rate - growth) * (1.0 - ratio**years))


def real_rate(nominal: float, inflation: float) -> float:
    """The rate with inflation taken out.  Source: NIST Handbook 135.

    >>> round(real_rate(0.05, 0.02), 5)
    0.02941
    """
    return (1.0 + nominal) / (1.0 + inflation) - 1.0


@dataclass(frozen=True)
class Round:
    """One kind of upkeep: every so many years, at so much a time."""

    title: str
    every: float
    cost: float


def rounds(job: Job, book: PriceBook, setting: Setting) -> Iterator[Round]:
    """The upkeep of a finish at one setting; dear means often."""
    for upkeep in job.procedure.upkeep:
        task = job.base.tasks[upkeep.do]
        every = upkeep.interval or job.finish.properties["renewal"].interval
        if every is None:
            continue
        days = dict.fromkeys(machines(job, task), 1.0)
        total = priced(price(job, book, upkeep_needed(job, upkeep.do, upkeep.uses, setting), days)).total
        # Yearly cleaning is nobody's paid work here; a renewal is, where a crew does the job.
        if job.hired and upkeep.every == "renewal":
            total += labour_cost(book, hours(job, task, setting), setting)
        yield Round(task.title, setting.against(f"renewal:{upkeep.do}", every), total)


def present_values(first: float, each: list[Round], rate: float, years: int) -> list[float]:
    """Cost up to the end of each year from 0 to `years`, in today's money: first cost, and what has fallen due."""
    totals = [first]
    for year in range(1, years + 1):
        totals.append(first + sum(_due(entry, rate, year) for entry in each))
    return totals


def _due(entry: Round, rate: float, year: int) -> float:
    """Payments by the end of a year; those of a renewal on that very day belong to the years after."""
    if entry.every == 1.0:
        return entry.cost * uniform_present_value(rate, year)
    total, time = 0.0, entry.every
    while time < year - 1e-9:
        total += entry.cost * single_present_value(rate, time)
        time += entry.every
    return total


def life_cost(job: Job, book: PriceBook, rate: float, years: int) -> Interval:
    """Lowest and highest cost over so many years, in today's money.

    Raises:
        OutsideValidity: years beyond 1 to 60, or an impossible rate.
    """
    within("years_of_study", years, 1, LONGEST, "years")
    ends = [
        present_values(cost(job, book, end).total, list(rounds(job, book, end)), rate, years)[-1] for end in (LOW, HIGH)
    ]
    return Interval(min(ends), max(ends))


@dataclass(frozen=True)
class BreakEven:
    """From which year on the one that is dearer to make is the cheaper one to have; None: not within the period."""

    dearer_first: str
    year: int | None
    earliest: int | None
    latest: int | None


def break_even(first: Job, second: Job, book: PriceBook, rate: float, years: int = LONGEST) -> BreakEven:
    """The year in which the finish that is dearer at first has paid for itself, in the middle and at the ends.

    Earliest: it comes out cheap and the other dear; latest: the other way round.
    """
    within("years_of_study", years, 1, LONGEST, "years")
    cheap, dear = sorted((first, second), key=lambda job: cost(job, book, MIDDLE).total)
    found = []
    for for_cheap, for_dear in ((MIDDLE, MIDDLE), (HIGH, LOW), (LOW, HIGH)):
        mine = present_values(cost(cheap, book, for_cheap).total, list(rounds(cheap, book, for_cheap)), rate, years)
        other = present_values(cost(dear, book, for_dear).total, list(rounds(dear, book, for_dear)), rate, years)
        found.append(_crossing(mine, other))
    return BreakEven(dear.finish.id, *found)


def _crossing(cheap_first: list[float], dear_first: list[float]) -> int | None:
    """The first year from which the second list stays at or below the first to the end."""
    year = None
    for index in reversed(range(len(cheap_first))):
        if dear_first[index] > cheap_first[index]:
            break
        year = index
    return year
