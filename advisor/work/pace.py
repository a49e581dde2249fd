"""Working hours, the people at a step, and the days of hired machines."""

from __future__ import annotations

import math
from typing import Any

from advisor.facts.placing import crew
from advisor.model.procedures import Larger, Task
from advisor.physics.bounds import Span
from advisor.physics.elementwise import ceil, choose, greatest, least
from advisor.work.job import EVEN, Job, usual_gang
from advisor.work.settings import AREA, EDGES, HIGH, LOW, NIGHT, PACE, TRAVEL, Setting, Work, counted
from advisor.work.spots import chosen, run_length, spot_area


def crew_of(job: Job, task: Task, setting: Setting) -> int:
    """How many of the people share a task; a task that needs more gets those that it needs."""
    return int(_of_gang(job, task) * (_gangs(job, task, setting) + _at_edges(job, task)))


def _of_gang(job: Work, task: Task) -> Any:
    """How many of one gang share a task."""
    return crew(task, job.gang)


def at_work(job: Work, task: Task) -> Any:
    """How many people breathe and touch what a task brings: all who work, for they share the room."""
    return greatest(float(task.people.least), job.people * 1.0)


def times_set_up(job: Work, setting: Setting) -> Any:
    """How often a task is set up: anew in each part, and partly in each further room."""
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


def _gangs(job: Job, task: Task, setting: Setting) -> int:
    """How many gangs are at a task: one where a larger machine does it, else all for whose machines there is a day."""
    if any(here for here, _ in larger(job, task)):
        return 1
    days = math.ceil(_of_one_gang(job, task, setting) / job.shift / job.parts - EVEN)
    return max(1, min(job.gangs, days)) if task.hire else job.gangs


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
    if setting.turned:
        return _hours(job, task, setting)
    known = job.known_hours  # asked for by sums, days of hire and the crew's price
    if (key := (id(task), setting.others)) not in known:
        known[key] = _hours(job, task, setting)
    return known[key]


def _hours(job: Work, task: Task, setting: Setting) -> Any:
    work = _work(job, task, setting)
    return work + _setting_up(job, task, work, setting)


def _work(job: Work, task: Task, setting: Setting) -> Any:
    """Those of them that go into the work itself."""
    time: Any = 0.0
    if task.speed:
        area = spot_area(job, task.spots, setting) if task.spots else setting.at(AREA, job.extent.area)
        time = area / speed(job, task, setting)
    if task.run_speed:
        time = time + run_length(job, task.spots, setting) / setting.against(PACE, task.run_speed)
    return time * setting.at(PACE, practice(job, task)) + edge_hours(job, task, setting)


def _setting_up(job: Work, task: Task, work: Any, setting: Setting) -> Any:
    """Those of them that go into setting up: where so much work lasts for days, partly on each further day again."""
    days = work / (_of_gang(job, task) * job.shift)
    again = setting.at(PACE, job.norm("day_setup")) * greatest(days - job.parts, 0.0)
    return _set_up_once(job, task, setting) * (times_set_up(job, setting) + again)


def _set_up_once(job: Work, task: Task, setting: Setting) -> Any:
    return setting.at(PACE, task.setup) * setting.at(PACE, practice(job, task))


def edge_hours(job: Work, task: Task, setting: Setting) -> Any:
    """Those of them that go into the edges."""
    if task.edge_speed is None:
        return 0.0
    time = setting.at(EDGES, job.extent.edges) / setting.against(PACE, task.edge_speed)
    return time * setting.at(PACE, practice(job, task))


def elapsed(job: Job, task: Task, setting: Setting) -> float:
    """Hours by the clock: setting up is not shared, the rest is; while one larger machine runs, others do the edges."""
    start = _set_up_once(job, task, setting) * times_set_up(job, setting)
    work, edges = hours(job, task, setting) - start, edge_hours(job, task, setting)
    at_task, others = _of_gang(job, task) * _gangs(job, task, setting), _of_gang(job, task) * _at_edges(job, task)
    return float(start + (max((work - edges) / at_task, edges / others) if others else work / at_task))


def _of_one_gang(job: Work, task: Task, setting: Setting) -> Any:
    """Hours by the clock that one gang is at a task and its edges."""
    start = _set_up_once(job, task, setting) * times_set_up(job, setting)
    return start + (hours(job, task, setting) - start) / _of_gang(job, task)


def _at_edges(job: Job, task: Task) -> int:
    """How many gangs do the edges while a larger machine does the rest: those that it spares; else none besides."""
    return job.gangs - 1 if any(here for here, _ in larger(job, task)) else 0


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
    return worked(job, LOW), worked(job, HIGH)


def worked(job: Work, setting: Setting) -> Any:
    """Working hours of all people together at one setting."""
    return sum(choose(here, hours(job, step.task, setting), 0.0) for step, here in counted(job, setting))


def crew_hours(job: Work, setting: Setting) -> Any:
    """Hours of a crew's people that are charged: of its steps and of the visit, but never fewer than the least."""
    work = worked(job, setting)
    visits = greatest(work / gang_hours(job), job.parts)
    time = work + setting.at(TRAVEL, job.norm("crew_travel")) * visits
    return greatest(time, setting.at(TRAVEL, job.norm("least_crew_hours")) * job.parts)


def night_pay(job: Work, setting: Setting) -> Any:
    """Factor on what an hour of a crew costs: more at night."""
    return choose(job.by_night, setting.at(NIGHT, job.norm("night_pay")), 1.0)


def gang_hours(job: Work) -> float:
    """Hours of all its people in which one gang of a crew does a job; where it takes more, one more gang comes."""
    return job.norm("gang_days").low * job.norm("workday").low * usual_gang(job.base)


def hire_days(job: Work, setting: Setting) -> dict[str, Any]:
    """Whole days of each hired machine, of all gangs together, by the hours of the steps that need it."""
    busy: dict[str, Any] = {}
    for step, here in counted(job, setting):
        task = step.task
        if not task.hired:
            continue
        edges = edge_hours(job, task, setting) / _of_gang(job, task)
        whole, machines = _of_one_gang(job, task, setting), larger(job, task)
        for name in task.hire:
            time = whole
            for there, each in machines:
                time = choose(there, 0.0, time) if name in each.replaces else time
            busy[name] = busy.get(name, 0.0) + choose(here, time, 0.0)
        for there, each in machines:
            for name in each.hire:
                busy[name] = busy.get(name, 0.0) + choose(here & there, whole - edges, 0.0)
        for name in task.edge_hire:
            busy[name] = busy.get(name, 0.0) + choose(here, edges, 0.0)
    # each part is a visit of its own, with hire of its own
    return {name: ceil(time / job.shift / job.parts - EVEN) * job.parts for name, time in busy.items()}
