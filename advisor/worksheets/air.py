"""Worksheets on the room's air and the surfaces it meets: dew-point, cure-margin, ground-temperature."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.errors import BadCase, Fault
from advisor.physics import air
from advisor.physics.cure import cure_margin, day_and_night
from advisor.physics.ground import damping_depth, ground_temperature
from advisor.worksheets.sheet import Given, Input, Result, Step, across, sheet, spanned

AIR = (
    Input("air_temperature", "temperature of the room's air", "degC", -50, 100),
    Input("air_humidity", "relative humidity of the room's air", "percent", 1, 100),
)


@sheet(
    "dew-point",
    "Dew point of the room's air, and how far the slab is above it",
    (*AIR, Input("slab_temperature", "temperature of the slab's surface (optional)", "degC", -50, 100)),
    "PsychroLib (ASHRAE Handbook of Fundamentals 2017, chapter 1); margin of 3 C (5 F): ISO 8502-4, a guide for steel "
    "taken over for floors",
    optional=("slab_temperature",),
)
def dew_point(given: Given) -> Result:
    """Dew point [°C], humidity ratio, and the margin of the slab [K]."""
    room = {"temp_c": given.span("air_temperature"), "rh_percent": given.span("air_humidity")}
    steps = [
        Step("saturation pressure", "p_sat(t)", spanned(across(air.saturation_pressure, temp_c=room["temp_c"]), "Pa")),
        Step("vapour pressure", "p = RH x p_sat(t)", spanned(across(air.vapour_pressure, **room), "Pa")),
        Step("humidity ratio", "0.622 p / (101 325 - p)", spanned(across(air.humidity_ratio, 1000, **room), "g/kg")),
        Step("dew point", "p_sat(t_dew) = p", spanned(across(air.dew_point, **room), "°C")),
    ]
    if not given.has("slab_temperature"):
        return Result(tuple(steps), ("A slab at or below the dew point is wet.",))
    slab = given.span("slab_temperature")
    surface = {"air_temp_c": room["temp_c"], "rh_percent": room["rh_percent"], "surface_temp_c": slab}
    margin, humidity = across(air.dew_margin, **surface), across(air.rh_at_surface, **surface)
    steps += [
        Step("humidity at the slab", "p / p_sat(t_slab)", spanned(humidity, "%")),
        Step("margin", "t_slab - t_dew", spanned(margin, "°C")),
    ]
    least = given.norm("least_dew_margin").low
    if margin.high < 0:
        verdict = "Water condenses on the slab: it sweats from the air, without any water from below."
    elif margin.low >= least:
        verdict = "The slab is far enough above the dew point to coat it, if that holds through the cure."
    elif margin.high < least:
        verdict = "Too near the dew point to coat: warm the slab or dry the air, and wait."
    else:
        verdict = "The range leaves open whether the slab is far enough above the dew point: measure on the day."
    return Result(tuple(steps), (verdict,))


@sheet(
    "cure-margin",
    "Distance from the dew point through the cure, by day and night",
    (
        Input("air_by_day", "warmest air temperature", "degC", -50, 100),
        Input("air_by_night", "coolest air temperature", "degC", -50, 100),
        Input("humidity_by_day", "relative humidity at the warmest hour", "percent", 1, 100),
        Input("humidity_by_night", "relative humidity at the coolest hour", "percent", 1, 100),
        Input("slab_by_day", "warmest slab temperature", "degC", -50, 100),
        Input("slab_by_night", "coolest slab temperature", "degC", -50, 100),
        Input("start", "hour of the day at which the film goes on (0 to 23)", "count", 0, 23, "9"),
        Input("hours", "hours that the film must stay dry", "count", 1, 240, "24"),
    ),
    "PsychroLib for each hour; margin of 3 C (5 F): ISO 8502-4; temperatures swing as a cosine, warmest at 15 h "
    "(common practice, no source)",
    "draughts, radiation from walls, and weather that changes from one day to the next",
    ranges=False,
)
def through_the_cure(given: Given) -> Result:
    """Least margin [K], when, and the hours below 3 K, from day and night."""
    hours, start, warmest = int(given.exact("hours")), given.exact("start"), given.norm("warmest_hour").low

    def course(name: str) -> tuple[float, ...]:
        return day_and_night(given.exact(f"{name}_by_day"), given.exact(f"{name}_by_night"), hours, start, warmest)

    return _cure(given, int(start), course("slab"), course("air"), course("humidity"))


@sheet(
    "cure-hours",
    "Distance from the dew point through the cure, from hourly readings or a forecast",
    (
        Input("air", "temperature of the air, hour by hour", "degC", -50, 100, many=True),
        Input("humidity", "relative humidity of the air, hour by hour", "percent", 1, 100, many=True),
        Input("slab", "temperature of the slab, hour by hour", "degC", -50, 100, many=True),
        Input("start", "hour of the day of the first reading (0 to 23)", "count", 0, 23, "9"),
    ),
    "PsychroLib for each hour; margin of 3 C (5 F): ISO 8502-4",
    "what happens between the readings",
    ranges=False,
)
def hour_by_hour(given: Given) -> Result:
    """Least margin [K], when, and the hours below 3 K, from readings."""
    slab, room, humidity = (given.several(name) for name in ("slab", "air", "humidity"))
    if not len(slab) == len(room) == len(humidity):
        counts = f"{len(room)} of the air, {len(humidity)} of humidity, {len(slab)} of the slab"
        raise BadCase([Fault("cure-hours", f"the readings are not as many: {counts}", "one of each for every hour")])
    return _cure(given, int(given.exact("start")), slab, room, humidity)


def _cure(given: Given, start: int, slab: Sequence[float], room: Sequence[float], humidity: Sequence[float]) -> Result:
    required = given.norm("least_dew_margin").low
    margin = cure_margin(slab, room, humidity, required)
    clock = int(start + margin.least_at_h) % 24
    steps = [
        Step(
            f"margin at {(start + hour) % 24:02d} h", "t_slab - t_dew", _margin(slab[hour], room[hour], humidity[hour])
        )
        for hour in range(0, len(slab), max(1, len(slab) // 8))
    ]
    when = f"{margin.least_at_h:.0f} h after the start, at {clock:02d} h"
    steps += [
        Step("least margin", when, f"{margin.least_k:.1f} °C"),
        Step("hours below the margin", f"less than {required:.0f} °C", f"{margin.hours_below:.1f} h"),
    ]
    if margin.condenses:
        verdict = "Water condenses on the fresh film: choose other hours, heat, or dry the air."
    elif margin.hours_below > 0:
        verdict = "Too near the dew point for part of the cure: choose other hours, heat, or dry the air."
    else:
        verdict = "The slab stays far enough above the dew point, if the weather is as given; measure on the day."
    return Result(tuple(steps), (verdict,))


def _margin(slab: float, room: float, humidity: float) -> str:
    return f"{air.dew_margin(slab, room, humidity):.1f} °C"


@sheet(
    "ground-temperature",
    "Temperature of the ground at a depth, through the year",
    (
        Input("yearly_mean", "mean yearly air temperature", "degC", -20, 40),
        Input("yearly_swing", "half the difference of warmest and coldest month", "delta_degC", 0, 40),
        Input("depth", "depth below the surface", "mm", 0, 100_000, "1 m"),
        Input("day_of_year", "day of the year (1 is 1 January)", "count", 1, 366),
    ),
    "damped yearly wave, exp(-z/d) with d = sqrt(a tau / pi) (common in ground heat texts); depth and lag as in "
    "Florides and Kalogirou, and Labs",
    "heat from the house, snow, and water moving in the ground; under a heated house the ground is warmer",
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
        Step("damping depth", "sqrt(a tau / pi), a = 6e-7 m2/s", f"{damping_depth(6e-7):.2f} m"),
        Step("temperature", "mean + swing exp(-z/d) cos(...)", spanned(temperature, "°C")),
    )
    return Result(steps, ("Use it as ground_temperature in a case or in the sheet vapour.",))
