"""How a finish on this floor is kept, and what the first year of it and a later one cost."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.model.care import Care
from advisor.physics.bounds import Interval
from advisor.work.cost import price, priced
from advisor.work.job import Job
from advisor.work.life import Round, rounds
from advisor.work.needed import amounts_of
from advisor.work.pricebook import PriceBook
from advisor.work.settings import HIGH, LOW, Setting


@dataclass(frozen=True)
class CarePlan:
    """What is done, and what is paid: in the first year, in a usual year later, and for each renewal when it is due."""

    tasks: tuple[Care, ...]
    first_year: Interval
    usual_year: Interval
    renewals: tuple[tuple[str, Interval, Interval], ...]  # what, every so many years, at so much


def care_plan(job: Job, book: PriceBook) -> CarePlan:
    """The care of a job's finish. Nobody's own hours of cleaning are counted, a crew's renewal is.

    Raises:
        Unpriced: the price book lacks something that it takes.
    """
    tasks = tuple(each for each in job.base.care.values() if _stands(job, each))
    low, high = list(rounds(job, book, LOW)), list(rounds(job, book, HIGH))
    usual = Interval(_yearly(low), _yearly(high))
    bought = [_bought(job, book, tasks, setting) for setting in (LOW, HIGH)]
    renewals = tuple(
        (seldom.title, Interval(often.every, seldom.every), Interval(seldom.cost, often.cost))
        for seldom, often in zip(low, high, strict=True)
        if seldom.every > 1.0
    )
    first = Interval(usual.low + bought[0], usual.high + bought[1])
    return CarePlan(tasks, first, usual, renewals)


def _stands(job: Job, care: Care) -> bool:
    made = job.finish.properties
    return all(set(made[name].choices) & set(values) for name, values in care.where.items()) and all(
        job.facts[name].choice in values for name, values in care.when.items()
    )


def _yearly(every: list[Round]) -> float:
    return sum(each.cost for each in every if each.every == 1.0)


def _bought(job: Job, book: PriceBook, tasks: tuple[Care, ...], setting: Setting) -> float:
    needs: dict[str, float] = {}
    for each in tasks:
        for name, amount in amounts_of(job, each.uses, setting).items():
            needs[name] = needs.get(name, 0.0) + amount
    return priced(price(job, book, needs, {})).total
