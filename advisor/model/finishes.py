"""Finishes and their properties, and products: a finish by the numbers of one maker's data sheet."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from advisor.model.entry import Entry, Sources, Text, Texts, YesNo
from advisor.model.vocabulary import Quality
from advisor.physics.bounds import Interval


class Property(Quality):
    """A property that every finish must state."""

    range: str = ""  # what a number can plausibly be; missing: any number
    unlimited: YesNo = False  # whether a finish may say `none`: no limit at all
    means: Text


class PropertyValue(Entry):
    """A finish's value for a property: an interval, a set of choices, or no limit at all."""

    given: str | tuple[str, ...] = Field(alias="is")
    source: Sources
    interval: Interval | None = None
    choices: tuple[str, ...] = ()


class Finish(Entry):
    """A generic family of finish, with its properties."""

    id: str
    name: Text
    family: str
    make_of: str = ""  # what it is one make of, by top coat, grit or depth of grinding: a choice once that is settled
    what: Text
    order: int
    properties: dict[str, PropertyValue] = Field(default={})

    @property
    def window(self) -> Interval | None:
        """Temperatures [degC] of air and slab at which it may go on and cure; None where it sets no limit."""
        lowest, highest = (self.properties[f"{end}_temperature"].interval for end in ("lowest", "highest"))
        return Interval(lowest.high, highest.low) if lowest and highest else None


class SheetEntry(Quality):
    """A number or choice that a maker's data sheet may state, and what of the finish or of its making it stands for."""

    means: Text
    range: str = ""  # what a sheet can plausibly say
    also: Texts = ()  # what else sheets call it
    example: str
    sets: Annotated[str, Field(pattern=r"^(finish|use|task|ready|procedure)\.[a-z_]+$")]
    moves: Texts = ()  # properties of the finish, in days or as a thickness, that change by as much
    end: Literal["low", "high", ""] = ""  # of a limit told as `up to 85 %` or `at least 10 C`: the end that counts
    guards: YesNo = False  # behind a safeguard: the default's upper end still counts where it is higher
    instead_of: Texts = ()  # limits that count only where the maker names no number
    brings: dict[str, str] = Field(default={})  # by value: the caution that goes with it into every step
    plausible: Interval = Interval(0.0, 0.0)  # `range`, read

    @property
    def timed(self) -> bool:
        """Whether it holds at a temperature."""
        return self.sets.startswith(("task.", "ready."))


class MakersNumber(Entry):
    """One number of a maker's sheet beside what is taken where the maker names none."""

    entry: str
    property: str = ""  # of the finish, if it is one
    given: str
    default: str


class Product(Entry):
    """A finish by the data sheet of one product: which finish it is like, and what the maker's sheet says."""

    finish: str
    like: str
    name: str
    source: str
    numbers: tuple[MakersNumber, ...]
    without: tuple[str, ...] = ()  # limits that are for makers who name no number
