"""Worksheets on the room's air and the surfaces it meets: dew-point, cure-margin, ground-temperature."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.errors import BadCase, Fault
from advisor.physics import air
from advisor.physics.cure import cure_margin, day_and_night
from advisor.physics.ground import SOIL_DIFFUSIVITY, damping_depth, ground_temperature
from advisor.worksheets.sheet import Given, Input, Result, across, figure, sheet, spanned, step
from explanations.wording import wording


@sheet(
    "dew-point",
    "worksheets_air.dew_point",
    (
        Input("air_temperature", "degC", -50, 100),
        Input("air_humidity", "percent", 1, 100),
        Input("slab_temperature", "degC", -50, 100),
    ),
    optional=("slab_temperature",),
)
def dew_point(given: Given) -> Result:
    """Dew point [°C], humidity ratio, and the margin of the slab [K]."""
    room = {"temp_c": given.span("air_temperature"), "rh_percent": given.span("air_humidity")}
    steps = [
        given.step("saturation", spanned(across(air.saturation_pressure, temp_c=room["temp_c"]), "Pa")),
        given.step("vapour", spanned(across(air.vapour_pressure, **room), "Pa")),
        given.step("ratio", spanned(across(air.humidity_ratio, 1000, **room), "g/kg")),
        given.step("dew_point", spanned(across(air.dew_point, **room), "degC")),
    ]
    if not given.has("slab_temperature"):
        return Result(tuple(steps), (given.says("at_the_dew_point"),))
    slab = given.span("slab_temperature")
    surface = {"air_temp_c": room["temp_c"], "rh_percent": room["rh_percent"], "surface_temp_c": slab}
    margin, humidity = across(air.dew_margin, **surface), across(air.rh_at_surface, **surface)
    steps += [
        given.step("at_slab", spanned(humidity, "%")),
        given.step("margin", spanned(margin, "delta_degC")),
    ]
    least = given.norm("least_dew_margin").low
    if margin.high < 0:
        verdict = "sweats"
    elif margin.low >= least:
        verdict = "far_enough"
    elif margin.high < least:
        verdict = "too_near"
    else:
        verdict = "open"
    return Result(tuple(steps), (given.says(verdict),))


@sheet(
    "cure-margin",
    "worksheets_air.cure_margin",
    (
        Input("air_by_day", "degC", -50, 100),
        Input("air_by_night", "degC", -50, 100),
        Input("humidity_by_day", "percent", 1, 100),
        Input("humidity_by_night", "percent", 1, 100),
        Input("slab_by_day", "degC", -50, 100),
        Input("slab_by_night", "degC", -50, 100),
        Input("start", "count", 0, 23, figure="norm.day_begins"),
        Input("hours", "count", 1, 240, figure="norm.film_stays_dry"),
    ),
    ranges=False,
)
def through_the_cure(given: Given) -> Result:
    """Least margin [K], when, and the hours below what is asked, from day and night."""
    hours, start, warmest = int(given.exact("hours")), given.exact("start"), given.norm("warmest_hour").low

    def course(name: str) -> tuple[float, ...]:
        return day_and_night(given.exact(f"{name}_by_day"), given.exact(f"{name}_by_night"), hours, start, warmest)

    return _cure(given, int(start), course("slab"), course("air"), course("humidity"))


@sheet(
    "cure-hours",
    "worksheets_air.cure_hours",
    (
        Input("air", "degC", -50, 100, many=True),
        Input("humidity", "percent", 1, 100, many=True),
        Input("slab", "degC", -50, 100, many=True),
        Input("start", "count", 0, 23, figure="norm.day_begins"),
    ),
    ranges=False,
)
def hour_by_hour(given: Given) -> Result:
    """Least margin [K], when, and the hours below what is asked, from readings."""
    slab, room, humidity = (given.several(name) for name in ("slab", "air", "humidity"))
    if not len(slab) == len(room) == len(humidity):
        what = given.says("not_as_many", air=len(room), humidity=len(humidity), slab=len(slab))
        raise BadCase([Fault("cure-hours", what, given.says("one_of_each"))])
    return _cure(given, int(given.exact("start")), slab, room, humidity)


def _cure(given: Given, start: int, slab: Sequence[float], room: Sequence[float], humidity: Sequence[float]) -> Result:
    required = given.norm("least_dew_margin").low
    margin = cure_margin(slab, room, humidity, required)
    clock = int(start + margin.least_at_h) % 24
    steps = [
        step(
            "worksheets_air.cure.at",
            _margin(slab[hour], room[hour], humidity[hour]),
            hour=f"{(start + hour) % 24:02d}",
        )
        for hour in range(0, len(slab), max(1, len(slab) // 8))
    ]
    least, below = figure(margin.least_k, "delta_degC"), f"{margin.hours_below:.1f} h"
    steps += [
        step("worksheets_air.cure.least", least, after=f"{margin.least_at_h:.0f}", hour=f"{clock:02d}"),
        step("worksheets_air.cure.below", below, least=figure(required, "delta_degC")),
    ]
    verdict = "condenses" if margin.condenses else "too_near" if margin.hours_below > 0 else "far_enough"
    return Result(tuple(steps), (wording(f"worksheets_air.cure.{verdict}"),))


def _margin(slab: float, room: float, humidity: float) -> str:
    return figure(air.dew_margin(slab, room, humidity), "delta_degC")


@sheet(
    "ground-temperature",
    "worksheets_air.ground",
    (
        Input("yearly_mean", "degC", -20, 40),
        Input("yearly_swing", "delta_degC", 0, 40),
        Input("depth", "mm", 0, 100_000, "1 m"),
        Input("day_of_year", "count", 1, 366),
    ),
)
def ground(given: Given) -> Result:
    """Ground temperature [°C] at a depth."""
    temperature = across(
        ground_temperature,
        mean_c=given.span("yearly_mean"),
        amplitude_k=given.span("yearly_swing"),
        depth_m=given.span("depth", 1e-3),
        day_of_year=given.span("day_of_year"),
    )
    steps = (
        given.step("damping", figure(damping_depth(SOIL_DIFFUSIVITY), "m"), diffusivity=f"{SOIL_DIFFUSIVITY * 1e7:g}"),
        given.step("temperature", spanned(temperature, "degC")),
    )
    return Result(steps, (given.says("use"),))
