"""Emission from the slab by the weighed dish of calcium chloride under a dome (ASTM F1869-16a)."""

from __future__ import annotations

from enum import Enum

from advisor.physics.units import HOUR, SQUARE_FOOT
from advisor.physics.validity import Number, within


class DishArea(Enum):
    """Which concrete the weight gain is divided by; the value is its area [m2].

    ASTM F1869-16a deducts the dish's own area (0.44486 ft2); older editions took the full dome (70 in2).
    A reading must say which form it used: the same dish reads 9 % more in the first.
    """

    DISH_DEDUCTED = 0.44486 * SQUARE_FOOT
    FULL_DOME = 70.0 / 144.0 * SQUARE_FOOT


def emission_rate(mass_gain_g: Number, hours: Number, area: DishArea = DishArea.DISH_DEDUCTED) -> Number:
    """Emission [kg/(m2 s)] from the weight a dish gained [g] in the hours it stood.

    Valid: 0 to 100 g, 1 to 1000 h (whether the hours make a valid test is for ``dish_test`` to say).
    Source: ASTM F1869-16a (its 24 000 M/(453.612 A t), here with the exact pound).

    >>> from advisor.physics.units import POUND_PER_1000FT2_DAY
    >>> round(emission_rate(3.0, 72.0) / POUND_PER_1000FT2_DAY, 2)
    4.96
    """
    gain = within("weight gain of the dish", mass_gain_g, 0.0, 100.0, "g")
    seconds = within("hours the dish stood", hours, 1.0, 1000.0, "h") * HOUR
    return gain / 1000.0 / (area.value * seconds)
