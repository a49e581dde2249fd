"""What jobs take on many floors at once, in money and hours: `needed` and `pace` over arrays, for one finish at a time.

The same as `cost.cost_range` and `pace.work_hours` of each floor's own job, without the list of what is bought.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, fields
from functools import cached_property, partial
from types import MappingProxyType
from typing import Any

import numpy as np

from advisor.answer.many_answers import Answers
from advisor.answer.step_cautions import above, standing
from advisor.engines.columns import (
    ChoiceColumn,
    Column,
    Columns,
    Flags,
    Floats,
    NumberColumn,
    column_of,
    told_number,
)
from advisor.model.entry import UNKNOWN
from advisor.model.knowledge import RuleBase
from advisor.model.procedures import Procedure, Step, Task
from advisor.physics.bounds import Interval, Span
from advisor.physics.elementwise import choose
from advisor.work.cost import RATE, RISE, Unpriced, rise, unpriced
from advisor.work.extent import counted, edges_of
from advisor.work.job import JobStep, find_procedure, told_there, usual_gang
from advisor.work.many_packs import least_prices
from advisor.work.needed import to_buy
from advisor.work.pace import crew_hours, hire_days, night_pay, work_hours
from advisor.work.pricebook import LABOUR, PriceBook, rates, serving
from advisor.work.settings import HIGH, LOW, Setting


@dataclass(frozen=True)
class Extents:
    """How much floor each: area [m2], and length of its edges [m]."""

    area: Span
    edges: Span
    count: Span  # of rooms


@dataclass(frozen=True)
class Jobs:
    """One finish on many floors, by oneself or by a crew: a `needed.Work` over arrays."""

    base: RuleBase
    procedure: Procedure
    extent: Extents
    hired: bool
    people: Floats  # of a crew, those of one gang
    facts: Mapping[str, Column]
    steps: tuple[JobStep, ...]
    first: Mapping[str, Flags]
    known_hours: dict[tuple[int, float], Any] = field(init=False, default_factory=dict)

    def norm(self, name: str) -> Interval:
        """A number of estimating."""
        return self.base.norms[name].interval

    @property
    def gang(self) -> Floats:
        """How many people are in one gang: as many gangs of them come as it keeps busy."""
        return self.people

    @property
    def rooms(self) -> Span:
        """How many rooms each goes through."""
        return self.extent.count

    @cached_property
    def parts(self) -> Any:
        """In how many parts each is done."""
        return counted(self.told, "in_parts").low

    @cached_property
    def by_night(self) -> Any:
        """Where it is worked at night."""
        return self.surely("night_work", "yes")

    @cached_property
    def shift(self) -> Any:
        """Hours worked a day, or a night."""
        return choose(self.by_night, self.norm("night_shift").low, self.norm("workday").low)

    def firsts(self) -> Iterable[tuple[str, Flags]]:
        """The needs that come before it, each with where."""
        return self.first.items()

    def may_be(self, fact: str, value: str) -> Any:
        """Where a choice has that value, or is unknown."""
        return _among(self.facts, fact, (UNKNOWN, value))

    def surely(self, fact: str, value: str) -> Any:
        """Where a choice is known to have that value."""
        return _among(self.facts, fact, (value,))

    def told(self, fact: str) -> tuple[Any, Span]:
        """Where a number is known, and its ends."""
        return told_number(self.facts, fact)


def _among(facts: Mapping[str, Column], fact: str, values: Iterable[str]) -> Any:
    column = column_of(facts, fact)
    if column is None:  # nobody stated it
        return UNKNOWN in values
    assert isinstance(column, ChoiceColumn)
    return column.among(values)


@dataclass(frozen=True)
class Taken:
    """What the finish that leads takes on each floor, done by a crew where the floor says so.

    NaN where none leads or no area is known; of the cost also where the book lacks a price.
    """

    cost_low: Floats  # in the book's currency
    cost_high: Floats
    hours_low: Floats  # of all people together
    hours_high: Floats


def taken_by_leading(base: RuleBase, book: PriceBook, working: Columns, answers: Answers) -> Taken:
    """What the finish that leads takes on each floor.

    Args:
        base: the rule base.
        book: prices; another country's tax is left out where the floor lies elsewhere.
        working: the working memory of the floors.
        answers: theirs.
    """
    floors = answers.floors
    area = working.facts.get("area")
    taken = Taken(*(np.full(floors, np.nan) for _ in fields(Taken)))
    if area is None:
        return taken
    assert isinstance(area, NumberColumn)
    sized = np.broadcast_to(area.known & (area.low > 0), floors)
    crew = np.broadcast_to(_among(working.facts, "who_works", ("hired",)), floors)
    for place, finish in enumerate(answers.finishes):
        for hired in (False, True):
            here = np.flatnonzero((answers.leading == place) & sized & (crew == hired))
            if len(here):
                first: dict[str, Flags] = {}
                for kind, about in (("hold", None), ("first", finish)):
                    for each in answers.names(kind, about):
                        if each.name in base.comes_first and base.comes_first[each.name].uses:
                            first[each.name] = first.get(each.name, False) | answers.where(each)[here]
                jobs = jobs_on(base, working, finish, hired, here, first)
                taken.hours_low[here], taken.hours_high[here] = work_hours(jobs)
                with suppress(Unpriced):
                    taken.cost_low[here], taken.cost_high[here] = _ends(jobs, book, finish)
    return taken


def costs_of(
    base: RuleBase,
    book: PriceBook,
    working: Columns,
    finish: str,
    hired: bool,
    here: Any,
    first: Mapping[str, Flags] = MappingProxyType({}),
) -> tuple[Floats, Floats]:
    """Least and most cost of one finish on some floors, in the book's currency.

    Args:
        base: the rule base.
        book: prices.
        working: the working memory of the floors; their areas are known.
        finish: its id.
        hired: whether a crew does it.
        here: the places of the floors meant.
        first: the needs that come before it, each with which of those floors.

    Raises:
        Unpriced: the book lacks a price.
    """
    return _ends(jobs_on(base, working, finish, hired, here, first), book, finish)


def _ends(jobs: Jobs, book: PriceBook, finish: str) -> tuple[Floats, Floats]:
    return _total(jobs, book, finish, LOW), _total(jobs, book, finish, HIGH)


def jobs_on(
    base: RuleBase,
    working: Columns,
    finish: str,
    hired: bool,
    here: Any,
    first: Mapping[str, Flags] = MappingProxyType({}),
) -> Jobs:
    """One finish on some floors, as `costs_of` takes them."""
    facts, floors = _Here(working.facts, here), len(here)
    _, procedure = find_procedure(base, finish)
    size = facts["area"]
    assert isinstance(size, NumberColumn)
    told, area = partial(told_number, facts), Span(size.low, size.high)
    rooms = counted(told, "room_count")
    extent = Extents(area, edges_of(base, told, area, rooms), rooms)
    steps = tuple(_steps(base, procedure, facts, floors))
    people = np.full(floors, float(usual_gang(base))) if hired else _people(facts, floors)
    return Jobs(base, procedure, extent, hired, people, facts, steps, first)


class _Here(dict[str, Column]):
    """The columns of some floors, each taken when it is first asked for."""

    def __init__(self, columns: Mapping[str, Column], here: Any) -> None:
        super().__init__()
        self._columns, self._here = columns, here

    def __missing__(self, name: str) -> Column:
        column, here = self._columns[name], self._here
        if isinstance(column, ChoiceColumn):
            if len(column.codes) > 1:
                column = ChoiceColumn(column.codes[here], column.values)
        elif len(column.low) > 1:
            column = NumberColumn(column.low[here], column.high[here], column.known[here])
        self[name] = column
        return column


def _people(facts: Mapping[str, Column], floors: int) -> Floats:
    helpers = column_of(facts, "helpers")
    if helpers is None:
        return np.ones(floors)
    assert isinstance(helpers, NumberColumn)
    return np.broadcast_to(1.0 + np.where(helpers.known, np.floor(helpers.low), 0.0), floors)


def _steps(base: RuleBase, procedure: Procedure, facts: Mapping[str, Column], floors: int) -> Iterator[JobStep]:
    """The steps that stand anywhere; one that is told otherwise somewhere is there once for each way it is told."""

    told = partial(told_number, facts)

    def may_be_needed(step: Step) -> Any:
        met: Any = np.ones(floors, np.bool)
        for name in step.where:
            met = met & _among(facts, name, step.open_to(name))
        for may, _ in above(base, step, told):
            met = met & may
        return met

    for step, stands in standing(procedure, may_be_needed):
        certain: Any = np.ones(floors, np.bool)
        for name in step.where:
            certain = certain & (_among(facts, name, (UNKNOWN,)) ^ True)
        for _, surely in above(base, step, told):
            certain = certain & surely
        for task, there in _told(base.tasks[step.do], facts):
            here = stands & there
            if here.any():
                uses = {**task.uses, **step.uses}
                yield JobStep(step.id, step.do, "", task, uses, step.alongside, (), certain, (), here, step.least)


def _told(task: Task, facts: Mapping[str, Column]) -> Iterator[tuple[Task, Any]]:
    rest: Any = True
    for each in task.elsewhere:
        if each.without:  # other words cost nothing
            there = rest
            for name, values in each.where.items():
                there = there & _among(facts, name, values)
            yield told_there(task, each), there
            rest = rest & (there ^ True)
    yield task, rest


def _total(jobs: Jobs, book: PriceBook, finish: str, setting: Setting) -> Floats:
    """What they cost at one setting."""
    due = _among(jobs.facts, "country", (book.tax_in, UNKNOWN)) if book.tax_in else True
    needs, days = to_buy(jobs, setting), hire_days(jobs, setting)
    unpriced(book, [("goods", name) for name in needs] + [("hire", name) for name in days], jobs.hired, finish)
    dearer = 1.0 + setting.at(RISE, rise(jobs))
    total: Floats = np.zeros(len(jobs.people))
    for group, amounts in (("goods", needs), ("hire", days)):
        paid = sum(
            (least_prices(need, [each.pack for each in serving(book, group, name)]) for name, need in amounts.items()),
            np.zeros(len(jobs.people)),
        )
        total += paid / 100.0 * np.where(due, book.taxes(group), 1.0) * dearer
    if jobs.hired:
        rate = setting.at(RATE, rates(serving(book, "labour", LABOUR[0])))
        total += crew_hours(jobs, setting) * night_pay(jobs, setting) * rate * np.where(due, book.taxes("labour"), 1.0)
    return total
