"""Quantities: how much of each material, how many hours, how many days of each machine.

Each uncertain number is read at a *setting* between its cheap end (0) and its dear end (1), by the name of what it
depends on. All at 0 and all at 1 are therefore the true ends of any sum of them, and turning one setting at a time
shows what drives the range.

All of it is written once, for one floor (`Job`: floats, truth values) and for many (`many_jobs.Jobs`: arrays, flags).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from advisor.answer.step_cautions import protection
from advisor.facts.placing import crew
from advisor.model.knowledge import RuleBase
from advisor.model.materials import Use
from advisor.model.procedures import Larger, Procedure, Task
from advisor.physics.bounds import Interval, Span
from advisor.physics.elementwise import ceil, choose, greatest, least
from advisor.physics.film import volume_needed
from advisor.work.job import EVEN, Job, JobStep

UM, MM, LITRE = 1e-6, 1e-3, 1e-3  # in SI
NOTHING = Span(0.0, 0.0)


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
    def gangs(self) -> Any:
        """How many gangs of them work side by side, each with its own machines."""
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


def materials_needed(job: Work, setting: Setting) -> dict[str, Any]:
    """How much of each material, in its unit."""
    needed: dict[str, Any] = {}
    bare: Any = True  # no film has filled the profile yet
    for step, here in counted(job, setting):
        if here is False:
            continue
        film = step.task.kind == "application" and _films(step.uses)
        for name, amount in _amounts(job, step.uses, step.task, setting, fills=here & bare & film).items():
            amount, material = choose(here, amount, 0.0), job.base.materials[name]
            if material.kind == "protection" and not material.once:
                needed[name] = greatest(needed.get(name, 0.0), amount)  # worn again in the next step
            else:
                needed[name] = needed.get(name, 0.0) + amount
        if film:
            bare = bare & (here ^ True)
    for need, here in job.firsts():
        for name, amount in _tests(job, need, setting).items():
            amount = choose(here, amount, 0.0)
            needed[name] = greatest(needed.get(name, 0.0), amount)  # one visit serves all that ask for it
    return needed


def to_buy(job: Work, setting: Setting) -> dict[str, Any]:
    """How much of each material is bought: a crew brings what it wears."""
    needs = materials_needed(job, setting)
    worn = {name for name in needs if job.base.materials[name].kind == "protection"} if job.hired else set()
    return {name: need for name, need in needs.items() if name not in worn}


def _tests(job: Work, need: str, setting: Setting) -> dict[str, Any]:
    """What is bought for something that comes first."""
    first = job.base.comes_first.get(need)
    return amounts_of(job, first.uses, setting) if first else {}


def upkeep_needed(job: Job, do: str, uses: Mapping[str, Use], setting: Setting) -> dict[str, float]:
    """How much one round of upkeep takes."""
    task = job.base.tasks[do]
    return _amounts(job, {**task.uses, **uses}, task, setting, fills=False)


def amounts_of(job: Work, uses: Mapping[str, Use], setting: Setting) -> dict[str, Any]:
    """How much of each material uses come to that belong to no task."""
    return {name: _amount(job, name, use, None, setting, fills=False) for name, use in uses.items()}


def _films(uses: Mapping[str, Use]) -> bool:
    return any(use.dry is not None for use in uses.values())


def _amounts(job: Work, uses: Mapping[str, Use], task: Task, setting: Setting, fills: Any) -> dict[str, Any]:
    amounts = {name: _amount(job, name, use, task, setting, fills) for name, use in uses.items()}
    worn = {name: at_work(job, task) for name in protection(job.base, task, uses)}
    return {**worn, **{name: greatest(amount, worn.get(name, 0.0)) for name, amount in amounts.items()}}


def _amount(job: Work, name: str, use: Use, task: Task | None, setting: Setting, fills: Any) -> Any:
    area = spot_area(job, use.share, setting) if use.share else setting.at(AREA, job.extent.area)
    waste = 1.0 + setting.at(WASTE, job.norm("cutting_waste")) / 100.0
    driver = f"amount:{name}"
    match use.basis:
        case "dry":
            assert use.dry
            microns = setting.at(driver, use.dry)
            if fills is not False:
                microns = microns + choose(fills, _filling(job, setting), 0.0)
            solids = setting.against(driver, use.solids) / 100.0
            loss = setting.at(driver, use.loss) / 100.0
            return volume_needed(area, microns * UM, solids, loss) / LITRE * waste
        case "covers":
            assert use.covers
            return area / setting.against(driver, use.covers) * waste
        case "weight":
            assert use.weight
            return area * setting.at(driver, use.weight) * waste * _depth(job, use, setting)
        case "one_for":
            assert use.one_for
            more = setting.at(driver, use.plus)
            return ceil(area / setting.against(driver, use.one_for) - EVEN) + more
        case "pieces":
            assert use.pieces
            return ceil(setting.at(driver, use.pieces))
        case "each_person":
            assert use.each_person
            assert task
            return ceil(setting.at(driver, use.each_person)) * at_work(job, task)
        case "one_along":
            assert use.one_along
            return ceil(setting.at(EDGES, job.extent.edges) / setting.against(driver, use.one_along) - EVEN)
    assert use.along_edges
    return setting.at(EDGES, job.extent.edges) * setting.at(driver, use.along_edges)


def _depth(job: Work, use: Use, setting: Setting) -> Any:
    """What is filled [mm], where a weight is for each mm of it; else 1."""
    if not use.deep:
        return 1.0
    known, depth = job.told(use.deep)
    return choose(known, setting.at(share_of(use.deep), depth), 0.0)


def share_of(fact: str) -> str:
    """The name of the uncertainty how much of the floor is stained, cracked or broken."""
    return f"share:{fact}"


def spot_area(job: Work, fact: str, setting: Setting) -> Any:
    """The part of the floor [m2] that a fact tells of: as measured, else the usual share; 0 where there is none."""
    return setting.at(share_of(fact), _spots(job, fact, setting)[0])


def run_length(job: Work, fact: str, setting: Setting) -> Any:
    """The length [m] of what runs over the floor in lines, such as cracks: as measured, else by the usual share."""
    return setting.at(share_of(fact), _spots(job, fact, setting)[1])


def _spots(job: Work, fact: str, setting: Setting) -> tuple[Span, Span]:
    """Area [m2] and length [m]: where the fact is unknown, anything that its values may come to.

    There is no length where it does not run in lines.
    """
    spots, floor = job.base.spots[fact], setting.at(AREA, job.extent.area)
    known, measured = job.told(spots.measured) if spots.measured else (False, NOTHING)
    area, length = Span(float("inf"), 0.0), Span(float("inf"), 0.0)
    for value in job.base.facts[fact].choices or ("usual",):
        usual, wide = job.norm(f"{fact}_{value}"), spots.wide.get(value)
        here = value == "usual" or job.may_be(fact, value)
        if here is False:
            continue
        share, run = Span(floor * usual.low, floor * usual.high), NOTHING
        if usual.high > 0 and wide:
            run = _chosen(known, measured, Span(share.low / wide.high / MM, share.high / wide.low / MM))
            share = _chosen(known, Span(measured.low * wide.low * MM, measured.high * wide.high * MM), share)
        elif usual.high > 0:
            share = _chosen(known, Span(least(floor, measured.low), least(floor, measured.high)), share)
        area, length = _widened(area, here, share), _widened(length, here, run)
    return area, length


def _chosen(known: Any, if_known: Span, if_not: Span) -> Span:
    return Span(choose(known, if_known.low, if_not.low), choose(known, if_known.high, if_not.high))


def _widened(span: Span, here: Any, more: Span) -> Span:
    low, high = least(span.low, more.low), greatest(span.high, more.high)
    return Span(choose(here, low, span.low), choose(here, high, span.high))


def _filling(job: Work, setting: Setting) -> Any:
    """Film [um] that the valleys of the surface take before the coat stands on them."""
    filling = setting.at(PROFILE, job.norm(f"fills_{job.procedure.profile}"))
    for texture in job.base.facts["surface_texture"].choices:
        if f"fills_{texture}" in job.base.norms:
            more = setting.at(PROFILE, job.norm(f"fills_{texture}"))
            filling = filling + choose(job.surely("surface_texture", texture), more, 0.0)
    return filling


def crew_of(job: Job, task: Task) -> int:
    """How many of the people share a task; a task that needs more gets those that it needs."""
    return int(_at_task(job, task))


def _at_task(job: Work, task: Task) -> Any:
    return crew(task, job.people / job.gangs) * _gangs(job, task)


def at_work(job: Work, task: Task) -> Any:
    """How many people breathe and touch what a task brings: all who work, for they share the room."""
    return greatest(float(task.people.least), job.people * 1.0)


def times_set_up(job: Work, setting: Setting) -> Any:
    """How often a gang sets up for a task: anew in each part, and partly in each further room."""
    moved = setting.at(PACE, job.norm("room_setup"))
    return job.parts + moved * greatest(setting.at(EDGES, job.rooms) - job.parts, 0.0)


def larger(job: Work, task: Task) -> list[tuple[Any, Larger]]:
    """The larger machines for a task, each with whether (or where) a crew comes with it: on a surely large floor."""
    floor = job.extent.area.low
    here = [job.hired & (floor >= each.above.low) for each in task.larger]
    beyond = [*here[1:], False][: len(here)]
    return [(on & (more ^ True), each) for on, more, each in zip(here, beyond, task.larger, strict=True)]


def _gangs(job: Work, task: Task) -> Any:
    """How many gangs are at a task: one where a larger machine does it, else all."""
    gangs = job.gangs
    for here, _ in larger(job, task):
        gangs = choose(here, 1.0, gangs)
    return gangs


def speed(job: Work, task: Task, setting: Setting) -> Any:
    """Area an hour of one person, or of the machine."""
    assert task.speed
    pace = setting.against(PACE, task.speed)
    for here, each in larger(job, task):
        pace = choose(here, setting.against(PACE, each.speed), pace)
    return pace


def hours(job: Work, task: Task, setting: Setting) -> Any:
    """Working hours of all people together for a task."""
    time = setting.at(PACE, task.setup) * _gangs(job, task) * times_set_up(job, setting)
    if task.speed:
        area = spot_area(job, task.spots, setting) if task.spots else setting.at(AREA, job.extent.area)
        time = time + area / speed(job, task, setting)
    if task.run_speed:
        time = time + run_length(job, task.spots, setting) / setting.against(PACE, task.run_speed)
    return time * setting.at(PACE, practice(job, task)) + edge_hours(job, task, setting)


def edge_hours(job: Work, task: Task, setting: Setting) -> Any:
    """Those of them that go into the edges."""
    if task.edge_speed is None:
        return 0.0
    time = setting.at(EDGES, job.extent.edges) / setting.against(PACE, task.edge_speed)
    return time * setting.at(PACE, practice(job, task))


def elapsed(job: Work, task: Task, setting: Setting) -> Any:
    """Hours by the clock: setting up is not shared, the rest is."""
    start = setting.at(PACE, task.setup) * times_set_up(job, setting) * setting.at(PACE, practice(job, task))
    return start + (hours(job, task, setting) - start * _gangs(job, task)) / _at_task(job, task)


def practice(job: Work, task: Task) -> Span:
    """Factor on the hours for what the people have not done before; 1 for a crew."""
    factor = Span(1.0, 1.0)
    for name in () if job.hired else task.demands:
        fact = job.base.demands[name].experience
        if fact and set(job.base.facts[fact].choices) >= {"never", "few_times"}:
            few, first = job.norm("few_times"), job.norm("first_time")
            never = job.surely(fact, "never")
            unknown = job.may_be(fact, "never") & (never ^ True)
            factor = _raised(factor, job.surely(fact, "few_times"), Span(few.low, few.high))
            factor = _raised(factor, never, Span(first.low, first.high))
            factor = _raised(factor, unknown, Span(1.0, first.high))
    return factor


def _raised(span: Span, here: Any, more: Span) -> Span:
    low, high = greatest(span.low, more.low), greatest(span.high, more.high)
    return Span(choose(here, low, span.low), choose(here, high, span.high))


def crew_hours(job: Work, setting: Setting) -> Any:
    """Hours of a crew's people that are charged: of its steps and of the visit, but never fewer than the least."""
    time = sum(choose(here, hours(job, step.task, setting), 0.0) for step, here in counted(job, setting))
    time = time + setting.at(TRAVEL, job.norm("crew_travel")) * job.gangs * job.parts
    return greatest(time, setting.at(TRAVEL, job.norm("least_crew_hours")) * job.parts)


