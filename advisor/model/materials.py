"""What work uses up and hires, how much of it a step takes, and the norms of estimating. Models, as data."""

from __future__ import annotations

from functools import cached_property
from typing import Annotated, Literal

from pydantic import AliasChoices, Field, model_validator

from advisor.model.entry import (
    NONNEGATIVE,
    Count,
    Coverage,
    Entry,
    Metres,
    Microns,
    Millimetres,
    Percent,
    Ratio,
    Sources,
    SquareMetres,
    Text,
    Texts,
    Weight,
    YesNo,
)
from advisor.model.quantities import UNITS, read_quantity
from advisor.physics.bounds import Interval
from explanations.wording import wording


class Material(Entry):
    """Something the work uses up, in generic terms."""

    name: Text
    unit: Literal["l", "kg", "m", "each"]
    kind: Literal["material", "consumable", "protection", "test"]
    parts: Literal["1", "2"] = "1"  # 2: a kit of components, never split
    against: Texts = ()  # the cautions that ask for it: one for each person at work, in each step that carries one
    brings: Texts = ()  # the cautions that go with it into every step that uses it
    harmless: YesNo = False  # a substance that wants no guarding against while it is used as meant
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
            raise ValueError(wording("rules.entry_of.unit", unit=self.unit))
        read_quantity(self.given, self.unit, self.plausible)
        return self


class Use(Entry):
    """How much of a material a step takes: one basis, in the material's unit.

    A film by dry thickness, solids and loss; a liquid by area a litre; a solid by weight an area; pieces one for an
    area (`plus` some more), for each person, for a length of edge, or so many in all; or along the edges. Where it goes
    on a part of the floor only, `share` names the entry of `spots` that tells how much; where it fills a depth, `deep`
    names the fact that tells it in mm, and the weight is for each mm of it.
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
    deep: str = ""
    source: Sources

    @model_validator(mode="after")
    def _one_basis(self) -> Use:
        bases = [name for name in BASES if getattr(self, name) is not None]
        if len(bases) != 1:
            raise ValueError(wording("rules.entry_of.ways", ways=", ".join(BASES)))
        basis: Interval = getattr(self, bases[0])
        if basis.low <= 0 and bases[0] in ("dry", "covers", "one_for", "one_along"):
            raise ValueError(wording("rules.entry_of.nothing", way=bases[0]))
        if self.share and bases[0] not in SHARED:
            raise ValueError(wording("rules.entry_of.share", ways=", ".join(SHARED)))
        if self.deep and bases[0] != "weight":
            raise ValueError(wording("rules.entry_of.deep"))
        if not 0 < self.solids.low <= self.solids.high <= 100 or not 0 <= self.loss.low <= self.loss.high <= 95:
            raise ValueError(wording("rules.entry_of.solids"))
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


class Spots(Entry):
    """What stands on a part of the floor only, by the fact that tells of it.

    The norm FACT_VALUE is the usual share; of a fact that is a number, FACT_usual. `measured`: the fact that says how
    much there is, as an area or a length; where it is known, it counts instead of the usual share. `wide`: how wide
    what runs in lines is opened, by the value of the fact. `between_walls`: the lines part the floor into panels, and
    half of the walls need none, so the least of them is shorter by that.
    """

    measured: str = ""
    wide: dict[str, Millimetres] = Field(default={})
    between_walls: YesNo = False
    source: Sources


class Edge(Entry):
    """What makes edge besides the walls, by the fact that counts or measures it: how much [m] each adds."""

    each: Metres
    source: Sources
