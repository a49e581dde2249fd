"""Working hours, the people at a step, and the days of hired machines."""

from __future__ import annotations

from typing import Any

from advisor.facts.placing import crew
from advisor.model.procedures import Larger, Task
from advisor.physics.bounds import Span
from advisor.physics.elementwise import ceil, choose, greatest, least
from advisor.work.job import EVEN, Job
from advisor.work.settings import AREA, EDGES, HIGH, LOW, NIGHT, PACE, TRAVEL, Setting, Work, counted
from advisor.work.spots import chosen, run_length, spot_area


def crew_of(job: Job, task: Task) -> int:
    """How many of the people share a task; a task that needs more gets those that it needs."""
    return int(_at_task(job, task) + _at_edges(job, task))


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
    if not job.hired:
        return []
    floor = _to_turn_on(job)
    here = [floor >= each.above.low for each in task.larger]
    beyond = [*here[1:], False][: len(here)]
    return [(on & (more ^ True), each) for on, more, each in zip(here, beyond, task.larger, strict=True)]


def _to_turn_on(job: Work) -> Any:
    """The floor by which a machine is chosen: all of it, but no more than a few of its rooms."""
    return job.extent.area.low * least(job.norm("rooms_as_one").low / greatest(job.rooms.high, 1.0), 1.0)


def machines(job: Job, task: Task) -> list[str]:
    """What is hired for a task on one floor."""
    there = [each for here, each in larger(job, task) if here]
    replaced = {name for each in there for name in each.replaces}
    return [
        *(name for name in task.hire if name not in replaced),
        *(name for each in there for name in each.hire),
        *task.edge_hire,
    ]


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
    machines = larger(job, task)
    for (here, each), (_, more) in zip(machines, [*machines[1:], (False, None)], strict=False):
        there = setting.against(PACE, each.speed)
        if more and more.hire == each.hire:
            grown = (_to_turn_on(job) - each.above.low) / (more.above.low - each.above.low)
            there = there + (setting.against(PACE, more.speed) - there) * least(greatest(grown, 0.0), 1.0)
        pace = choose(here, there, pace)
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
    """Hours by the clock: setting up is not shared, the rest is; while one larger machine runs, others do the edges."""
    start = setting.at(PACE, task.setup) * times_set_up(job, setting) * setting.at(PACE, practice(job, task))
    work = hours(job, task, setting) - start * _gangs(job, task)
    edges, others = edge_hours(job, task, setting), _at_edges(job, task)
    at_task = _at_task(job, task)
    beside = greatest((work - edges) / at_task, edges / greatest(others, 1.0))
    return start + choose(others > 0.0, beside, work / at_task)


def _at_edges(job: Work, task: Task) -> Any:
    """How many do the edges while a larger machine does the rest: of the gangs that it spares; else nobody besides."""
    return crew(task, job.people / job.gangs) * (job.gangs - _gangs(job, task))


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
    return chosen(here, Span(greatest(span.low, more.low), greatest(span.high, more.high)), span)


def work_hours(job: Work) -> tuple[Any, Any]:
    """Working hours of all people together, least and most."""
    return _worked(job, LOW), _worked(job, HIGH)


def _worked(job: Work, setting: Setting) -> Any:
    return sum(choose(here, hours(job, step.task, setting), 0.0) for step, here in counted(job, setting))


def crew_hours(job: Work, setting: Setting) -> Any:
    """Hours of a crew's people that are charged: of its steps and of the visit, but never fewer than the least."""
    time = _worked(job, setting) + setting.at(TRAVEL, job.norm("crew_travel")) * job.gangs * job.parts
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
            others = _at_edges(job, task)
            time = edge_hours(job, task, setting) / choose(others > 0.0, others, _at_task(job, task))
            busy[name] = busy.get(name, 0.0) + choose(here, time, 0.0)
    single = {name for step in job.steps for each in step.task.larger for name in each.hire}
    return {  # each part is a visit of its own, with hire of its own
        name: ceil(time / job.shift / job.parts - EVEN) * job.parts * (1.0 if name in single else job.gangs)
        for name, time in busy.items()
    }