def night_pay(job: Work, setting: Setting) -> Any:
    """Factor on what an hour of a crew costs: more at night."""
    return choose(job.by_night, setting.at(NIGHT, job.norm("night_pay")), 1.0)


def hire_days(job: Work, setting: Setting) -> dict[str, Any]:
    """Whole days of each hired machine, one for each gang, by the hours of the steps that need it."""
    busy: dict[str, Any] = {}
    for step, here in counted(job, setting):
        task = step.task
        whole = choose(here, elapsed(job, task, setting), 0.0) if task.hire else 0.0
        machines = larger(job, task)
        for name in task.hire:
            time = whole
            for there, each in machines:
                time = choose(there, 0.0, time) if name in each.replaces else time
            busy[name] = busy.get(name, 0.0) + time
        for there, each in machines:
            for name in each.hire:
                busy[name] = busy.get(name, 0.0) + choose(there, whole, 0.0)
        for name in task.edge_hire:
            time = edge_hours(job, task, setting) / _at_task(job, task)
            busy[name] = busy.get(name, 0.0) + choose(here, time, 0.0)
    single = {name for step in job.steps for each in step.task.larger for name in each.hire}
    return {  # each part is a visit of its own, with hire of its own
        name: ceil(time / job.shift / job.parts - EVEN) * job.parts * (1.0 if name in single else job.gangs)
        for name, time in busy.items()
    }
