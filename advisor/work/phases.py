"""The phases of a job: steps done at one time taken together, with hours by the clock, waits and what must be over."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.model.procedures import Ready, Wait, scaled
from advisor.physics.bounds import Interval
from advisor.work.job import Job, JobStep
from advisor.work.network import Activity, Expected, Plan, critical_path, pert
from advisor.work.pace import crew_of, elapsed, hours
from advisor.work.settings import HIGH, LOW, Setting, active, need_of
from explanations.wording import listed, wording

CURE = "cure"  # the uncertainty how fast it cures; of one coat the wait and the window hang on it alike
STATED = Interval(1.0, 1.0)  # times a stated time
USES = Ready.uses()


@dataclass(frozen=True)
class Phase:
    """Steps that are done at one time."""

    id: str
    steps: tuple[JobStep, ...]
    hours: float  # by the clock
    labour: float  # of all people together
    people: int
    wait: float  # h until what follows may begin
    latest: float | None  # h after which the surface must be abraded first
    after: tuple[str, ...]
    guard: float  # h after it in which the weather must still be fit
    part: int = 0  # of the floor, where it is done in parts; 0: at once

    @property
    def title(self) -> str:
        """What it is called."""
        work = listed(step.title for step in self.steps)
        return wording("days.of_part", part=self.part, work=work) if self.part else work

    @property
    def kind(self) -> str:
        """Preparation, application or cure."""
        return self.steps[0].task.kind

    @property
    def unabraded(self) -> bool:
        """What it leaves is never abraded."""
        return any(step.unabraded for step in self.steps)

    @property
    def together(self) -> bool:
        """Done without a stop."""
        return any(step.task.together for step in self.steps)

    @property
    def weather(self) -> bool:
        """The finish's limits of temperature, humidity and dew point hold."""
        return any(step.task.weather for step in self.steps)


def wait_hours(wait: Wait, time: Interval, temperature: Interval, setting: Setting) -> float:
    """A step's wait at this temperature."""
    return float(setting.at(CURE, scaled(time, wait.at, wait.slows, temperature)))


def ready_hours(ready: Ready, temperature: Interval, setting: Setting) -> dict[str, float]:
    """Hours after the last coat until each use, at this temperature."""
    return {name: setting.at(CURE, scaled(getattr(ready, name), ready.at, ready.slows, temperature)) for name in USES}


def phases(job: Job, setting: Setting) -> list[Phase]:
    """The job's phases in order."""
    groups: dict[str, list[JobStep]] = {}
    for step in active(job, setting):
        groups.setdefault(step.alongside if step.alongside in groups else step.id, []).append(step)
    standing = set(groups)
    head_of = {step.id: head for head, steps in groups.items() for step in steps}
    before = {step.id: step.after for step in job.steps}
    return [
        _phase(job, setting, tuple(steps), tuple(dict.fromkeys(_heads(head, before, head_of, standing))))
        for head, steps in groups.items()
    ]


def _heads(name: str, before: dict[str, tuple[str, ...]], head_of: dict[str, str], standing: set[str]) -> list[str]:
    """The phases before a step; a step that does not count at this setting is stood for by those before it."""
    found: list[str] = []
    for other in before[name]:
        if other in head_of and head_of[other] in standing:
            found.append(head_of[other])
        else:
            found += _heads(other, before, head_of, standing)
    return found


def _phase(job: Job, setting: Setting, steps: tuple[JobStep, ...], after: tuple[str, ...]) -> Phase:
    labour = sum(hours(job, step.task, setting) for step in steps)
    people = max(crew_of(job, step.task, setting) for step in steps)
    most = sum(step.task.people.most for step in steps) * job.gangs
    if len(steps) == 1:
        clock = elapsed(job, steps[0].task, setting)
    else:
        people = max(people, min(job.people, most))
        clock = labour / people
    waits = [step.task.wait for step in steps if step.task.wait]
    temperature = job.temperature
    wait = max((wait_hours(each, each.next, temperature, setting) for each in waits), default=0.0)
    latest = [each.latest.low * wait_hours(each, STATED, temperature, setting) for each in waits if each.latest]
    return Phase(
        steps[0].id,
        steps,
        clock,
        labour,
        people,
        wait,
        min(latest, default=None),
        after,
        max(setting.at(CURE, step.task.guard) for step in steps),
    )


def activities(job: Job, setting: Setting) -> dict[str, Activity]:
    """The phases as a network; the cure begins with the last coat and lasts until all uses are possible."""
    every = phases(job, setting)
    cure = {phase.id for phase in every if phase.kind == "cure"}
    before_cure = {name for phase in every if phase.id in cure for name in phase.after}
    last = max(ready_hours(job.procedure.ready, job.temperature, setting).values())
    return {
        phase.id: Activity(
            last if phase.id in cure else phase.hours, 0.0 if phase.id in before_cure else phase.wait, phase.after
        )
        for phase in every
    }


def longest_chain(job: Job) -> tuple[Plan, Plan, Expected]:
    """The critical path at the quick and at the slow end, and PERT's expectation of the latter; of one part."""
    job = job.one_part()
    quick, slow = activities(job, LOW), activities(job, HIGH)
    plans = critical_path(quick), critical_path(slow)
    certain = dict.fromkeys((need_of(step) for step in job.steps), 1.0)
    middle = activities(job, Setting(0.5, certain))
    least = activities(job, Setting(0.0, certain))
    links = [tuple(_with_wait(acts[name]) for acts in (least, middle, slow)) for name in plans[1].critical]
    return *plans, pert([(a, b, c) for a, b, c in links])


def _with_wait(activity: Activity) -> float:
    return activity.duration + activity.wait
