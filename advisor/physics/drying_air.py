"""The air above a drying slab: constant, through the seasons, with days of rain."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from advisor.physics.ground import WARMEST_DAY
from advisor.physics.units import DAY, YEAR
from advisor.physics.validity import within

_YEAR_DAYS = YEAR / DAY
_SEASON_STEP_DAYS = 10.0  # straight lines between such points follow a yearly cosine within 0.4 %


@dataclass(frozen=True)
class AirCourse:
    """Temperature [°C] and relative humidity [%] by day, with straight lines between; ends go on.

    ``days`` rise from 0; ``rain`` holds spells (from day, to day), in order and apart, in which the surface
    is wet.  Valid: -20 to 60 °C, 0 to 100 %; else OutsideValidity.
    """

    days: tuple[float, ...]
    temps_c: tuple[float, ...]
    rh_percents: tuple[float, ...]
    rain: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        """Refuse a course that is out of order or out of range."""
        count = len(self.days)
        within("days_in_air_course", count, 1, 100_000, "")
        within("temperatures_in_air_course", len(self.temps_c), count, count, "")
        within("humidities_in_air_course", len(self.rh_percents), count, count, "")
        for before, after in pairwise((-1e-9, *self.days)):
            within("day_in_air_course", after, before + 1e-9, 1e5, "d")
        for temp in self.temps_c:
            within("air_temperature", temp, -20.0, 60.0, "°C")
        for rh in self.rh_percents:
            within("relative_humidity", rh, 0.0, 100.0, "%")
        earliest = 0.0
        for start, end in self.rain:
            within("start_of_rain", start, earliest, 1e5, "d")
            earliest = within("end_of_rain", end, start + 1e-3, 1e5, "d") + 1e-3


def constant_air(temp_c: float, rh_percent: float, rain: tuple[tuple[float, float], ...] = ()) -> AirCourse:
    """Air that stays the same: -20 to 60 °C, 0 to 100 %."""
    return AirCourse((0.0,), (temp_c,), (rh_percent,), rain)


def seasonal_air(
    mean_temp_c: float,
    temp_amplitude_k: float,
    mean_rh_percent: float,
    rh_amplitude_percent: float,
    start_day: float,
    days: float,
    rain: tuple[tuple[float, float], ...] = (),
) -> AirCourse:
    """Air that swings over the year as a cosine, for ``days`` (1 to 10 000) from ``start_day`` of the year.

    Amplitudes are of the warmest day (mid July, ``ground.WARMEST_DAY``); a negative one is lowest then.
    Common practice where only the means of summer and winter are known.
    """
    span = within("days_to_follow", days, 1.0, 10_000.0, "d")
    start = within("day_of_year", start_day, 0.0, 366.0, "d")
    times = [i * _SEASON_STEP_DAYS for i in range(math.ceil(span / _SEASON_STEP_DAYS) + 1)]
    waves = [math.cos(2.0 * math.pi * (start + time - WARMEST_DAY) / _YEAR_DAYS) for time in times]
    return AirCourse(
        tuple(times),
        tuple(mean_temp_c + temp_amplitude_k * wave for wave in waves),
        tuple(mean_rh_percent + rh_amplitude_percent * wave for wave in waves),
        rain,
    )
