"""Computed facts: the functions that the vocabulary's `computed` entries name.

Each takes the facts it needs, of one floor as floats or of many as arrays, in the vocabulary's units, and the finish
where the fact is about one; it returns true bounds in the vocabulary's unit. The physics is in `advisor.physics`; here
are only the units, and the treatment of what is missing. A formula's name for people and its sources are data.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from advisor.facts.formula import FORMULAS as FORMULAS
from advisor.facts.formula import Inputs, Subject, formula
from advisor.facts.placing import is_timed, placed
from advisor.model.finishes import Finish
from advisor.model.knowledge import RuleBase
from advisor.model.procedures import Task
from advisor.physics import air
from advisor.physics.bounds import Span, extremes
from advisor.physics.concrete import mean_strength
from advisor.physics.diffusivity import COLDEST_C, characteristic_strength, saturated_diffusivity
from advisor.physics.drying_table import tabled_fourier_number
from advisor.physics.drying_time import DryingSides, days_to_limit
from advisor.physics.elementwise import choose, greatest, least
from advisor.physics.floor_tests.emission import emission_rate, places_required
from advisor.physics.units import PERM_INCH, POUND_PER_1000FT2_DAY, US_PERM
from advisor.physics.vapour import MOST_PERMEANCE, layer_permeance, rh_of_share, series_permeance, share_passed
from advisor.physics.vapour_source import steady_emission_bound

DAYS_A_YEAR = 365.25


@formula(rises_with=("slab_temperature",), falls_with=("air_temperature", "air_humidity"), by_table=True)
def dew_point_margin(of: Inputs, _: Subject) -> Span:
    """Distance of the slab's surface from the dew point [K]."""
    room = {"air_temp_c": of.span("air_temperature"), "rh_percent": of.span("air_humidity")}
    return extremes(air.dew_margin, {"surface_temp_c": of.span("slab_temperature")}, room)


@formula(rises_with=("air_temperature", "air_humidity"), falls_with=("slab_temperature",), by_table=True)
def humidity_at_slab(of: Inputs, _: Subject) -> Span:
    """Relative humidity of the air where it touches the slab [%]."""
    room = {"air_temp_c": of.span("air_temperature"), "rh_percent": of.span("air_humidity")}
    return extremes(air.rh_at_surface, room, {"surface_temp_c": of.span("slab_temperature")})


@formula(rises_with=("dish_gain",), falls_with=("dish_hours",))
def emission_from_dish(of: Inputs, _: Subject) -> Span:
    """Emission [lb/(1000 ft2 24 h)] from a dish's weighing."""
    rate = extremes(emission_rate, {"mass_gain_g": of.span("dish_gain")}, {"hours": of.span("dish_hours")})
    return rate.times(1 / POUND_PER_1000FT2_DAY)


@formula(rises_with=("time_in_use",), falls_with=("building_year",), in_logic=True)
def slab_age_at_least(of: Inputs, about: Subject) -> Span:
    """Age of the slab [day]: what the use of the floor and the age of the building leave possible.

    The building's age is counted to the year of the advice (`advisor.model.years`).
    """
    built = (about.norm("this_year").low - 1.0 - of.span("building_year").high) * DAYS_A_YEAR
    return Span(greatest(of.span("time_in_use").low, built), math.inf)


@formula(rises_with=("budget",), falls_with=("area",))
def budget_per_area(of: Inputs, _: Subject) -> Span:
    """Money for each square metre [USD/m2]."""
    budget, area = of.span("budget"), of.span("area")
    return Span(budget.low / area.high, budget.high / area.low)


@formula(rises_with=("area",), falls_with=("budget",), properties=("self_cost", "self_fixed_cost"), in_logic=True)
def self_short_by(of: Inputs, about: Subject) -> Span:
    """What the budget lacks of the cost of doing it oneself [USD]."""
    return _short_by(of, about, "self")


@formula(rises_with=("area",), falls_with=("budget",), properties=("hired_cost", "hired_fixed_cost"), in_logic=True)
def hired_short_by(of: Inputs, about: Subject) -> Span:
    """What the budget lacks of a crew's price [USD]."""
    return _short_by(of, about, "hired")


