"""Days until a slab in constant air is dry, for many slabs at once.

In constant air the equation of ``drying`` has no scale of its own: time goes with the square of the drying
path and inversely with the diffusivity.  So one integration gives a Fourier number D t/L2 for each limit, and
arithmetic gives the days of a million slabs.
"""

from __future__ import annotations

import math
from enum import Enum
from functools import lru_cache

from advisor.physics.bounds import monotone_in
from advisor.physics.diffusivity import Diffusivity, temperature_factor
from advisor.physics.units import DAY
from advisor.physics.validity import Number, within

_REFERENCE_PATH_M, _REFERENCE_D1, _FOLLOWED_DAYS = 1.0, 1e-7, 10_000.0


class DryingSides(Enum):
    """How many faces of the slab dry; the value is the longest way out for moisture as a share of the thickness."""

    ONE = 1.0
    TWO = 0.5  # the middle is a plane of symmetry


@lru_cache(maxsize=4096)
def fourier_number(
    limit_percent: float, initial_rh_percent: float, air_rh_percent: float, shape: Diffusivity, depth_share: float
) -> float:
    """Fourier number d1 t/L2 at which a share of the drying path is at or below a limit; inf if it never is.

    Valid: limit and start 1 to
    100 %, air 0 to 100 %; of ``shape`` all but its d1 matters.  Never is also beyond d1 t/L2 = 86.
    """
    from advisor.physics.drying import Slab, dry
    from advisor.physics.drying_air import constant_air

    limit = within("humidity_limit", limit_percent, 1.0, 100.0, "%")
    material = Diffusivity(_REFERENCE_D1, shape.dry_share, shape.centre, shape.exponent)
    slab = Slab(_REFERENCE_PATH_M, material, initial_rh_percent=initial_rh_percent)
    course = dry(slab, constant_air(20.0, air_rh_percent), _FOLLOWED_DAYS)
    days = course.days_to_reach(limit, depth_share * _REFERENCE_PATH_M)
    return math.inf if days is None else days * DAY * _REFERENCE_D1 / _REFERENCE_PATH_M**2


@monotone_in("fourier", "drying_path_m", "d1", "temp_c")
def days_to_limit(fourier: Number, drying_path_m: Number, d1: Number, temp_c: Number) -> Number:
    """Days until the limit that ``fourier`` was found for; inf stays inf.

    ``drying_path_m`` 0.005 to 1 m is the thickness drying from one side, half of it from two; ``d1`` 1e-13 to
    1e-7 m2/s at 20 °C; the slab at -20 to 60 °C.

    >>> round(days_to_limit(0.0660, 0.1016, 1e-10, 20.0), 1)
    78.9
    """
    number = within("fourier_number", fourier, 0.0, math.inf, "")
    path = within("drying_path", drying_path_m, 0.005, 1.0, "m")
    speed = within("diffusivity_at_saturation", d1, 1e-13, 1e-7, "m2/s") * temperature_factor(temp_c)
    return number * path * path / (speed * DAY)
