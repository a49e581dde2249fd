"""What every entry of the rule base is made of: closed, frozen models, and the few types that texts are read as.

An amount is an interval, read from its text with its unit.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import AliasChoices, BaseModel, BeforeValidator, ConfigDict, Field

from advisor.model.quantities import read_quantity
from advisor.physics.bounds import Interval

UNKNOWN = "unknown"  # what a fact is of which nobody knows the value


def _as_list(value: object) -> object:
    return [value] if isinstance(value, str) else value


def _from_yes_no(value: object) -> object:
    return {"yes": True, "no": False}.get(value, value) if isinstance(value, str) else value


Texts = Annotated[tuple[str, ...], BeforeValidator(_as_list)]
YesNo = Annotated[bool, BeforeValidator(_from_yes_no)]
Sources = Annotated[Texts, Field(min_length=1, validation_alias=AliasChoices("source", "sources"))]
Text = Annotated[str, Field(min_length=3, max_length=800)]
# What an overlay adds to the words of an entry: it comes after them, marked as the shop's.
Added = Annotated[
    tuple[Annotated[str, Field(min_length=3, max_length=800, pattern=r"^[^{}]*$")], ...], BeforeValidator(_as_list)
]


class Entry(BaseModel):
    """Base of all sections: closed schema, frozen."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


NONNEGATIVE = Interval(0.0, 1e9)


def reads(unit: str) -> BeforeValidator:
    """Reads an amount in a unit from its text."""

    def read(value: object) -> object:
        return read_quantity(value, unit, NONNEGATIVE) if isinstance(value, str) else value

    return BeforeValidator(read)


Celsius = Annotated[Interval, reads("degC")]
Count = Annotated[Interval, reads("count")]
Coverage = Annotated[Interval, reads("m2_l")]
EdgeSpeed = Annotated[Interval, reads("m_h")]
Days = Annotated[Interval, reads("day")]
Hours = Annotated[Interval, reads("hour")]
Metres = Annotated[Interval, reads("m")]
Millimetres = Annotated[Interval, reads("mm")]
Microns = Annotated[Interval, reads("um")]
Percent = Annotated[Interval, reads("percent")]
Ratio = Annotated[Interval, reads("ratio")]
Speed = Annotated[Interval, reads("m2_h")]
SquareMetres = Annotated[Interval, reads("m2")]
Weight = Annotated[Interval, reads("kg_m2")]