def _short_by(of: Inputs, about: Subject, who: str) -> Span:
    """A straight line over the area: a fixed cost, and so much for each square metre."""
    fixed, each = about.property(f"{who}_fixed_cost"), about.property(f"{who}_cost")
    assert fixed is not None
    assert each is not None
    area, budget = of.span("area"), of.span("budget")
    return Span(fixed.low + each.low * area.low - budget.high, fixed.high + each.high * area.high - budget.low)


@formula(
    rises_with=("ground_temperature", "ground_humidity", "retarder_permeance", "slab_permeability"),
    falls_with=("slab_thickness",),
    by_table=True,
)
def steady_emission(of: Inputs, _: Subject) -> Span:
    """Bound of steady diffusion into a dry dish [lb/(1000 ft2 24 h)]."""
    ground = {"ground_temp_c": of.span("ground_temperature"), "ground_rh_percent": of.span("ground_humidity")}
    return extremes(steady_emission_bound, {**ground, "permeance": _below_finish(of)}).times(1 / POUND_PER_1000FT2_DAY)


@formula(properties=("permeance",), by_table=True)
def humidity_beneath(of: Inputs, about: Subject) -> Span:
    """Relative humidity that would stand between slab and finish [%].

    The slab's top is taken as warm as the ground, so both move together: it falls with the ground's warmth.
    """
    share = _share_passed(of, about)
    ends = []
    for least_or_greatest, (ground, room, saturated) in zip((least, greatest), _pressures(of), strict=True):
        # A finish that passes more brings the room's vapour closer, which may be the damper or the drier side.
        ends.append(least_or_greatest(*(rh_of_share(ground, room, each, saturated) for each in share)))
    return Span(*ends)


def _pressures(of: Inputs) -> list[tuple[Any, Any, Any]]:
    """Least and most: vapour pressure of ground and room, saturation at the slab's top [Pa]; alike for all finishes."""

    def work() -> list[tuple[Any, Any, Any]]:
        warm, damp = of.span("ground_temperature"), of.span("ground_humidity")
        room = extremes(
            air.vapour_pressure, {"temp_c": of.span("air_temperature"), "rh_percent": of.span("air_humidity")}
        )
        ends = ((warm.high, damp.low, room.low), (warm.low, damp.high, room.high))
        return [(air.vapour_pressure(t, rh), room_pa, air.saturation_pressure(t)) for t, rh, room_pa in ends]

    return of.once("pressures", work)


@formula(properties=("permeance",))
def vapour_passed(of: Inputs, about: Subject) -> Span:
    """Share of the bare slab's vapour that passes the finish [%]."""
    return _share_passed(of, about).times(100.0)


def _share_passed(of: Inputs, about: Subject) -> Span:
    perms = about.property("permeance")
    assert perms is not None
    finish = Span(perms.low * US_PERM, perms.high * US_PERM)

    def work() -> Span:
        return extremes(share_passed, {"finish": finish}, {"below_finish": _below_finish(of)})

    return of.once(("share passed", finish), work)


def _below_finish(of: Inputs) -> Span:
    """Permeance of retarder and slab in series [kg/(m2 s Pa)]; no retarder resists nothing."""

    def work() -> Span:
        slab = extremes(
            layer_permeance,
            {"permeability": of.span("slab_permeability", PERM_INCH)},
            {"thickness_m": of.span("slab_thickness", 1e-3)},
        )
        sheet = of.span("retarder_permeance", US_PERM)
        lowest = choose(of.has("vapour_retarder", "absent"), MOST_PERMEANCE, sheet.low)
        highest = choose(of.has("vapour_retarder", "present"), sheet.high, MOST_PERMEANCE)
        return Span(series_permeance(lowest, slab.low), series_permeance(highest, slab.high))

    return of.once("below", work)


@formula(rises_with=("area",), falls_with=("humidity_holes",))
def humidity_holes_missing(of: Inputs, about: Subject) -> Span:
    """Holes short of what the area asks; 0 or less is enough."""
    return _missing(of, about, "humidity_holes")


