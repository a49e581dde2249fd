"""Quantities: how much of each material, how many hours, how many days of each machine.

Each uncertain number is read at a *setting* between its cheap end (0) and its dear end (1), by the name of what it
depends on. All at 0 and all at 1 are therefore the true ends of any sum of them, and turning one setting at a time
shows what drives the range.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from advisor.answer.step_cautions import protection
from advisor.facts.placing import crew
from advisor.model.knowledge import UNKNOWN
from advisor.model.procedures import Task, Use
from advisor.physics.bounds import Interval
from advisor.physics.film import volume_needed
from advisor.work.job import Job, JobStep

UM, MM, LITRE = 1e-6, 1e-3, 1e-3  # in SI
NONE = Interval(0.0, 0.0)
EVEN = 1e-9  # rounding alone shall not cost a piece


@dataclass(frozen=True)
class Setting:
    """Where in its range each uncertain number is taken; `others` for those not named."""

    others: float
    turned: Mapping[str, float] = field(default_factory=dict)

    def of(self, driver: str) -> float:
        """The place in the range of this driver, 0 cheap to 1 dear."""
        return self.turned.get(driver, self.others)

    def at(self, driver: str, interval: Interval) -> float:
        """A number of which more costs more."""
        return interval.low + self.of(driver) * (interval.high - interval.low)

    def against(self, driver: str, interval: Interval) -> float:
        """A number of which more costs less, such as a coverage or a speed."""
        return interval.high - self.of(driver) * (interval.high - interval.low)


LOW, HIGH = Setting(0.0), Setting(1.0)
AREA, EDGES, PROFILE, WASTE, PACE = "area", "edges", "profile", "waste", "pace"


def active(job: Job, setting: Setting) -> Iterator[JobStep]:
    """The steps that count: those that may not be needed only above the middle of their range."""
    for step in job.steps:
        if step.certain or setting.of(need_of(step)) > 0.5:
            yield step


def need_of(step: JobStep) -> str:
    """The name of the uncertainty whether a step is needed."""
    return f"need:{step.id}"


def materials_needed(job: Job, setting: Setting) -> dict[str, float]:
    """How much of each material, in its unit."""
    steps = [(step.uses, step.task) for step in active(job, setting)]
    first = next((i for i, (uses, task) in enumerate(steps) if task.kind == "application" and _films(uses)), None)
    needed: dict[str, float] = {}
    for index, (uses, task) in enumerate(steps):
        for name, amount in _amounts(job, uses, task, setting, fills=index == first).items():
            material = job.base.materials[name]
            if material.kind == "protection" and not material.once:
                needed[name] = max(needed.get(name, 0.0), amount)  # worn again in the next step
            else:
                needed[name] = needed.get(name, 0.0) + amount
    for need in job.first:
        for name, amount in _tests(job, need, setting).items():
            needed[name] = max(needed.get(name, 0.0), amount)  # one visit serves all that ask for it
    return needed


def _tests(job: Job, need: str, setting: Setting) -> dict[str, float]:
    """What is bought for something that comes first."""
    first = job.base.comes_first.get(need)
    return (
        {name: _amount(job, name, use, None, setting, fills=False) for name, use in first.uses.items()} if first else {}
    )


def upkeep_needed(job: Job, do: str, uses: Mapping[str, Use], setting: Setting) -> dict[str, float]:
    """How much one round of upkeep takes."""
    task = job.base.tasks[do]
    return _amounts(job, {**task.uses, **uses}, task, setting, fills=False)


def _films(uses: Mapping[str, Use]) -> bool:
    return any(use.dry is not None for use in uses.values())


def _amounts(job: Job, uses: Mapping[str, Use], task: Task, setting: Setting, fills: bool) -> dict[str, float]:
    amounts = {name: _amount(job, name, use, task, setting, fills) for name, use in uses.items()}
    worn = {name: float(at_work(job, task)) for name in protection(job.base, task, uses)}
    return {**worn, **{name: max(amount, worn.get(name, 0.0)) for name, amount in amounts.items()}}


def _amount(job: Job, name: str, use: Use, task: Task | None, setting: Setting, fills: bool) -> float:
    area = spot_area(job, use.share, setting) if use.share else setting.at(AREA, job.extent.area)
    waste = 1.0 + setting.at(WASTE, job.norm("cutting_waste")) / 100.0
    driver = f"amount:{name}"
    match use.basis:
        case "dry":
            assert use.dry
            microns = setting.at(driver, use.dry) + (_filling(job, setting) if fills else 0.0)
            solids = setting.against(driver, use.solids) / 100.0
            loss = setting.at(driver, use.loss) / 100.0
            return float(volume_needed(area, microns * UM, solids, loss)) / LITRE * waste
        case "covers":
            assert use.covers
            return area / setting.against(driver, use.covers) * waste
        case "weight":
            assert use.weight
            return area * setting.at(driver, use.weight) * waste
        case "one_for":
            assert use.one_for
            more = setting.at(driver, use.plus)
            return float(math.ceil(area / setting.against(driver, use.one_for) - EVEN) + more)
        case "pieces":
            assert use.pieces
            return float(math.ceil(setting.at(driver, use.pieces)))
        case "each_person":
            assert use.each_person
            assert task
            return float(math.ceil(setting.at(driver, use.each_person)) * at_work(job, task))
        case "one_along":
            assert use.one_along
            return float(math.ceil(setting.at(EDGES, job.extent.edges) / setting.against(driver, use.one_along) - EVEN))
    assert use.along_edges
    return setting.at(EDGES, job.extent.edges) * setting.at(driver, use.along_edges)


def share_of(fact: str) -> str:
    """The name of the uncertainty how much of the floor is stained, cracked or broken."""
    return f"share:{fact}"


def spot_area(job: Job, fact: str, setting: Setting) -> float:
    """The part of the floor [m2] that a fact tells of: as measured, else the usual share; 0 where there is none."""
    return _between(setting, fact, [area for area, _ in _spots(job, fact, setting)])


def run_length(job: Job, fact: str, setting: Setting) -> float:
    """The length [m] of what runs over the floor in lines, such as cracks: as measured, else by the usual share."""
    return _between(setting, fact, [length for _, length in _spots(job, fact, setting)])


def _between(setting: Setting, fact: str, spans: list[Interval]) -> float:
    """Where the fact is unknown, anything that its values may come to."""
    return setting.at(share_of(fact), Interval(min(each.low for each in spans), max(each.high for each in spans)))


def _spots(job: Job, fact: str, setting: Setting) -> Iterator[tuple[Interval, Interval]]:
    """Area [m2] and length [m] for each value that the fact may have; no length where it does not run in lines."""
    spots, floor, known = job.base.spots[fact], setting.at(AREA, job.extent.area), job.facts[fact].choice
    told = job.facts[spots.measured] if spots.measured else None
    measured = told.interval if told and told.known else None
    for value in job.base.facts[fact].choices if known in ("", UNKNOWN) else (known,):
        usual, wide = job.norm(f"{fact}_{value}"), spots.wide.get(value, NONE)
        if usual.high <= 0:
            yield NONE, NONE
        elif measured is None:
            area = Interval(floor * usual.low, floor * usual.high)
            yield area, Interval(area.low / wide.high / MM, area.high / wide.low / MM) if wide.high else NONE
        elif wide.high:
            yield Interval(measured.low * wide.low * MM, measured.high * wide.high * MM), measured
        else:
            yield Interval(min(floor, measured.low), min(floor, measured.high)), NONE


def _filling(job: Job, setting: Setting) -> float:
    """Film [um] that the valleys of the surface take before the coat stands on them."""
    filling = setting.at(PROFILE, job.norm(f"fills_{job.procedure.profile}"))
    texture = f"fills_{job.facts['surface_texture'].choice}"
    if texture in job.base.norms:
        filling += setting.at(PROFILE, job.norm(texture))
    return filling


def crew_of(job: Job, task: Task) -> int:
    """How many of the people share a task; a task that needs more gets those that it needs."""
    return int(crew(task, float(job.people)))


def at_work(job: Job, task: Task) -> int:
    """How many people breathe and touch what a task brings: all who work, for they share the room."""
    return max(task.people.least, job.people)


def hours(job: Job, task: Task, setting: Setting) -> float:
    """Working hours of all people together for a task."""
    time = setting.at(PACE, task.setup)
    if task.speed:
        area = spot_area(job, task.spots, setting) if task.spots else setting.at(AREA, job.extent.area)
        time += area / setting.against(PACE, task.speed)
    if task.run_speed:
        time += run_length(job, task.spots, setting) / setting.against(PACE, task.run_speed)
    return time * setting.at(PACE, practice(job, task)) + edge_hours(job, task, setting)


def edge_hours(job: Job, task: Task, setting: Setting) -> float:
    """Those of them that go into the edges."""
    if task.edge_speed is None:
        return 0.0
    time = setting.at(EDGES, job.extent.edges) / setting.against(PACE, task.edge_speed)
    return time * setting.at(PACE, practice(job, task))


def elapsed(job: Job, task: Task, setting: Setting) -> float:
    """Hours by the clock: setting up is not shared, the rest is."""
    start = setting.at(PACE, task.setup) * setting.at(PACE, practice(job, task))
    return start + (hours(job, task, setting) - start) / crew_of(job, task)


def practice(job: Job, task: Task) -> Interval:
    """Factor on the hours for what the people have not done before; 1 for a crew."""
    if job.hired:
        return Interval(1.0, 1.0)
    factors = [Interval(1.0, 1.0)]
    for name in task.demands:
        fact = job.base.demands[name].experience
        if fact and set(job.base.facts[fact].choices) >= {"never", "few_times"}:
            known = job.facts[fact].choice
            if known == "few_times":
                factors.append(job.norm("few_times"))
            elif known != "often":
                first = job.norm("first_time")
                factors.append(first if known == "never" else Interval(1.0, first.high))
    return Interval(max(f.low for f in factors), max(f.high for f in factors))


def hire_days(job: Job, setting: Setting) -> dict[str, float]:
    """Whole days of each hired machine, by the hours of the steps that need it."""
    busy: dict[str, float] = {}
    for step in active(job, setting):
        for name in step.task.hire:
            busy[name] = busy.get(name, 0.0) + elapsed(job, step.task, setting)
        for name in step.task.edge_hire:
            busy[name] = busy.get(name, 0.0) + edge_hours(job, step.task, setting) / crew_of(job, step.task)
    workday = job.norm("workday").low
    return {name: float(math.ceil(time / workday - EVEN)) for name, time in busy.items()}
