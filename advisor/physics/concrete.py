"""The slab itself: permeability by quality, heat conduction, strength, and the humidity under its finish."""

from __future__ import annotations

import math
from enum import Enum
from types import MappingProxyType

from advisor.physics.bounds import Interval, monotone_in
from advisor.physics.elementwise import exp
from advisor.physics.units import PERM_INCH, PSI
from advisor.physics.validity import Number, within
from advisor.physics.vapour import (
    Layer,
    layer_permeance,
    permeability_from_mu,
    series_permeance,
    steady_state,
)

CONDUCTIVITY = 2.0  # W/(m K), density 2400 kg/m3; ISO 10456:2007, Table 3 (from memory)


class ConcreteQuality(Enum):
    """How dense the concrete is, as far as its permeability goes."""

    DENSE = "dense"
    ORDINARY = "ordinary"
    POROUS = "porous"
    UNKNOWN = "unknown"


PERMEABILITY = MappingProxyType(
    {
        ConcreteQuality.DENSE: Interval(permeability_from_mu(130.0), permeability_from_mu(60.0)),
        ConcreteQuality.ORDINARY: Interval(permeability_from_mu(60.0), 3.2 * PERM_INCH),
        ConcreteQuality.POROUS: Interval(3.2 * PERM_INCH, 0.03e-6 / 3600.0),
        ConcreteQuality.UNKNOWN: Interval(permeability_from_mu(130.0), 0.03e-6 / 3600.0),
    }
)
"""Permeability [kg/(m s Pa)] by quality; dry and wet cups of one concrete differ by as much.

mu 130 and 60: ISO 10456:2007, Table 3, density 2400 and 1800 (from memory).  3.2 perm-inch: ASHRAE Handbook
of Fundamentals, concrete 1:2:4 (older table, from memory).  0.03 mg/(m h Pa): Russian building
code on thermal protection, SP 50.13330, heavy concrete (its designation from memory).
Which range is called dense or porous is common practice, no source.
"""


@monotone_in("water_cement")
def mean_strength(water_cement: Number) -> Number:
    """Mean compressive strength [Pa] at 28 days to expect of a water/cement ratio of 0.3 to 1.1.

    Abrams' law through the ends of ACI 211.1-91, Table 6.3.4(a), no entrained air (6000 psi at 0.41, 2000 psi
    at 0.82; from memory); within 3 % of the table between them.

    >>> round(mean_strength(0.5) / 1e6, 1)
    32.5
    """
    ratio = within("water/cement ratio", water_cement, 0.3, 1.1, "")
    return 6000.0 * PSI * exp((0.41 - ratio) / 0.41 * math.log(3.0))


def slab_layer(thickness_m: Number, permeability: Number) -> Layer[Number]:
    """The slab as a layer: thickness 1e-6 to 10 m, permeability 1e-18 to 1e-9 kg/(m s Pa)."""
    return Layer("slab", layer_permeance(permeability, thickness_m), thickness_m / CONDUCTIVITY)


@monotone_in("ground_rh_percent", "room_rh_percent", "permeability", "retarder", "finish")
def rh_under_finish(
    ground_temp_c: Number,
    ground_rh_percent: Number,
    room_temp_c: Number,
    room_rh_percent: Number,
    thickness_m: Number,
    permeability: Number,
    retarder: Number,
    finish: Number,
) -> Number:
    """Relative humidity [%] on top of a slab under its finish, with the gradient of temperature.

    ``retarder`` and ``finish`` are permeances [kg/(m2 s Pa)] without thermal resistance; temperatures -50 to
    100 °C, humidities 0 to 100 %, the slab as in ``slab_layer``.  It is monotone neither in the temperatures
    nor in the thickness: they move the vapour and the temperature at once.
    """
    slab = slab_layer(thickness_m, permeability)
    below = series_permeance(retarder, slab.permeance)
    state = steady_state(
        ground_temp_c,
        ground_rh_percent,
        room_temp_c,
        room_rh_percent,
        [
            Layer("retarder and slab", below, slab.thermal_resistance),
            Layer("finish", finish, 0.0 * thickness_m),
        ],
    )
    return state.interfaces[1].rh_percent
