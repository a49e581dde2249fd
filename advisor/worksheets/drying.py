"""Worksheet on the drying of a new slab: drying."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.physics.concrete import mean_strength
from advisor.physics.diffusivity import BELOW_MEAN, characteristic_strength
from advisor.physics.drying_table import START_PERCENT
from advisor.physics.drying_time import DryingSides
from advisor.worksheets.sheet import Given, Input, Result, figure, sheet
from explanations.wording import wording

if TYPE_CHECKING:
    from advisor.physics.drying_air import AirCourse

MPA = 1e6
PICTURE_DAYS = (7.0, 28.0, 90.0, 180.0, 365.0)


@sheet(
    "drying",
    "worksheets_drying.drying",
    (
        Input("slab_thickness", "mm", 10, 1000, figure="limit.usual_thickness", ask="worksheets.slab_thickness"),
        Input("drying_sides", choices=("one", "two"), default="one", ask="worksheets.drying_sides"),
        Input("strength", "mpa", 8, 100, figure="norm.floor_concrete"),
        Input("water_cement_ratio", "ratio", 0.35, 1.0),
        Input("start_humidity", "percent", 50, 100, f"{START_PERCENT:g} %"),
        Input("air_temperature", "degC", -20, 60, figure="norm.work_temperature"),
        Input("air_humidity", "percent", 1, 99, figure="norm.room_humidity"),
        Input("temperature_swing", "delta_degC", 0, 30, "0 C"),
        Input("humidity_swing", "percent", 0, 40, "0 %"),
        Input("start_day", "count", 1, 366, "100"),
        Input("rain", "count", 0, 3650, many=True),
        Input("limits", "percent", 1, 100, figure="limit.usual_makers_humidity, limit.dense_film_humidity", many=True),
        Input("days", "day", 1, 3650, "3 years"),
    ),
    pictured=True,
    optional=("water_cement_ratio", "rain"),
    ranges=False,
)
def drying(given: Given) -> Result:
    """Days to each limit, with a band, and the humidity over depth."""
    from advisor.charts.floor import DryingProfile
    from advisor.physics.diffusivity import model_code
    from advisor.physics.drying import Slab, dry, drying_band

    sides = given.word("drying_sides")
    thickness, share = given.exact("slab_thickness", 1e-3), given.norm(f"probe_depth_{sides}").low
    depth = share * thickness
    strength = _strength(given)
    slab = Slab(thickness, model_code(strength), DryingSides[sides.upper()], given.exact("start_humidity"))
    days = given.exact("days")
    air = _air(given, days)
    limits = given.several("limits")
    steps = [
        given.step("strength", figure(strength / MPA, "mpa"), less=f"{BELOW_MEAN / MPA:g}"),
        given.step("diffusivity", f"{slab.diffusivity.d1:.2e} m²/s"),
        given.step("depth", figure(1000 * depth, "mm"), share=f"{share:.0%}", sides=sides),
    ]
    for band in drying_band(slab, air, limits, days, depth, given.norm("diffusivity_band")):
        earliest, middle, latest = (_days(each, days) for each in (band.earliest, band.middle, band.latest))
        value = given.says("band", earliest=earliest, middle=middle, latest=latest)
        steps.append(given.step("days", value, limit=f"{band.limit_percent:g}"))
    course = dry(slab, air, days)
    dates = [day for day in PICTURE_DAYS if day < days] + [days]
    picture = DryingProfile(
        depths_mm=tuple(1000 * float(depth) for depth in course.depths_m),
        test_depth_mm=1000 * depth,
        profiles={day: tuple(float(rh) for rh in course.profile(day)) for day in dates},
        limits_percent=tuple(limits),
    )
    rule = given.says("rule_of_thumb", film=given.base.limits["dense_film_humidity"].given)
    return Result(tuple(steps), (rule, given.says("plan")), picture)


def _strength(given: Given) -> float:
    if not given.has("water_cement_ratio"):
        return given.exact("strength", MPA)
    return characteristic_strength(mean_strength(given.exact("water_cement_ratio")))


def _air(given: Given, days: float) -> AirCourse:
    from advisor.physics.drying_air import seasonal_air

    rain = given.several("rain") if given.has("rain") else []
    return seasonal_air(
        given.exact("air_temperature"),
        given.exact("temperature_swing"),
        given.exact("air_humidity"),
        given.exact("humidity_swing"),
        given.exact("start_day"),
        days,
        tuple((day, day + 1.0) for day in rain),
    )


def _days(found: float | None, followed: float) -> str:
    return wording("worksheets_drying.over", days=f"{followed:.0f}") if found is None else f"{found:.0f}"
