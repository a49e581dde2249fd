"""How a finish is made: tasks, hours, waits, what makes each hard, and what comes first. Models, as data.

Tasks are shared by the finishes; a procedure puts them in order and adds the finish's own materials. Every number is
an interval, read from its text with its unit, so that low and high follow through to cost and days.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AliasChoices, Field, model_validator

from advisor.model.entry import (
    NONNEGATIVE,
    UNKNOWN,
    Added,
    Celsius,
    Days,
    EdgeSpeed,
    Entry,
    Hours,
    Microns,
    Ratio,
    Sources,
    Speed,
    SquareMetres,
    Text,
    Texts,
    YesNo,
)
from advisor.model.materials import Use
from advisor.model.quantities import read_quantity
from advisor.physics.bounds import Interval
from explanations.wording import wording

Grade = Literal["some", "much"]


Judgement = Literal["fine", "careful", "practise", "hire"]  # mildest first


TaskKind = Literal["preparation", "application", "cure", "upkeep"]


Undo = Literal["yes", "with_effort", "no"]


JUDGEMENTS: tuple[Judgement, ...] = ("fine", "careful", "practise", "hire")


class Demand(Entry):
    """One way in which a step can be hard, and what a person's experience makes of it."""

    name: Text
    experience: str = ""  # the fact that says what the person has done before
    practise: Text
    some: dict[str, Judgement]
    much: dict[str, Judgement]


class ComesFirst(Entry):
    """What something that comes first takes, by the need's name: money, days, and who does it.

    `uses`: the tests that are bought for it; one visit or set of probes serves all that ask for it. `days`: from the
    order to the outcome. `steps`: the tasks of the procedures that do it. `others`: it is left to others, and its
    price is theirs. `free`: it costs an hour and nothing else.

    `since` and `until`: a number of the floor and what it must come to (`limit.NAME` or `finish.PROPERTY`), both in
    days. `by_calculation`: the fact that estimates the days. `over`: what ends it, where it is not day 1 that it holds
    up: the weather of the day, which a forecast tells, or the work itself, as it is done `afterwards`.
    """

    uses: dict[str, Use] = Field(default={})
    days: Days | None = None
    steps: Texts = ()
    others: YesNo = False
    free: YesNo = False
    source: Annotated[Texts, Field(validation_alias=AliasChoices("source", "sources"))] = ()
    since: str = ""
    until: str = ""
    by_calculation: str = ""
    over: Literal["day_1", "weather", "afterwards"] = "day_1"

    @model_validator(mode="after")
    def _both_ends(self) -> ComesFirst:
        if bool(self.since) != bool(self.until):
            raise ValueError(wording("rules.entry_of.ends"))
        if self.days and not self.source:
            raise ValueError(wording("rules.entry_of.days"))
        return self


class People(Entry):
    """How few and how many can share a step's work."""

    least: Annotated[int, Field(ge=1, le=20)] = 1
    most: Annotated[int, Field(ge=1, le=20)] = 1


class PotLife(Entry):
    """How long mixed material can be worked, at a stated temperature."""

    given: Hours = Field(alias="is")
    at: Celsius
    source: Sources


class Wait(Entry):
    """How long to wait after a step, at a stated temperature; `slows` is the factor for each 10 K that it is colder."""

    next: Hours
    at: Celsius
    slows: Ratio
    latest: Hours | None = None  # after this the surface must be abraded first
    source: Sources


def scaled(time: Interval, at: Interval, slows: Interval, temperature: Interval) -> Interval:
    """Hours of a wait at another temperature: `slows` to the power of each 10 K that it is colder.

    Common practice for films, which gain less by warmth than the mix in the bucket; true bounds, at the corners.
    """
    factors = [
        slow ** ((stated - warm) / 10.0)
        for slow in (slows.low, slows.high)
        for stated in (at.low, at.high)
        for warm in (temperature.low, temperature.high)
    ]
    return Interval(time.low * min(factors), time.high * max(factors))


class Elsewhere(Entry):
    """How a task is told where facts surely have one of these values; what is left out stays as it is."""

    where: dict[str, Texts]
    title: str = ""
    says: str = ""
    hard: str = ""
    mistake: str = ""
    without: Texts = ()  # materials that are not used there
    removes: Microns | None = None

    @property
    def words(self) -> dict[str, str]:
        """The fields that it words anew."""
        named = {"title": self.title, "says": self.says, "hard": self.hard, "mistake": self.mistake}
        return {name: text for name, text in named.items() if text}


