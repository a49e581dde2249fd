"""The slab itself: heat conduction, strength, and the humidity under its finish."""

from __future__ import annotations

import math

from advisor.physics.bounds import monotone_in
from advisor.physics.elementwise import exp
from advisor.physics.units import PSI
from advisor.physics.validity import Number, within
from advisor.physics.vapour import (
    Layer,
    layer_permeance,
    series_permeance,
    steady_state,
)

CONDUCTIVITY = 2.0  # W/(m K), density 2400 kg/m3; ISO 10456:2007, Table 3 (from memory)


@monotone_in("water_cement")
def mean_strength(water_cement: Number) -> Number:
    """Mean compressive strength [Pa] at 28 days to expect of a water/cement ratio of 0.3 to 1.1.

    Abrams' law through the ends of ACI 211.1-91, Table 6.3.4(a), no entrained air (6000 psi at 0.41, 2000 psi
    at 0.82; from memory); within 3 % of the table between them.

    >>> round(mean_strength(0.5) / 1e6, 1)
    32.5
    """
    ratio = within("water_cement_ratio", water_cement, 0.3, 1.1, "")
    return 6000.0 * PSI * exp((0.41 - ratio) / 0.41 * math.log(3.0))


def slab_layer(thickness_m: Number, permeability: Number) -> Layer[Number]:
    """The slab as a layer: thickness 1e-6 to 10 m, permeability 1e-18 to 1e-9 kg/(m s Pa)."""
    return Layer("slab", layer_permeance(permeability, thickness_m), thickness_m / CONDUCTIVITY)


@monotone_in("ground_rh_percent", "room_rh_percent", "permeability", "retarder", "finish", "surface_resistance")
def rh_under_finish(
    ground_temp_c: Number,
    ground_rh_percent: Number,
    room_temp_c: Number,
    room_rh_percent: Number,
    thickness_m: Number,
    permeability: Number,
    retarder: Number,
    finish: Number,
    surface_resistance: Number,
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
            Layer("below_finish", below, slab.thermal_resistance),
            Layer("finish", finish, 0.0 * thickness_m),
        ],
        surface_resistance,
    )
    return state.interfaces[1].rh_percent
