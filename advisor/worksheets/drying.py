"""Worksheet on the drying of a new slab: drying."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.physics.concrete import mean_strength
from advisor.physics.diffusivity import characteristic_strength
from advisor.physics.drying_time import DryingSides
from advisor.worksheets.sheet import Given, Input, Result, Step, sheet

if TYPE_CHECKING:
    from advisor.physics.drying_air import AirCourse

MPA = 1e6
PICTURE_DAYS = (7.0, 28.0, 90.0, 180.0, 365.0)


@sheet(
    "drying",
    "How long a new slab takes to dry, at the depth of the in-situ test",
    (
        Input("slab_thickness", "thickness of the slab", "mm", 10, 1000, "4 in"),
        Input("drying_sides", "dries from one side or two", choices=("one", "two"), default="one"),
        Input("strength", "characteristic strength of the concrete", "mpa", 8, 100, "25 MPa"),
        Input("water_cement_ratio", "water/cement ratio, used in place of the strength (optional)", "ratio", 0.35, 1.0),
        Input("start_humidity", "humidity in the slab when drying begins", "percent", 50, 100, "98 %"),
        Input("air_temperature", "mean temperature of the air over it", "degC", -20, 60, "20 C"),
        Input("air_humidity", "mean humidity of the air over it", "percent", 1, 99, "50 %"),
        Input("temperature_swing", "half the yearly swing of the air's temperature", "delta_degC", 0, 30, "0 C"),
        Input("humidity_swing", "half the yearly swing of the air's humidity", "percent", 0, 40, "0 %"),
        Input("start_day", "day of the year on which drying begins", "count", 1, 366, "100"),
        Input("rain", "days after the start on which rain wets the open slab", "count", 0, 3650, many=True),
        Input("limits", "humidity limits to reach", "percent", 1, 100, "85 %, 75 %", many=True),
        Input("days", "how long to follow it", "day", 1, 3650, "3 years"),
    ),
    "one-dimensional nonlinear diffusion; diffusivity of fib Model Code 2010, 5.1 (after Bazant and Najjar 1972; "
    "constants from memory); strength from w/c by ACI 211.1-91 (from memory); SciPy integrates; band of half to twice "
    "the diffusivity: common practice, no source",
    "self-drying, a film of still air, vapour from the ground, and the drying of the surface in the sun; a test "
    "decides, never the calendar",
    picture="humidity over depth at several dates",
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
        Step("strength", "stated, or from w/c less 8 MPa", f"{strength / MPA:.1f} MPa"),
        Step("diffusivity at saturation", "1e-8 / f_ck [m2/s, MPa]", f"{slab.diffusivity.d1:.2e} m²/s"),
        Step(
            "depth of the test",
            f"{share:.0%} of the thickness, drying from {sides} side{'s' if sides == 'two' else ''}",
            f"{1000 * depth:.0f} mm",
        ),
    ]
    for band in drying_band(slab, air, limits, days, depth, given.norm("diffusivity_band")):
        middle = _days(band.middle, days)
        spread = f"{_days(band.earliest, days)} to {_days(band.latest, days)}"
        steps.append(Step(f"days to {band.limit_percent:g} %", "first day at or below it", f"{middle} (band {spread})"))
    course = dry(slab, air, days)
    dates = [day for day in PICTURE_DAYS if day < days] + [days]
    picture = DryingProfile(
        depths_mm=tuple(1000 * float(depth) for depth in course.depths_m),
        test_depth_mm=1000 * depth,
        profiles={day: tuple(float(rh) for rh in course.profile(day)) for day in dates},
        limits_percent=tuple(limits),
    )
    verdict = "One month an inch is about the way to 85 %, never to 75 %, which takes several times as long."
    return Result(
        tuple(steps), (verdict, "Plan by the band; have the slab tested before anything goes on it."), picture
    )


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
    return f"over {followed:.0f}" if found is None else f"{found:.0f}"
