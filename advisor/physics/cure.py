"""The margin over the dew point from the time of coating through the cure, hour by hour."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from advisor.physics.air import dew_margin
from advisor.physics.validity import within


@dataclass(frozen=True)
class CureMargin:
    """Least margin [K], when it stands [h after the first hour], and hours below what is required."""

    least_k: float
    least_at_h: float
    hours_below: float

    @property
    def condenses(self) -> bool:
        """Whether the surface gets wet at any time."""
        return self.least_k <= 0.0


def cure_margin(
    surface_temps_c: Sequence[float],
    air_temps_c: Sequence[float],
    rh_percents: Sequence[float],
    required_k: float,
    step_h: float = 1.0,
) -> CureMargin:
    """Follow the margin over equal steps of ``step_h`` hours (0.01 to 24), straight lines between them.

    The three courses have one value for each time, at least two (-50 to 100 °C, 1 to 100 %);
    ``required_k`` is 0 to 20 K.  Raises OutsideValidity for courses of different length.
    """
    step = within("time_step", step_h, 0.01, 24.0, "h")
    required = within("required_margin", required_k, 0.0, 20.0, "K")
    times = len(surface_temps_c)
    within("times_in_surface_course", times, 2, 1_000_000, "")
    within("times_in_air_course", len(air_temps_c), times, times, "")
    within("times_in_humidity_course", len(rh_percents), times, times, "")
    margins = [
        float(dew_margin(float(surface), float(air), float(rh)))
        for surface, air, rh in zip(surface_temps_c, air_temps_c, rh_percents, strict=True)
    ]
    least = min(margins)
    below = sum(_share_below(before, after, required) for before, after in pairwise(margins))
    return CureMargin(least, margins.index(least) * step, below * step)


def _share_below(before: float, after: float, required: float) -> float:
    """Share of a straight line between two margins that lies below the required one."""
    low, high = min(before, after), max(before, after)
    if low >= required:
        return 0.0
    return min((required - low) / (high - low), 1.0) if high > required else 1.0


def day_and_night(
    by_day: float, by_night: float, hours: int, start_hour: float, warmest_hour: float
) -> tuple[float, ...]:
    """Hourly course of a quantity that swings once a day, as ``hours`` + 1 values from ``start_hour`` on.

    A cosine from ``by_day`` at ``warmest_hour`` to ``by_night`` twelve hours later; 1 to 10 000 hours.
    Common practice where only the day's and the night's value are known.  Relative humidity is then lowest by
    day: give it so.

    >>> day_and_night(24.0, 12.0, 12, 15.0, 15.0)[::6]
    (24.0, 18.0, 12.0)
    """
    count = int(within("hours_to_follow", hours, 1, 10_000, "h"))
    mean, swing = (by_day + by_night) / 2.0, (by_day - by_night) / 2.0
    peak = within("warmest_hour", warmest_hour, 0.0, 24.0, "h")
    start = within("hour_of_start", start_hour, 0.0, 24.0, "h")
    return tuple(mean + swing * math.cos((start - peak + hour) * math.pi / 12.0) for hour in range(count + 1))
