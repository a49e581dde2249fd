"""Whether the finish that leads fits the money and the days that were named: by its take-off and its plan.

The one place that says so. A finish whose least cost is above the money named, or whose plan may take longer than the
days named, is not recommended without that in the answer's first sentence (`Advice.opening`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date
from typing import Literal

from advisor.asking.went_wrong import went_wrong
from advisor.engines.reasoning import Reasoner
from advisor.facts.case import Case
from advisor.model.advice import Fit
from advisor.model.reader import System, days_words
from advisor.physics.bounds import Interval
from advisor.sent import File
from advisor.work.before import before
from advisor.work.cost import Cost, Unpriced, cost, cost_range
from advisor.work.job import Job
from advisor.work.schedule import first_day, schedule, schedules
from advisor.work.settings import HIGH, LOW, Setting, need_of
from advisor.work.settle import in_gangs
from advisor.work.takeoff import TakeOff, begin
from explanations.reading import measuring
from explanations.wording import label, wording

WIDE = 2.0  # times: from here on one figure is no longer about the same as another
Stands = Literal["enough", "open", "short", "not named"]


def study_fully(
    reasoner: Reasoner,
    case: Case,
    today: date,
    rooms: Iterable[str] = (),
    prices: File | None = None,
    system: System | None = None,
) -> TakeOff:
    """A floor studied for the whole answer: how settled it is, what went wrong before, how the leading finish fits.

    Args and errors are those of `begin`.
    """
    study = begin(reasoner, case, today, rooms, prices=prices, system=system).fully_advised()
    with measuring(study.reading):
        wrong = went_wrong(reasoner, case, study.advice, today)
    return fitted(replace(study, advice=study.advice.model_copy(update={"went_wrong": wrong})))


def fitted(study: TakeOff) -> TakeOff:
    """The same study; its advice says how the leading finish fits, where one may be had and an area is known."""
    found = fit(study)
    return replace(study, advice=study.advice.model_copy(update={"fit": found})) if found else study


def fit(study: TakeOff) -> Fit | None:
    """How the leading finish fits; None where none may be had yet, no area is known, or the book lacks a price.

    It is told in the reader's units and money, whoever asks.
    """
    with measuring(study.reading):
        return _fit(study)


def _fit(study: TakeOff) -> Fit | None:
    finish, advice = study.advice.answer.leading, study.advice
    if finish is None or advice.stops or advice.holds or not (study.rooms or study.facts["area"].known):
        return None
    try:
        job = study.job(finish)
        found = cost_range(job, study.book)
    except Unpriced:
        return None
    shut = days_shut(study, job)
    money, time_ = money_stands(study, found), days_stand(study, shut)
    budget, allowed = study.budget_words, study.facts["days_shut"].shown
    low, high = (each.total for each in found)
    reader, open_fact = study.reader, _open_fact(study, job, found)
    it = job.finish.name if advice.answer.kind == "test first" and advice.answer.fallback else ""  # named last there
    but = []
    if money == "short":
        but.append(
            wording("fit.but_money", it=it or "it", low=reader.money(math.floor(low), math.floor(low)), budget=budget)
        )
    if time_ in ("short", "open"):
        days, most = days_words(*shut), most_days(shut)
        key = "fit.but_days" if time_ == "short" else "fit.but_days_perhaps"
        but.append(wording(key, it=it if it and not but else "it", days=days, most=most, allowed=allowed))

    def costs(stands: Stands) -> str:
        return wording(
            "fit.cost",
            who="crew" if job.hired else "self",
            cost=reader.money(low, high),
            area=reader.span(study.extent.area, "m2"),
            book=study.book.name if study.own_prices else "invented",
            stands=_key(stands),
            budget=budget,
            fact=label("fact", open_fact[0]) if open_fact else "none",
            most=reader.money(*[math.ceil(open_fact[1])] * 2) if open_fact else "",
        )

    def takes(stands: Stands) -> str:
        return wording(
            "fit.days",
            days=days_words(*shut),
            stands=_key(stands),
            allowed=allowed,
            fact=label("fact", open_fact[0]) if open_fact and open_fact[2] < shut[1] / WIDE else "none",
            most=most_days((0.0, open_fact[2])) if open_fact else "",
        )

    return Fit(
        finish=finish,
        currency=study.book.currency,
        cost=(low, high),
        days=shut,
        money=money,
        time=time_,
        says=(costs(money), takes(time_), *_before(study, finish)),
        beside_it=(
            costs("not named" if money == "short" else money),
            takes("not named" if time_ in ("short", "open") else time_),
        ),
        but=wording("fit.both", money=but[0], days=but[1]) if len(but) == 2 else "".join(but),
    )


def _open_fact(study: TakeOff, job: Job, costs: tuple[Cost, Cost]) -> tuple[str, float, float] | None:
    """The one open fact that makes a cost wide: most of the high figure is work that stands only if it says so.

    With what the work may cost, and how many days it may take, if it asks for none of it.
    """
    low, high = (each.total for each in costs)
    if high < WIDE * WIDE * low:
        return None
    asking: dict[str, dict[str, float]] = {}
    for step in (each for each in job.steps if not each.certain):
        for fact in step.hinges_on:
            asking.setdefault(fact, {})[need_of(step)] = LOW.others
    without = {fact: Setting(HIGH.others, turned) for fact, turned in asking.items()}
    left = {fact: in_gangs(job, setting) for fact, setting in without.items()}
    most = {fact: cost(left[fact], study.book, setting).total for fact, setting in without.items()}
    fact = min(most, key=lambda each: most[each], default="")
    if not fact or most[fact] * WIDE > high:
        return None
    return fact, most[fact], schedule(left[fact], without[fact], first_day(job, study.today)).days_shut or 0.0


def _before(study: TakeOff, finish: str) -> Iterator[str]:
    """How long what comes first may take, at the least and at the most; nothing where no wait of it is known."""
    waits = [each.more for each in before(study, finish).steps if each.more and each.more.high > 0]
    if waits:
        days = days_words(max(each.low for each in waits), max(each.high for each in waits))
        yield wording("fit.before", days=days)


def most_days(shut: tuple[float, float]) -> str:
    """The longest that it may take, to the half day."""
    return wording("page.days", days=f"{math.ceil(shut[1] * 2) / 2:g}")


def days_shut(study: TakeOff, job: Job) -> tuple[float, float]:
    """Days from the start until one may walk on the floor, least and most."""
    least, most = (each.days_shut or 0.0 for each in schedules(job, first_day(job, study.today)))
    return least, most


def money_stands(study: TakeOff, cost: tuple[Cost, Cost]) -> Stands:
    """Whether the money named is enough: for the dearest, for none, or for some of what it may cost.

    In whole units, as both are told: what is told as the same is not more than itself.
    """
    named = study.budget
    if named is None:
        return "not named"
    whole = Interval(float(round(named.low)), float(round(named.high)))
    return _stands(whole, float(math.floor(cost[0].total + 1e-6)), float(math.ceil(cost[1].total - 1e-6)))


def days_stand(study: TakeOff, shut: tuple[float, float]) -> Stands:
    """Whether the days named are enough."""
    allowed = study.facts["days_shut"]
    if not allowed.known or allowed.interval is None:
        return "not named"
    return _stands(allowed.interval, *shut)


def _stands(named: Interval, least: float, most: float) -> Stands:
    if named.high < least:
        return "short"
    return "enough" if most <= named.low else "open"


def _key(stands: Stands) -> str:
    return stands.replace(" ", "_")
