"""Temperature of the ground beneath a slab, from the air's year: a wave that damps and lags with depth."""

from __future__ import annotations

import math

from advisor.physics.bounds import monotone_in
from advisor.physics.elementwise import cos, exp, sqrt
from advisor.physics.units import DAY, YEAR
from advisor.physics.validity import Number, within

SOIL_DIFFUSIVITY = 6e-7  # m2/s, a moist mineral soil (common practice; measured 3e-7 to 1e-6)
WARMEST_DAY = 200.0  # day of the year, mid July; the other half of the globe adds 183 (common practice)


@monotone_in("diffusivity")
def damping_depth(diffusivity: Number) -> Number:
    """Depth [m] at which the yearly wave is down to 1/e, for 1e-8 to 1e-5 m2/s.

    Source: heat conduction into a half space, sqrt(alpha tau/pi) (Carslaw and Jaeger, Conduction of Heat in
    Solids, 1959, section 2.6; from memory).

    >>> round(damping_depth(6e-7), 3)
    2.455
    """
    alpha = within("thermal_diffusivity_of_soil", diffusivity, 1e-8, 1e-5, "m2/s")
    return sqrt(alpha * YEAR / math.pi)


def ground_temperature(
    mean_c: Number,
    amplitude_k: Number,
    depth_m: Number,
    day_of_year: Number,
    diffusivity: float = SOIL_DIFFUSIVITY,
    warmest_day: float = WARMEST_DAY,
) -> Number:
    """Temperature [°C] of undisturbed ground at a depth; at depth 0 that of the surface.

    ``mean_c`` (-30 to 40 °C) and ``amplitude_k`` (0 to 40 K, half the yearly swing) are of the surface, which
    follows the air; depth 0 to 100 m, day 0 to 366.  Beneath a heated building the ground is warmer than
    this, towards its middle most (no allowance is made).  Source: as ``damping_depth``.

    >>> round(ground_temperature(11.0, 12.0, 20.0, 30.0), 1)
    11.0
    """
    mean = within("yearly_mean_temperature", mean_c, -30.0, 40.0, "°C")
    swing = within("yearly_amplitude", amplitude_k, 0.0, 40.0, "K")
    day = within("day_of_year", day_of_year, 0.0, 366.0, "d")
    peak = within("warmest_day_of_year", warmest_day, 0.0, 366.0, "d")
    depths = within("depth", depth_m, 0.0, 100.0, "m") / damping_depth(diffusivity)
    angle = (day - peak) * (2.0 * math.pi * DAY / YEAR) - depths
    return mean + swing * exp(-depths) * cos(angle)
