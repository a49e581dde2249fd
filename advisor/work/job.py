"""A job: one finish on one floor, its steps settled by the floor's facts, and the people who do it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from advisor.answer.step_cautions import needed
from advisor.errors import AdvisorError, Fault, nearest
from advisor.model.entry import NONNEGATIVE, UNKNOWN
from advisor.model.finishes import Finish
from advisor.model.knowledge import RuleBase
from advisor.model.materials import Use
from advisor.model.procedures import Elsewhere, Procedure, Task
from advisor.model.quantities import NotAQuantity, read_quantity, show, show_both
from advisor.model.values import Value
from advisor.physics.bounds import Interval, Span
from advisor.physics.elementwise import ceil, greatest, least
from explanations.wording import label, wording

EVEN = 1e-9  # rounding alone shall not cost a piece
ROOM = re.compile(r"\s*(?P<length>.+?)\s*(?:x|×|by)\s*(?P<width>.+?)\s*", re.IGNORECASE)


class BadJob(AdvisorError):
    """A job cannot be worked out as asked."""


@dataclass(frozen=True)
class Extent:
    """How much floor: area [m2] along the slope, and length of its edges [m]."""

    area: Interval
    edges: Interval
    across: float  # short side of the largest room [m]
    rooms: tuple[str, ...] = ()


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
    assumed: tuple[str, ...] = field(default=())  # what was taken where nothing was said, in sentences

    def norm(self, name: str) -> Interval:
        """A number of estimating."""
        return self.base.norms[name].interval

    @property
    def outdoors(self) -> bool:
        """Whether the floor is known to lie outdoors, under a roof or not."""
        return self.facts["exposure"].choice not in ("indoors", UNKNOWN)

    @property
    def place(self) -> str:
        """What is shut while the work goes on: `floor` or `room`."""
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


def settle_job(
    base: RuleBase,
    facts: Mapping[str, Value],
    finish: str,
    extent: Extent,
    hired: bool,
    people: int | None = None,
    first: Iterable[str] = (),
) -> Job:
    """The job of putting a finish on a floor.

    Args:
        base: the rule base.
        facts: the floor's facts, given and unknown (the working memory).
        finish: its id.
        extent: how much floor.
        hired: whether a crew does it.
        people: how many work; else from the facts, or the usual crew.
        first: the needs that the advice puts before it.

    Raises:
        BadJob: no such finish, no procedure for it, or nobody to work.
    """
    chosen, procedure = find_procedure(base, finish)
    steps = tuple(_steps(base, procedure, facts))
    assumed: list[str] = []
    if people is None:
        people = _people(base, facts, hired, extent, assumed)
    if not 1 <= people <= 100:
        raise BadJob([Fault("people", wording("job.nobody", n=people), wording("job.people"))])
    if not hired and not facts["who_works"].known:
        assumed.append(wording("job.self"))
    needs, gangs = tuple(dict.fromkeys(first)), 1
    if hired:
        gangs = max(1, min(int(gangs_on(base, extent.area.high)), people // usual_gang(base)))
    if gangs > 1:
        assumed.append(wording("job.gangs", gangs=gangs, each=people // gangs))
    job = Job(base, chosen, procedure, extent, facts, hired, people, steps, needs, gangs)
    if not facts["air_temperature"].known:
        assumed.append(_unknown_warmth(job))
    unsure = [step for step in steps if not step.certain]
    if unsure:
        assumed.append(wording("job.unsure", steps="; ".join(step.title for step in unsure)))
    if not extent.rooms:
        assumed.append(wording("job.one_room"))
    if left := left_to_others(job):
        assumed.append(wording("job.others", what="; ".join(left)))
    return replace(job, assumed=tuple(assumed))


def left_to_others(job: Job) -> list[str]:
    """What comes first and is no part of this job's plan and price, each with its wait where one is known."""
    done, told = {step.do for step in job.steps}, []
    for need in job.first:
        first = job.base.comes_first.get(need)
        if first and (first.others or (first.steps and not done & set(first.steps))):
            days = show(first.days, "day") if first.days else ""
            told.append(wording("job.left", what=label("need", need), days=days or "none"))
    return told


def _unknown_warmth(job: Job) -> str:
    """What was taken for the temperature, where nobody stated it."""
    taken = show_both(job.temperature, "degC")
    if not job.outdoors:
        return wording("job.room_warmth", taken=taken)
    told = [wording("job.warmth_outdoors", taken=taken)]
    if job.window:
        told.append(wording("job.window", finish=job.finish.name, span=show_both(job.window, "degC")))
    if job.facts["freezes"].choice == "yes":
        told.append(wording("job.freezes"))
    return " ".join(told)


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


