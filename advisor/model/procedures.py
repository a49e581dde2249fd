"""How a finish is made: tasks, their materials and tools, hours, waits and what makes each hard. Models, as data.

Tasks are shared by the finishes; a procedure puts them in order and adds the finish's own materials. Every number is
an interval, read from its text with its unit, so that low and high follow through to cost and days.
"""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Literal

from pydantic import AliasChoices, Field, model_validator

from advisor.model.entry import (
    NONNEGATIVE,
    UNKNOWN,
    Added,
    Celsius,
    Count,
    Coverage,
    Days,
    EdgeSpeed,
    Entry,
    Hours,
    Metres,
    Microns,
    Millimetres,
    Percent,
    Ratio,
    Sources,
    Speed,
    SquareMetres,
    Text,
    Texts,
    Weight,
    YesNo,
)
from advisor.model.quantities import UNITS, read_quantity
from advisor.physics.bounds import Interval

Grade = Literal["some", "much"]
Judgement = Literal["fine", "careful", "practise", "hire"]  # mildest first
TaskKind = Literal["preparation", "application", "cure", "upkeep"]
Undo = Literal["yes", "with_effort", "no"]
JUDGEMENTS: tuple[Judgement, ...] = ("fine", "careful", "practise", "hire")


class Material(Entry):
    """Something the work uses up, in generic terms."""

    name: Text
    unit: Literal["l", "kg", "m", "each"]
    kind: Literal["material", "consumable", "protection", "test"]
    parts: Literal["1", "2"] = "1"  # 2: a kit of components, never split
    against: Texts = ()  # the cautions that ask for it: one for each person at work, in each step that carries one
    brings: Texts = ()  # the cautions that go with it into every step that uses it
    once: YesNo = False  # worn in one step only, not again in the next
    source: Annotated[Texts, Field(validation_alias=AliasChoices("source", "sources"))] = ()


class Hire(Entry):
    """Something hired by the day or week."""

    name: Text


class Norm(Entry):
    """A number of estimating that belongs to no one finish."""

    given: str = Field(alias="is")
    unit: str
    range: str = ""  # what it can plausibly be; missing: any number that is not negative
    means: Text
    source: Sources

    @cached_property
    def interval(self) -> Interval:
        """The value, in `unit`."""
        return read_quantity(self.given, self.unit, NONNEGATIVE)

    @cached_property
    def plausible(self) -> Interval:
        """What it can be, in `unit`."""
        return read_quantity(self.range, self.unit, NONNEGATIVE) if self.range else NONNEGATIVE

    @model_validator(mode="after")
    def _readable(self) -> Norm:
        if self.unit not in UNITS:
            raise ValueError(f'the unit "{self.unit}" is not known')
        read_quantity(self.given, self.unit, self.plausible)
        return self


class Demand(Entry):
    """One way in which a step can be hard, and what a person's experience makes of it."""

    name: Text
    experience: str = ""  # the fact that says what the person has done before
    practise: Text
    some: dict[str, Judgement]
    much: dict[str, Judgement]


class Use(Entry):
    """How much of a material a step takes: one basis, in the material's unit.

    A film by dry thickness, solids and loss; a liquid by area a litre; a solid by weight an area; pieces one for an
    area (`plus` some more), for each person, for a length of edge, or so many in all; or along the edges. Where it goes
    on a part of the floor only, `share` names the entry of `spots` that tells how much.
    """

    dry: Microns | None = None
    solids: Percent = Interval(100.0, 100.0)
    loss: Percent = Interval(0.0, 0.0)
    covers: Coverage | None = None
    weight: Weight | None = None
    one_for: SquareMetres | None = None
    plus: Count = Interval(0.0, 0.0)
    pieces: Count | None = None
    each_person: Count | None = None
    along_edges: Ratio | None = None
    one_along: Metres | None = None
    share: str = ""
    source: Sources

    @model_validator(mode="after")
    def _one_basis(self) -> Use:
        bases = [name for name in BASES if getattr(self, name) is not None]
        if len(bases) != 1:
            raise ValueError(f"say how much in one of these ways: {', '.join(BASES)}")
        basis: Interval = getattr(self, bases[0])
        if basis.low <= 0 and bases[0] in ("dry", "covers", "one_for", "one_along"):
            raise ValueError(f"{bases[0]} must be more than 0")
        if self.share and bases[0] not in SHARED:
            raise ValueError(f"a share of the floor goes with: {', '.join(SHARED)}")
        if not 0 < self.solids.low <= self.solids.high <= 100 or not 0 <= self.loss.low <= self.loss.high <= 95:
            raise ValueError("solids must lie in 0 to 100 %, loss in 0 to 95 %")
        return self

    @property
    def basis(self) -> str:
        """Which of the ways it is given in."""
        return next(name for name in BASES if getattr(self, name) is not None)


BASES = {
    "dry": ("l",),
    "covers": ("l",),
    "weight": ("kg",),
    "one_for": ("each",),
    "each_person": ("each",),
    "along_edges": ("m",),
    "one_along": ("each",),
    "pieces": ("each",),
}  # and the units of the materials that may be given so
SHARED = ("dry", "covers", "weight")


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
            raise ValueError("since and until go together")
        if self.days and not self.source:
            raise ValueError("days need a source")
        return self


class Spots(Entry):
    """What stands on a part of the floor only, by the fact that tells of it: the norm FACT_VALUE is the usual share.

    `measured`: the fact that says how much there is, as an area or a length; where it is known, it counts instead of
    the usual share. `wide`: how wide what runs in lines is opened, by the value of the fact.
    """

    measured: str = ""
    wide: dict[str, Millimetres] = Field(default={})
    source: Sources


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

    @property
    def words(self) -> dict[str, str]:
        """The fields that it words anew."""
        named = {"title": self.title, "says": self.says, "hard": self.hard, "mistake": self.mistake}
        return {name: text for name, text in named.items() if text}


class Task(Entry):
    """A piece of work that finishes share."""

    kind: TaskKind
    title: Text
    says: Text
    setup: Hours
    speed: Speed | None = None  # of one person (or the machine)
    edge_speed: EdgeSpeed | None = None
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
        return (*self.hire, *self.edge_hire)


class Step(Entry):
    """A task in its place in a finish's procedure, with the finish's own materials."""

    do: str
    named: str = Field(default="", alias="as")
    title: str = ""
    where: dict[str, Texts] = Field(default={})  # only if each fact has one of these; an unknown one leaves it open
    told: Texts = ()  # those facts of `where` without which it is left out rather than open: few floors need it
    uses: dict[str, Use] = Field(default={})
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
            raise ValueError("the years between two times must be more than 0")
        return self


class Procedure(Entry):
    """How one finish, or several alike, are made and kept."""

    finishes: Texts = Field(alias="for")
    what: Text
    profile: Literal["csp_1", "csp_2", "csp_3", "csp_4", "csp_5"]
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]
    ready: Ready
    upkeep: tuple[Upkeep, ...] = ()
    source: Sources
