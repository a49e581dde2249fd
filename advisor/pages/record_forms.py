"""What `--json` of materials, cost, plan and compare holds: plain names, each number with its unit in its name.

Money is in the price book's currency, tax as the book says.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.model.advice import RuleBaseMark
from advisor.model.procedures import Grade, Judgement, TaskKind, Undo
from advisor.model.published import Part, Published
from advisor.model.standing import Verdict
from advisor.work.batches import Possible
from advisor.work.cost import Swing
from advisor.work.takeoff import Danger

Range = tuple[float, float]  # low, high


class Call(Part):
    """A professional who comes before any finish, and what to tell them."""

    who: str
    tell: str


class PricesUsed(Part):
    """The price book that the money is from."""

    book: str
    note: str
    currency: str
    tax: str


class OnThisFloor(Part):
    """What every estimate begins with: the floor, the finish, where it stands there, and what to beware of."""

    floor: str
    finish: str
    verdict: Verdict
    ruled_out_by: tuple[str, ...]
    answer: str = Field(description="The advice in a sentence.")
    stops: tuple[Call, ...]
    holds: tuple[str, ...]
    hazards: tuple[Danger, ...] = Field(description="Gravest first.")
    deference: str
    area_m2: Range
    edges_m: Range
    prices: PricesUsed
    date: str
    rule_base: RuleBaseMark


class Estimate(OnThisFloor, Published):
    """An estimate for one finish, and what it takes for granted."""

    assumed: tuple[str, ...]


class Packs(Part):
    """So many packs of one row of the price book."""

    item: str
    sold_as: str
    count: int


class Bought(Part):
    """A line of the list."""

    name: str
    part: str
    unit: str
    needed: float = Field(description="In the unit, as is what is left over.")
    packs: tuple[Packs, ...]
    left_over: float
    cost: float


class Materials(Estimate):
    """What to buy and hire."""

    format: Literal["slab-finish-materials/1"] = "slab-finish-materials/1"
    lines: tuple[Bought, ...]
    total: float


class CostParts(Part):
    """A cost by parts."""

    tests: float
    material: float
    consumables: float
    protection: float
    hire: float
    labour: float
    total: float


class Costs(Part):
    """What a finish costs to make and to have."""

    own: tuple[CostParts, CostParts] = Field(serialization_alias="self", description="Doing it oneself: low, high.")
    hired: tuple[CostParts, CostParts] = Field(description="Having it done: low, high.")
    over_years: dict[int, Range] = Field(description="By years: present value, for whoever works by the case.")


class Overtaking(Part):
    """From which year on the finish that is dearer to make is the cheaper one to have; none: not within the period."""

    against: str
    dearer_first: str
    year: int | None
    earliest: int | None
    latest: int | None


class CostNow(Costs, Estimate):
    """Cost now and over the years, and what drives it."""

    format: Literal["slab-finish-cost/1"] = "slab-finish-cost/1"
    discount_rate: float = Field(description="Real, a year, as a share.")
    swings: tuple[Swing, ...] = Field(description="What each uncertain number does to the total; the widest first.")
    break_even: Overtaking | None = Field(description="None where no other finish was named.")


class ComesFirst(Part):
    """One thing that comes before day 1."""

    what: str = Field(description="The need, or the referral.")
    says: str
    why: str
    open: bool = Field(description="Nobody can say when it is over.")
    days_more: Range | None = Field(description="Where they are known.")
    days_by_calculation: Range | None


class StepTold(Part):
    """A step of the work."""

    id: str
    title: str
    kind: TaskKind
    certain: bool = Field(description="False: needed only if a fact, unknown yet, turns out so.")
    says: str
    tools: tuple[str, ...]
    hire: tuple[str, ...]
    hard: str
    mistake: str
    undo: Undo
    wear: tuple[str, ...]
    cautions: tuple[str, ...]


class PhaseDated(Part):
    """A phase of the work: the stretches of work, and when the next may begin."""

    id: str
    title: str
    work: tuple[tuple[str, str], ...]
    next_from: str


class Calendar(Part):
    """The days of the work; each moment is a date with its time, or the day's number where there are no dates."""

    start: str
    phases: tuple[PhaseDated, ...]
    ready: dict[str, str] = Field(description="By use: when the floor stands it.")
    days_shut: float | None
    notes: tuple[str, ...]
    blocked: str = Field(description="Why it stops where no fit hour was found; empty otherwise.")


class Batches(Part):
    """How one step that sets goes with this crew on this floor."""

    step: str
    people: int = Field(description="Who spread.")
    pot_life_min: Range
    placed_m2: Range = Field(description="In one pot life.")
    smallest_kit_m2: float | None = Field(description="None where nothing in the price book is a kit for it.")
    batches: tuple[int, int]
    joints: int = Field(description="Taped joints across the room, at the slow end.")
    possible: Possible
    helps: tuple[str, ...]


class Demand(Part):
    """One demand of a step, and what the experience for it makes of it."""

    what: str
    grade: Grade
    experience: str
    so: Judgement


class StepForYou(Part):
    """How hard one step is for these people."""

    step: str
    for_you: Judgement
    asks: tuple[Demand, ...]


class SkillsAsked(Part):
    """How hard the work is for these people."""

    crux: str
    in_words: str
    practise: tuple[str, ...]
    hire_for: tuple[str, ...]
    steps: tuple[StepForYou, ...]


class Plan(Estimate):
    """Steps, calendar, batches and skills."""

    format: Literal["slab-finish-plan/1"] = "slab-finish-plan/1"
    before: tuple[ComesFirst, ...]
    dated: bool = Field(description="Whether the days of the work can have dates.")
    not_before: str | None = Field(description="The first day that the known waits allow.")
    people: int
    hours: Range = Field(description="Of all people together.")
    steps: tuple[StepTold, ...]
    quick: Calendar | None = Field(description="None where there is no plan before what comes first is done.")
    slow: Calendar | None
    batches: tuple[Batches, ...]
    skills: SkillsAsked


class BesideOthers(Costs, OnThisFloor):
    """One finish beside others."""

    name: str
    crux: str
    days_shut: Range
    days_until_full_use: Range
    upkeep: str
    properties: dict[str, str | tuple[str, ...]]


class Comparison(Published):
    """Finishes side by side."""

    format: Literal["slab-finish-compare/1"] = "slab-finish-compare/1"
    finishes: tuple[BesideOthers, ...]
    ruled_out: dict[str, tuple[str, ...]] = Field(description="By finish: why.")