@formula(rises_with=("area",), falls_with=("dish_count",))
def dishes_missing(of: Inputs, about: Subject) -> Span:
    """Dishes short of what the area asks; 0 or less is enough."""
    return _missing(of, about, "dish_count")


def _missing(of: Inputs, about: Subject, tested: str) -> Span:
    area, there = of.span("area"), of.span(tested)
    asked = {"first": about.norm("test_places").low, "each_m2": about.norm("test_places_area").low}
    wanted = extremes(places_required, {"area_m2": area}, **asked)
    return Span(wanted.low - there.high, wanted.high - there.low)


@formula(
    rises_with=("slab_thickness", "air_humidity"),
    falls_with=("water_cement_ratio", "air_temperature", "slab_age"),
    properties=("humidity_limit",),
)
def drying_days_left(of: Inputs, about: Subject) -> Span:
    """Days until the slab is down to the finish's humidity limit, if nothing but its own mix water is in it."""
    limit = about.property("humidity_limit")
    if limit is None:
        return Span(0.0, 0.0)
    thickness, humidity, age = of.span("slab_thickness", 1e-3), of.span("air_humidity"), of.span("slab_age")
    whole, half = DryingSides.ONE.value, DryingSides.TWO.value
    path = Span(
        thickness.low * choose(of.has("drying_sides", "one"), whole, half),
        thickness.high * choose(of.has("drying_sides", "two"), half, whole),
    )
    # The wetter the mix, the weaker the concrete and the faster it dries.
    speed = extremes(_saturated_diffusivity, {"water_cement": of.span("water_cement_ratio")})
    band = about.norm("diffusivity_band")
    warm = Span(*(greatest(each, COLDEST_C) for each in of.span("air_temperature")))
    soonest = days_to_limit(
        tabled_fourier_number(limit.high, humidity.low), path.low, speed.high * band.high, warm.high
    )
    latest = days_to_limit(tabled_fourier_number(limit.low, humidity.high), path.high, speed.low * band.low, warm.low)
    return Span(greatest(soonest - age.high, 0.0), greatest(latest - age.low, 0.0))


def _saturated_diffusivity(water_cement: Any) -> Any:
    return saturated_diffusivity(characteristic_strength(mean_strength(water_cement)))


@formula(properties=None)
def placing_batches(of: Inputs, about: Subject) -> Span:
    """Batches in which the material that sets soonest must be mixed; 0 where nothing sets while one works."""
    assert about.finish is not None
    slab, area = of.span("slab_temperature"), of.span("area")
    people = Span(*(each + 1.0 for each in of.span("helpers")))
    fewest: Any = 0.0
    most: Any = 0.0
    for task in _timed_tasks(about.base, about.finish):
        count = placed(about.base, about.finish, task, area, slab, people).batches
        fewest, most = greatest(fewest, count.low), greatest(most, count.high)
    return Span(fewest, most)


def _timed_tasks(base: RuleBase, finish: Finish) -> Iterator[Task]:
    for procedure in base.procedures.values():
        if finish.id in procedure.finishes:
            yield from (task for step in procedure.steps if is_timed(task := base.tasks[step.do]))


@formula(properties=("voc", "dry_thickness"))
def fume_level(of: Inputs, about: Subject) -> Span:
    """Solvent vapour [g/m3] if none of it were aired away."""
    voc, dry, height = about.property("voc"), about.property("dry_thickness"), of.span("ceiling_height", 1e-3)
    assert voc is not None
    if dry is None:  # it soaks in: what is spread, taken as a thickness
        wet = about.norm("penetrant_spread")
    else:
        thickest, density = about.norm("solvent_coat").high, about.norm("solvent_density").low
        most = about.norm("most_solvent", 0.01).high
        solvent = Span(min(voc.low / density, most), min(voc.high / density, most))
        wet = Span(min(dry.low, thickest) / (1.0 - solvent.low), min(dry.high, thickest) / (1.0 - solvent.high))
    return Span(voc.low * wet.low * 1e-3 / height.high, voc.high * wet.high * 1e-3 / height.low)
