"""Two components in a bucket: the ratio, how long they stay workable, and what a crew places in that time."""

from __future__ import annotations

import math

from advisor.physics.bounds import monotone_in
from advisor.physics.elementwise import ceil, exp, log
from advisor.physics.units import ZERO_CELSIUS
from advisor.physics.validity import Number, within

GAS_CONSTANT = 8.314462618  # J/(mol K), exact in the SI of 2019

COLDEST_C, HOTTEST_C = -20.0, 60.0


def _mix_temp(quantity: str, temp_c: Number) -> Number:
    return within(quantity, temp_c, COLDEST_C, HOTTEST_C, "°C")


def _minutes(quantity: str, minutes: Number) -> Number:
    return within(quantity, minutes, 0.1, 10_000.0, "min")


@monotone_in("volume_ratio", "density_a", "density_b")
def mass_ratio(volume_ratio: Number, density_a: Number, density_b: Number) -> Number:
    """Parts of A to one of B by mass, from the ratio by volume (0.001 to 1000), densities 300 to 5000 kg/m3.

    >>> mass_ratio(2.0, 1150.0, 1000.0)
    2.3
    """
    ratio = within("mixing_ratio_a_to_b_by_volume", volume_ratio, 1e-3, 1e3, "")
    dense_a = within("density_of_a", density_a, 300.0, 5000.0, "kg/m3")
    return ratio * dense_a / within("density_of_b", density_b, 300.0, 5000.0, "kg/m3")


@monotone_in("ratio")
def share_of_a(ratio: Number) -> Number:
    """Share of A in the whole mix, by what the ratio A to B (0.001 to 1000) goes by; B is the rest.

    >>> share_of_a(3.0)
    0.75
    """
    parts = within("mixing_ratio_a_to_b", ratio, 1e-3, 1e3, "")
    return parts / (1.0 + parts)


@monotone_in("stated_min", "stated_temp_c", "temp_c", "halves_every_k")
def pot_life(stated_min: Number, stated_temp_c: Number, temp_c: Number, halves_every_k: Number) -> Number:
    """Pot life [min] at another temperature by the rule of thumb: so many kelvins warmer (1 to 50) halve it.

    Valid: 0.1 to 10 000 min, -20 to 60 °C.  Source: common practice; no published formula, so a maker's own
    two points (``pot_life_between``) come first.  It holds for the mass the maker stated (often 100 g): more
    in one bucket is hotter and quicker.

    >>> pot_life(40.0, 25.0, 35.0, 10.0)
    20.0
    """
    stated = _minutes("stated_pot_life", stated_min)
    cooler = _mix_temp("stated_temperature", stated_temp_c) - _mix_temp("temperature_of_mix", temp_c)
    return stated * exp(cooler / within("warming_that_halves_it", halves_every_k, 1.0, 50.0, "K") * math.log(2.0))


def activation_energy(cool_min: Number, cool_c: Number, warm_min: Number, warm_c: Number) -> Number:
    """Arrhenius activation energy [J/mol] of a cure, from its pot life at two temperatures.

    Valid: 0.1 to 10 000 min, -20 to 60 °C, the warm point at least 1 K warmer and not slower than the cool.
    Source: the Arrhenius equation (a textbook of physical chemistry).

    >>> round(activation_energy(60.0, 15.0, 30.0, 25.0) / 1000, 1)
    49.5
    """
    cool = _mix_temp("temperature_of_cool_point", cool_c)
    warm = _mix_temp("temperature_of_warm_point", warm_c)
    within("warm_point_above_cool_one", warm - cool, 1.0, 80.0, "K")
    quicker = _minutes("pot_life_when_cool", cool_min) / _minutes("pot_life_when_warm", warm_min)
    within("pot_life_when_cool_over_warm", quicker, 1.0, 1e5, "")
    return GAS_CONSTANT * log(quicker) / (1.0 / (cool + ZERO_CELSIUS) - 1.0 / (warm + ZERO_CELSIUS))


def pot_life_between(cool_min: Number, cool_c: Number, warm_min: Number, warm_c: Number, temp_c: Number) -> Number:
    """Pot life [min] at ``temp_c`` through the maker's two points, by Arrhenius; validity as above.

    >>> round(pot_life_between(60.0, 15.0, 30.0, 25.0, 20.0), 1)
    42.2
    """
    energy = activation_energy(cool_min, cool_c, warm_min, warm_c)
    kelvin = _mix_temp("temperature_of_mix", temp_c) + ZERO_CELSIUS
    return cool_min * exp(energy / GAS_CONSTANT * (1.0 / kelvin - 1.0 / (cool_c + ZERO_CELSIUS)))


@monotone_in("workable_min", "m2_per_person_hour", "people", "reserve")
def area_placed(workable_min: Number, m2_per_person_hour: Number, people: Number, reserve: Number) -> Number:
    """Area [m2] that a crew places before the mix sets.

    ``m2_per_person_hour`` 0.1 to 1000, ``people`` 1 to 100; ``reserve`` (0 to 0.9) is the share of the pot
    life kept for mixing, carrying and the unforeseen.
    """
    hours = _minutes("workable_time", workable_min) / 60.0
    speed = within("speed_of_one_person", m2_per_person_hour, 0.1, 1000.0, "m2/h")
    crew = within("people_placing", people, 1.0, 100.0, "")
    return hours * speed * crew * (1.0 - within("reserve_of_pot_life", reserve, 0.0, 0.9, ""))


@monotone_in("area_m2", "area_per_batch_m2")
def batches(area_m2: Number, area_per_batch_m2: Number) -> Number:
    """Whole batches for an area of 0 to 1e6 m2, each good for 0.01 to 1e5 m2.

    >>> batches(100.0, 12.5), batches(101.0, 12.5)
    (8.0, 9.0)
    """
    area = within("area", area_m2, 0.0, 1e6, "m2")
    needed = area / within("area_of_one_batch", area_per_batch_m2, 0.01, 1e5, "m2")
    return ceil(needed * (1.0 - 1e-12))  # rounding alone shall not cost a batch
