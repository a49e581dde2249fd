"""Emission from the slab by the weighed dish of calcium chloride under a dome (ASTM F1869-16a)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from math import inf

from advisor.physics.bounds import Interval, monotone_in
from advisor.physics.elementwise import ceil
from advisor.physics.floor_tests.finding import Fault, Readings, none_or_fault, none_or_unmet, readings
from advisor.physics.units import HOUR, SQUARE_FOOT
from advisor.physics.validity import Number, within


class DishArea(Enum):
    """Which concrete the weight gain is divided by; the value is its area [m2].

    ASTM F1869-16a deducts the dish's own area (0.44486 ft2); older editions took the full dome (70 in2).
    A reading must say which form it used: the same dish reads 9 % more in the first.
    """

    DISH_DEDUCTED = 0.44486 * SQUARE_FOOT
    FULL_DOME = 70.0 / 144.0 * SQUARE_FOOT


@monotone_in("mass_gain_g", "hours")
def emission_rate(mass_gain_g: Number, hours: Number, area: DishArea | float = DishArea.DISH_DEDUCTED) -> Number:
    """Emission [kg/(m2 s)] from the weight a dish gained [g] in the hours it stood.

    The area is that of a form of the standard, or the concrete [m2] that the kit's maker says lay open under the dome.

    Valid: 0 to 100 g, 1 to 1000 h, 0.005 to 0.5 m2 (whether the hours make a valid test is for ``dish_test`` to say).
    Source: ASTM F1869-16a (its 24 000 M/(453.612 A t), here with the exact pound).

    >>> from advisor.physics.units import POUND_PER_1000FT2_DAY
    >>> round(emission_rate(3.0, 72.0) / POUND_PER_1000FT2_DAY, 2)
    4.96
    """
    gain = within("weight_gain_of_dish", mass_gain_g, 0.0, 100.0, "g")
    seconds = within("hours_dish_stood", hours, 1.0, 1000.0, "h") * HOUR
    bare = within("area_under_dome", area.value if isinstance(area, DishArea) else area, 0.005, 0.5, "m2")
    return gain / 1000.0 / (bare * seconds)


def places_required(area_m2: Number, first: float, each_m2: float) -> Number:
    """Number of places for an area of 0 to 1e6 m2: so many for the first ``each_m2``, one for each further begun one.

    >>> places_required(101.0, 3.0, 100.0)
    4.0
    """
    area = within("area", area_m2, 0.0, 1e6, "m2") / within("area_that_a_place_stands_for", each_m2, 1.0, 1e6, "m2")
    beyond = ceil(area * (1.0 - 1e-12)) - 1.0
    return within("places_on_least_floor", first, 1.0, 100.0, "") + (beyond + abs(beyond)) / 2.0


@dataclass(frozen=True)
class DishRules:
    """What makes a dish test valid: hours it stands, the room's air, hours of conditioning and of lying open before."""

    hours: Interval
    temp_c: Interval
    rh_percent: Interval
    conditioned_h: float
    open_h: float


@dataclass(frozen=True)
class Dish:
    """One dish: weight gain [g], hours it stood, and its surroundings; None is not recorded.

    ``air_temp_c`` and ``rh_percent`` are of the room, or None with ``in_service`` True where the building
    already is as it will be used; ``bare_ground_concrete``: ground to open concrete, no coating or patch, not
    lightweight, no gypsum; ``open_h``: how long the ground place lay open before the dish.
    """

    mass_gain_g: float
    hours: float | None
    air_temp_c: float | None
    rh_percent: float | None
    conditioned_h: float | None
    open_h: float | None
    bare_ground_concrete: bool | None
    in_service: bool = False


def dish_test(
    dishes: Sequence[Dish], required: int, rules: DishRules, form: DishArea | float = DishArea.DISH_DEDUCTED
) -> Readings:
    """Judge a dish test of a floor that asks for so many; values in kg/(m2 s), on the area that ``form`` says.

    It measures what leaves the top inch or so of the slab during those days, and no more.
    Raises OutsideValidity for impossible weights or hours.
    """
    faults: list[Fault | None] = []
    rates = []
    for number, dish in enumerate(dishes, start=1):
        faults += _dish_faults(number, dish, rules)
        if dish.hours is not None:
            rates.append(emission_rate(dish.mass_gain_g, dish.hours, form))
        else:
            within("weight_gain_of_dish", dish.mass_gain_g, 0.0, 100.0, "g")
    return readings(rates, len(dishes), "kg/(m2 s)", faults, required)


def _dish_faults(place: int, dish: Dish, rules: DishRules) -> list[Fault | None]:
    faults = [
        none_or_fault("dish_hours", dish.hours, rules.hours, "h", place),
        none_or_fault("dish_conditioned", dish.conditioned_h, Interval(rules.conditioned_h, inf), "h", place),
        none_or_fault("dish_open", dish.open_h, Interval(rules.open_h, inf), "h", place),
        none_or_unmet("dish_on_bare_ground_concrete", dish.bare_ground_concrete, place),
    ]
    if not dish.in_service:
        faults += [
            none_or_fault("dish_air_temperature", dish.air_temp_c, rules.temp_c, "°C", place),
            none_or_fault("dish_air_humidity", dish.rh_percent, rules.rh_percent, "%", place),
        ]
    return faults
