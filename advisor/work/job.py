"""A job: one finish on one floor, its steps settled by the floor's facts, and the people who do it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from advisor.answer.step_cautions import needed
from advisor.errors import Fault, nearest
from advisor.model.entry import UNKNOWN
from advisor.model.finishes import Finish
from advisor.model.knowledge import RuleBase
from advisor.model.materials import Use
from advisor.model.procedures import Elsewhere, Procedure, Task
from advisor.model.values import Value, unknown
from advisor.physics.bounds import Interval, Span
from advisor.work.extent import BadJob, Extent, counted
from explanations.wording import wording

EVEN = 1e-9  # rounding alone shall not cost a piece


@dataclass(frozen=True)
class JobStep:
    """A step as it stands on this floor."""

    id: str
    do: str  # its task's id
    title: str
    task: Task
    uses: Mapping[str, Use]
    alongside: str
    after: tuple[str, ...]  # the steps that must be over, of those that stand in this job
    certain: Any  # False: needed only if a fact, unknown yet, turns out so; of many floors, an array
    hinges_on: tuple[str, ...] = ()  # those facts
    stands: Any = True  # of many floors: where it is or may be needed
    least: bool = False  # while it is not certain it counts in the low figure, in place of other ways
    unabraded: bool = False  # what it leaves is never abraded


@dataclass(frozen=True)
class Job:
    """Everything that an estimate starts from."""

    base: RuleBase
    finish: Finish
    procedure: Procedure
    extent: Extent
    facts: Mapping[str, Value]
    hired: bool
    people: int
    steps: tuple[JobStep, ...]
    first: tuple[str, ...] = ()  # the needs that come before it, by the advice
    gangs: int = 1  # that work side by side, each with its own machines
    people_said: bool = True  # else as many as is usual
    known_hours: dict[tuple[int, float], Any] = field(init=False, default_factory=dict, compare=False, repr=False)

    def norm(self, name: str) -> Interval:
        """A number of estimating."""
        return self.base.norms[name].interval

    @property
    def outdoors(self) -> bool:
        """Whether the floor is known to lie outdoors, under a roof or not."""
        return self.facts["exposure"].choice not in ("indoors", UNKNOWN)

    @property
    def place(self) -> str:
        """What is shut while the work goes on: `floor` or `room`, or each `part` of it in turn."""
        if self.parts > 1:
            return "part"
        return "floor" if self.outdoors else "room"

    @property
    def window(self) -> Interval | None:
        """Temperatures [degC] of air and slab at which the finish may go on and cure; None where it sets no limit."""
        return self.finish.window

    @property
    def temperature(self) -> Interval:
        """Air temperature of the work [degC]: the case's, else the norm."""
        return self._told("air_temperature") or self.norm("work_temperature")

    @property
    def slab_temperature(self) -> Interval:
        """Temperature of the slab's surface [degC]: the case's, else as warm as the air."""
        return self._told("slab_temperature") or self.temperature

    def _told(self, fact: str) -> Interval | None:
        return self.facts[fact].interval if self.facts[fact].known else None

    @property
    def gang(self) -> float:
        """How many people are in one gang."""
        return self.people / self.gangs

    @property
    def rooms(self) -> Span:
        """How many rooms it goes through."""
        return self.extent.count

    @cached_property
    def parts(self) -> float:
        """In how many parts it is done, one after the other, so that the rest stays in use."""
        return float(counted(self.told, "in_parts").low)

    @cached_property
    def by_night(self) -> bool:
        """Whether it is worked at night."""
        return self.surely("night_work", "yes")

    @cached_property
    def shift(self) -> float:
        """Hours worked a day, or a night."""
        return self.norm("night_shift" if self.by_night else "workday").low

    def one_part(self) -> Job:
        """The work on one of its parts: as much of its floor and edges, and as many of its rooms."""
        if self.parts <= 1:
            return self
        area, edges = (
            Interval(each.low / self.parts, each.high / self.parts) for each in (self.extent.area, self.extent.edges)
        )
        rooms = Span(*(max(each / self.parts, 1.0) for each in self.extent.count))
        extent = replace(self.extent, area=area, edges=edges, count=rooms)
        facts = {**self.facts, "in_parts": unknown(self.base.facts["in_parts"])}
        return replace(self, extent=extent, facts=facts)

    def firsts(self) -> Iterable[tuple[str, bool]]:
        """The needs that come before it."""
        return ((need, True) for need in self.first)

    def may_be(self, fact: str, value: str) -> bool:
        """Whether a choice has that value, or is unknown."""
        return self.facts[fact].choice in (value, UNKNOWN, "")

    def surely(self, fact: str, value: str) -> bool:
        """Whether a choice is known to have that value."""
        return self.facts[fact].choice == value

    def told(self, fact: str) -> tuple[bool, Span]:
        """Whether a number is known, and its ends."""
        known = self._told(fact)
        return (True, Span(known.low, known.high)) if known else (False, Span(0.0, 0.0))


def find_procedure(base: RuleBase, finish: str) -> tuple[Finish, Procedure]:
    """A finish and its procedure.

    Raises:
        BadJob: there is no such finish, or the rule base has no procedure for it.
    """
    if finish not in base.finishes:
        known = ", ".join(base.finishes)
        raise BadJob([Fault(finish, wording("job.no_finish"), known, nearest(finish, base.finishes))])
    for procedure in base.procedures.values():
        if finish in procedure.finishes:
            return base.finishes[finish], procedure
    raise BadJob([Fault(finish, wording("job.no_procedure"), remedy=wording("job.add_procedure"))])


def usual_gang(base: RuleBase) -> int:
    """People in one gang of a crew."""
    return round(base.norms["crew_size"].interval.low)


def steps_on(base: RuleBase, procedure: Procedure, facts: Mapping[str, Value]) -> Iterable[JobStep]:
    """The steps of a procedure that stand on a floor, or may."""
    stands_for: dict[str, tuple[str, ...]] = {}  # a step left out is stood for by those before it
    previous: tuple[str, ...] = ()
    for step in procedure.steps:
        named = step.after or previous
        after = tuple(dict.fromkeys(each for name in named for each in stands_for.get(name, (name,))))
        certain = needed(base, step, facts)
        if certain is None or stands_for.get(step.alongside, (step.alongside,)) != (step.alongside,):
            stands_for[step.id] = after
            previous = previous if step.alongside else (step.id,)
            continue
        task = _told(base.tasks[step.do], facts)
        uses = {**task.uses, **step.uses}
        hinges = tuple(name for name in step.where if facts[name].choice == UNKNOWN) if not certain else ()
        yield JobStep(
            step.id,
            step.do,
            step.title or task.title,
            task,
            uses,
            step.alongside,
            after,
            certain,
            hinges,
            least=step.least,
            unabraded=step.unabraded,
        )
        previous = previous if step.alongside else (step.id,)


def _told(task: Task, facts: Mapping[str, Value]) -> Task:
    """The task as it is told on this floor."""
    for each in task.elsewhere:
        if all(facts[name].choice in values for name, values in each.where.items()):
            return told_there(task, each)
    return task


def told_there(task: Task, elsewhere: Elsewhere) -> Task:
    """The task as it is told where it is told otherwise."""
    uses = {name: use for name, use in task.uses.items() if name not in elsewhere.without}
    taken = elsewhere.removes or task.removes
    return task.model_copy(update={**elsewhere.words, "uses": uses, "removes": taken})
