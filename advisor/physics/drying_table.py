"""Fourier numbers of drying, tabled: what `drying_time.fourier_number` integrates, without SciPy at hand.

For the diffusivity of fib Model Code 2010, a start at 98 % and the in-situ test's depth. Between entries the logarithm
is interpolated in the limit and in the share air humidity / limit; within 8 % of the integration, which the tests
recompute entry by entry. That is far inside the band that the diffusivity itself is uncertain by.
"""

from __future__ import annotations

import math

from advisor.physics.elementwise import choose, exp, interpolate
from advisor.physics.validity import Number, within

START_PERCENT, DEPTH_SHARE = 98.0, 0.4  # at the start, and how deep in the drying path it is read
LIMITS = (65.0, 70.0, 75.0, 80.0, 85.0, 90.0, 95.0)
AIR_SHARES = (0.0, 0.3, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.94, 0.97)
FOURIER_NUMBERS = (
    (1.504, 1.886, 2.361, 2.758, 3.396, 4.605, 5.718, 7.639, 10.53, 15.06),
    (1.266, 1.549, 1.884, 2.153, 2.572, 3.337, 4.037, 5.292, 7.356, 10.93),
    (1.035, 1.227, 1.440, 1.600, 1.832, 2.216, 2.535, 3.057, 3.853, 5.229),
    (0.6339, 0.708, 0.7784, 0.8242, 0.8811, 0.9554, 1.002, 1.062, 1.139, 1.292),
    (0.2683, 0.2935, 0.3163, 0.3302, 0.3461, 0.3646, 0.3754, 0.3928, 0.4516, 0.6333),
    (0.1021, 0.109, 0.1153, 0.1192, 0.1237, 0.1289, 0.1334, 0.1591, 0.2531, 0.4408),
    (0.03695, 0.03812, 0.03916, 0.03979, 0.04049, 0.04144, 0.04435, 0.05798, 0.0896, 0.1803),
)


def tabled_fourier_number(limit_percent: float, air_rh_percent: Number) -> Number:
    """Fourier number d1 t/L2 until the test's depth is at a limit; 0 from the start's 98 % up, inf if never.

    Limit 65 to 100 %, air 0 to 100 %; air above 97 % of the limit is taken as never.

    >>> round(tabled_fourier_number(85.0, 42.5), 4)
    0.3163
    """
    limit = within("humidity_limit", limit_percent, LIMITS[0], 100.0, "%")
    air = within("air_humidity", air_rh_percent, 0.0, 100.0, "%")
    if limit >= START_PERCENT:
        return 0.0 * air
    columns = zip(*FOURIER_NUMBERS, strict=True)
    at_limit = [interpolate(limit, LIMITS, [math.log(each) for each in column]) for column in columns]
    share = air / limit
    return choose(share > AIR_SHARES[-1], 0.0 * share + math.inf, exp(interpolate(share, AIR_SHARES, at_limit)))