def gangs_on(base: RuleBase, area: Any) -> Any:
    """Gangs of a crew on an area [m2], of one floor or of many."""
    needed = ceil(area / base.norms["gang_floor"].interval.low - EVEN)
    return greatest(least(needed, base.norms["most_gangs"].interval.low), 1.0)


def _people(base: RuleBase, facts: Mapping[str, Value], hired: bool, extent: Extent, assumed: list[str]) -> int:
    if hired:
        people = usual_gang(base) * int(gangs_on(base, extent.area.high))
        assumed.append(wording("job.crew", usual=show(base.norms["crew_size"].interval, "count"), n=people))
        return people
    helpers = facts["helpers"]
    if helpers.known and helpers.interval:
        return 1 + math.floor(helpers.interval.low)
    assumed.append(wording("job.alone"))
    return 1


def _steps(base: RuleBase, procedure: Procedure, facts: Mapping[str, Value]) -> Iterable[JobStep]:
    stands_for: dict[str, tuple[str, ...]] = {}  # a step left out is stood for by those before it
    previous: tuple[str, ...] = ()
    for step in procedure.steps:
        named = step.after or previous
        after = tuple(dict.fromkeys(each for name in named for each in stands_for.get(name, (name,))))
        certain = needed(step, facts)
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
    return task.model_copy(update={**elsewhere.words, "uses": uses})


def measure(rooms: Iterable[str], slope: str, facts: Mapping[str, Value], base: RuleBase) -> Extent:
    """The extent of the floor: of rooms by their dimensions, else of the case's area.

    Args:
        rooms: texts such as `20 ft x 22 ft`.
        slope: such as `2 %`; the surface along it is a little larger than the plan.
        facts: for the area, where no room is given; both must agree if both are.
        base: for the shape taken where only the area is known.

    Raises:
        BadJob: a room cannot be read, or is nothing; the area is unknown; area and rooms disagree.
    """
    rooms = tuple(rooms)
    longer = math.sqrt(1.0 + _slope(slope, base) ** 2)
    stated = facts["area"].interval if facts["area"].known else None
    if not rooms:
        if stated is None or stated.low <= 0:
            more, remedy = wording("job.more_than_nothing"), wording("job.state_size")
            raise BadJob([Fault("area", wording("job.size_unknown"), more, remedy)])
        oblong = base.norms["oblong"].interval
        edges = Interval(4.0 * math.sqrt(stated.low) * oblong.low, 4.0 * math.sqrt(stated.high) * oblong.high)
        return Extent(Interval(stated.low * longer, stated.high * longer), edges, math.sqrt(stated.high))
    sides = [_room(text) for text in rooms]
    area = sum(length * width for length, width in sides)
    edges_length = sum(2.0 * (length + width) for length, width in sides)
    apart = base.norms["sizes_agree"].interval.high / 100.0
    if stated and not (1.0 - apart) * stated.low <= area <= (1.0 + apart) * stated.high:
        what = wording("job.sizes_differ", area=f"{area:.1f}", stated=facts["area"].shown)
        raise BadJob([Fault("area", what, remedy=wording("job.mend_size"))])
    across = min(max(sides, key=math.prod))
    return Extent(Interval(area * longer, area * longer), Interval(edges_length, edges_length), across, rooms)


def _slope(text: str, base: RuleBase) -> float:
    try:
        slope = read_quantity(text, "percent", NONNEGATIVE).high / 100.0
    except NotAQuantity as error:
        raise BadJob([Fault("--slope", wording("job.unread", text=text, why=error), wording("job.slope"))]) from None
    steepest = base.norms["steepest_floor"].interval.high
    if slope > steepest / 100.0:
        allowed = wording("job.slopes", most=f"{steepest:g}")
        raise BadJob([Fault("--slope", wording("job.ramp", slope=text), allowed)])
    return slope


def _room(text: str) -> tuple[float, float]:
    match = ROOM.fullmatch(text)
    if not match:
        raise BadJob([Fault("--room", wording("job.no_room", text=text), wording("job.room"))])
    sides = []
    for side in (match["length"], match["width"]):
        try:
            metres = read_quantity(side, "m", Interval(0.0, 1000.0)).high
        except NotAQuantity as error:
            what = wording("job.no_side", text=text, side=side, why=error)
            raise BadJob([Fault("--room", what, wording("job.room"))]) from None
        if metres <= 0:
            what = wording("job.side_nothing", text=text, side=side)
            raise BadJob([Fault("--room", what, wording("job.more_than_nothing"))])
        sides.append(metres)
    return sides[0], sides[1]