class Larger(Entry):
    """How a crew does a task on a large floor: with one larger machine for all gangs, in place of smaller ones.

    Between two entries with the same machines the pace grows evenly, as less of it goes into turning and moving.
    """

    above: Annotated[SquareMetres, Field(alias="from")]
    speed: Speed
    hire: Texts
    replaces: Texts
    source: Sources


class Task(Entry):
    """A piece of work that finishes share."""

    kind: TaskKind
    title: Text
    says: Text
    setup: Hours
    speed: Speed | None = None  # of one person (or the machine)
    edge_speed: EdgeSpeed | None = None
    larger: tuple[Larger, ...] = ()  # from the least floor on
    removes: Microns | None = None  # how much of the concrete or the coating it turns to dust or slurry
    spots: str = ""  # the fact of `spots` on whose part of the floor the work is done, not on all of it
    run_speed: EdgeSpeed | None = None  # along what runs over the floor in lines (a crack, a joint), of those spots
    people: People = Field(default_factory=People)
    together: YesNo = False  # without a stop
    weather: YesNo = False  # the finish's limits of temperature, humidity and dew point hold
    guard: Hours = Interval(0.0, 0.0)  # hours after it in which they still hold
    pot_life: PotLife | None = None
    tools: Texts = ()
    hire: Texts = ()
    edge_hire: Texts = ()  # hired for the edges' share of the time only
    uses: dict[str, Use] = Field(default={})
    demands: dict[str, Grade]
    hard: Text
    mistake: Text
    undo: Undo
    wait: Wait | None = None
    elsewhere: tuple[Elsewhere, ...] = ()
    cautions: Texts
    source: Sources
    adds: Added = ()

    @property
    def hired(self) -> tuple[str, ...]:
        """Everything that is hired for it."""
        return (*self.hire, *(name for each in self.larger for name in each.hire), *self.edge_hire)


class Step(Entry):
    """A task in its place in a finish's procedure, with the finish's own materials."""

    do: str
    named: str = Field(default="", alias="as")
    title: str = ""
    where: dict[str, Texts] = Field(default={})  # only if each fact has one of these; an unknown one leaves it open
    told: Texts = ()  # those facts of `where` without which it is left out rather than open: few floors need it
    least: YesNo = False  # the easiest of several ways, one of which it takes: counts while nobody knows which
    uses: dict[str, Use] = Field(default={})
    above: dict[str, str] = Field(default={})  # only where each number is above that limit; left out while unknown
    unabraded: YesNo = False  # what it leaves is never abraded: too late for the next coat, it is laid once more
    alongside: str = ""  # the step at whose time it is done
    after: Texts = ()  # the steps that must be over; left out: the one before

    @property
    def id(self) -> str:
        """Its name within the procedure."""
        return self.named or self.do

    def open_to(self, fact: str) -> tuple[str, ...]:
        """The values of a fact of `where` with which the step is, or may be, needed; unknown among them if it is."""
        return self.where[fact] if fact in self.told else (UNKNOWN, *self.where[fact])


class Ready(Entry):
    """When the floor may be used again after the last coat, at a stated temperature."""

    at: Celsius
    slows: Ratio
    walked_on: Hours
    furniture: Hours
    vehicles: Hours
    washed: Hours
    source: Sources

    @classmethod
    def uses(cls) -> tuple[str, ...]:
        """What the floor may be used for again."""
        return tuple(name for name in cls.model_fields if name not in ("at", "slows", "source"))


class Upkeep(Entry):
    """What is done over the years; `every` is a time or the finish's own `renewal`."""

    do: str
    every: str
    uses: dict[str, Use] = Field(default={})

    @property
    def interval(self) -> Interval | None:
        """Years between two times; None: as the finish's renewal."""
        return None if self.every == "renewal" else read_quantity(self.every, "year", NONNEGATIVE)

    @model_validator(mode="after")
    def _readable(self) -> Upkeep:
        if (every := self.interval) and every.low <= 0:
            raise ValueError(wording("rules.entry_of.years"))
        return self


class Procedure(Entry):
    """How one finish, or several alike, are made and kept."""

    finishes: Texts = Field(alias="for")
    what: Text
    profile: Literal["old_coat", "csp_1", "csp_2", "csp_3", "csp_4", "csp_5"]
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]
    ready: Ready
    upkeep: tuple[Upkeep, ...] = ()
    source: Sources
