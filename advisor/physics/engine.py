"""A fuel-burning machine indoors: how fast its carbon monoxide kills, never that it does not."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from advisor.physics.room_air import hours_to_reach
from advisor.physics.validity import within


class EngineOutcome(Enum):
    """There is no safe one, on purpose: a room is not well mixed, and an engine's output is not known."""

    DANGER_TO_LIFE = "danger_to_life"
    OVER_CEILING = "over_ceiling"
    STILL_NEVER_INDOORS = "still_never_indoors"


@dataclass(frozen=True)
class EngineIndoors:
    """The outcome, minutes until the ceiling and until danger to life (inf: not by this estimate)."""

    outcome: EngineOutcome
    minutes_to_ceiling: float
    minutes_to_danger: float


def engine_indoors(
    co_m3_h: float,
    air_changes_per_h: float,
    volume_m3: float,
    mg_m3_per_ppm: float,
    ceiling_ppm: float,
    danger_ppm: float,
) -> EngineIndoors:
    """Follow the carbon monoxide (0 to 100 m3/h) of an engine in a room; validity as ``room_air``.

    ``mg_m3_per_ppm`` is of carbon monoxide; the two limits [ppm] are the ceiling, and immediate danger to life.

    Published field figures of a 5 hp petrol engine imply 1.4 to 3.1 m3/h (0.8 to 1.8 ft3/min).

    >>> engine_indoors(1.7, 0.5, 100.0, 1.145, 200.0, 1200.0).outcome.name
    'DANGER_TO_LIFE'
    """
    output = within("carbon_monoxide_of_engine", co_m3_h, 0.0, 100.0, "m3/h")
    source_mg_h = output * 1e6 * mg_m3_per_ppm
    ceiling, danger = (
        60.0 * hours_to_reach(ppm * mg_m3_per_ppm, source_mg_h, 0.0, air_changes_per_h, volume_m3)
        for ppm in (ceiling_ppm, danger_ppm)
    )
    outcome = EngineOutcome.STILL_NEVER_INDOORS
    if danger < float("inf"):
        outcome = EngineOutcome.DANGER_TO_LIFE
    elif ceiling < float("inf"):
        outcome = EngineOutcome.OVER_CEILING
    return EngineIndoors(outcome, ceiling, danger)
