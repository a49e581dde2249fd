"""The page of how a floor is kept, and the same as data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from advisor.model.advice import RuleBaseMark
from advisor.model.published import Part, Published
from advisor.pages.blocks import Block, Heading, Listing, Page, Paragraph, Table
from advisor.pages.parts import footing, heads
from advisor.work.care import CarePlan, care_plan
from advisor.work.takeoff import TakeOff
from explanations.wording import wording

Range = tuple[float, float]


class CareTold(Part):
    """Something that is done or minded."""

    title: str
    says: str
    every: str
    sources: tuple[str, ...]


class RenewalTold(Part):
    """What is renewed, every so many years, at what cost."""

    what: str
    years: Range
    cost: Range


class Kept(Published):
    """How a finish on a floor is kept."""

    format: Literal["slab-finish-care/1"] = "slab-finish-care/1"
    floor: str
    finish: str
    care: tuple[CareTold, ...]
    currency: str
    first_year: Range
    usual_year: Range
    renewals: tuple[RenewalTold, ...]
    deference: str
    rule_base: RuleBaseMark


def care_record(study: TakeOff, finish: str) -> Kept:
    """The care plan as data."""
    plan = care_plan(study.job(finish), study.book)
    return Kept(
        floor=study.case.floor,
        finish=finish,
        care=tuple(
            CareTold(title=each.title, says=each.says, every=each.every, sources=each.source) for each in plan.tasks
        ),
        currency=study.book.currency,
        first_year=(plan.first_year.low, plan.first_year.high),
        usual_year=(plan.usual_year.low, plan.usual_year.high),
        renewals=tuple(
            RenewalTold(what=what, years=(years.low, years.high), cost=(cost.low, cost.high))
            for what, years, cost in plan.renewals
        ),
        deference=study.advice.deference,
        rule_base=study.advice.rule_base,
    )


def care_page(study: TakeOff, finish: str) -> Page:
    """What to do, how often, and what it costs."""
    title = wording("care.title", finish=study.base.finishes[finish].name)
    return Page(title, tuple(_blocks(study, finish, title)))


def _blocks(study: TakeOff, finish: str, title: str) -> Iterator[Block]:
    yield from heads(study, title, finish, waits=False)
    yield from care_blocks(study, finish)
    yield from footing(study, finish)


def care_blocks(study: TakeOff, finish: str) -> Iterator[Block]:
    """The care of a finish, for a page of its own and for the letter."""
    plan: CarePlan = care_plan(study.job(finish), study.book)
    head = tuple(wording(f"care.{each}") for each in ("what", "often", "how"))
    yield Table(head, tuple((each.title, each.every, each.says) for each in plan.tasks), frozenset(), (2, 2, 6))
    yield Heading(wording("care.costs"))
    money = study.reader.money
    first, usual = (money(each.low, each.high) for each in (plan.first_year, plan.usual_year))
    items = [wording("care.first_year", money=first), wording("care.usual_year", money=usual)]
    items += [
        wording(
            "care.renewal", what=what, low=f"{years.low:g}", high=f"{years.high:g}", money=money(cost.low, cost.high)
        )
        for what, years, cost in plan.renewals
    ]
    yield Listing(tuple(items))
    yield Paragraph(wording("care.hours", who="crew" if study.hired else "self"))
