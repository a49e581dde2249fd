"""Amounts as the models of procedures hold them: intervals, each read from its text with its unit."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator

from advisor.facts.quantities import read_quantity
from advisor.physics.bounds import Interval

NONNEGATIVE = Interval(0.0, 1e9)


def _reads(unit: str) -> BeforeValidator:
    def read(value: object) -> object:
        return read_quantity(value, unit, NONNEGATIVE) if isinstance(value, str) else value

    return BeforeValidator(read)


Celsius = Annotated[Interval, _reads("degC")]
Count = Annotated[Interval, _reads("count")]
Coverage = Annotated[Interval, _reads("m2_l")]
EdgeSpeed = Annotated[Interval, _reads("m_h")]
Hours = Annotated[Interval, _reads("hour")]
Metres = Annotated[Interval, _reads("m")]
Microns = Annotated[Interval, _reads("um")]
Percent = Annotated[Interval, _reads("percent")]
Ratio = Annotated[Interval, _reads("ratio")]
Speed = Annotated[Interval, _reads("m2_h")]
SquareMetres = Annotated[Interval, _reads("m2")]
Weight = Annotated[Interval, _reads("kg_m2")]
