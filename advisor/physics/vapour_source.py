"""What steady diffusion from the ground can feed into a dish, and where the rest of a reading comes from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from advisor.physics.air import vapour_pressure
from advisor.physics.bounds import monotone_in
from advisor.physics.validity import Number, within
from advisor.physics.vapour import vapour_flow


@monotone_in("ground_temp_c", "ground_rh_percent", "permeance")
def steady_emission_bound(ground_temp_c: Number, ground_rh_percent: Number, permeance: Number) -> Number:
    """Most that steady diffusion delivers at the slab's surface [kg/(m2 s)]: into a perfectly dry dish.

    ``permeance`` [kg/(m2 s Pa)] is of the slab with all beneath it; -50 to 100 °C, 0 to 100 %.

    >>> from advisor.physics.units import POUND_PER_1000FT2_DAY, US_PERM
    >>> round(steady_emission_bound(23.0, 100.0, 0.8 * US_PERM) / POUND_PER_1000FT2_DAY, 2)
    2.28
    """
    below = vapour_pressure(ground_temp_c, ground_rh_percent)
    return vapour_flow(below, 0.0 * below, permeance)


class Source(Enum):
    """Where a dish's water comes from, as far as the facts tell."""

    DIFFUSION_SUFFICES = "diffusion_suffices"
    CONSTRUCTION_WATER = "construction_water"
    LIQUID_WATER = "liquid_water"
    EITHER = "either"
    UNEXPLAINED = "unexplained"


@dataclass(frozen=True)
class DishReading:
    """A reading and the bound of steady diffusion [both kg/(m2 s)], their ratio, and the likelier source."""

    reading: float
    bound: float
    ratio: float
    source: Source


def explain_dish_reading(
    reading: float,
    bound: float,
    slab_age_days: float | None,
    expected_drying_days: float,
    water_can_reach_slab: bool | None,
) -> DishReading:
    """Say which source of water is likelier, given the bound that ``steady_emission_bound`` returns.

    ``expected_drying_days`` (1 to 10 000) is how long this slab takes to dry (``drying.days_to_reach``, or
    30 days an inch); ``water_can_reach_slab`` sums up the site: drainage that fails, a high water table, or
    ground sloping in, and no sound retarder.  None is unknown, and then both stay possible.  The choice
    between the sources of what exceeds the bound is common practice, no source.
    """
    within("dish_reading", reading, 0.0, 1e-3, "kg/(m2 s)")
    within("bound_of_steady_diffusion", bound, 1e-15, 1.0, "kg/(m2 s)")
    within("expected_drying_time", expected_drying_days, 1.0, 10_000.0, "d")
    young = True
    if slab_age_days is not None:
        young = within("age_of_slab", slab_age_days, 0.0, 100_000.0, "d") < expected_drying_days
    wet = water_can_reach_slab is not False
    if reading <= bound:
        source = Source.DIFFUSION_SUFFICES
    else:
        source = {
            (True, True): Source.EITHER,
            (True, False): Source.CONSTRUCTION_WATER,
            (False, True): Source.LIQUID_WATER,
            (False, False): Source.UNEXPLAINED,
        }[young, wet]
    return DishReading(reading, bound, reading / bound, source)
